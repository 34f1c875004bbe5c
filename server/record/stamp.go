// Package record holds what a grower keeps: properties, plots, the surveys of
// a plot, spreaders, mixes and the sheets of the season. It knows neither SQL
// nor HTTP; the store and the API share it.
package record

import "time"

// Stamp is what every kept record carries. The store sets all four; what a
// client sends in them is ignored, save that an update names the revision it
// was made from. Revision counts from one and rises with every change.
type Stamp struct {
	ID        string    `json:"id"` // UUIDv7, so that ids sort by age
	Revision  int64     `json:"revision"`
	CreatedAt time.Time `json:"created_at"`
	UpdatedAt time.Time `json:"updated_at"`
}

// Stamped gives the stamp for the store to fill.
func (s *Stamp) Stamped() *Stamp { return s }

// Kept is any record that the store can hold.
type Kept interface {
	Stamped() *Stamp
	Check() error // a fault when the record breaks a rule of its own
}
