// Package record holds what a grower keeps: properties, plots, the surveys of
// a plot, spreaders, mixes and the sheets of the season. It knows neither SQL
// nor HTTP; the store and the API share it.
package record

import (
	"fmt"
	"time"

	"github.com/google/uuid"

	"evenfall/geo/fault"
)

// Stamp is what every kept record carries. The store sets all four, save the id
// of a record that was made where the store could not be reached, and the
// revision that an update was made from. Revision counts from one and rises
// with every change.
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

// CheckID accepts the id of a record that was made elsewhere: a UUIDv7 as text
// in lower case (RFC 9562), so that ids sort by age whoever made them.
func CheckID(id string) error {
	read, err := uuid.Parse(id)
	if err != nil || read.Version() != 7 || read.Variant() != uuid.RFC4122 || read.String() != id {
		return fault.New("id_form", fmt.Sprintf("%q is not an id for a new record", id), "make a UUIDv7 in lower case").In("id")
	}
	return nil
}

// Taken is the fault for a new record whose id another record has.
func Taken(kind string) *fault.Error {
	return fault.New("taken", "there is a "+kind+" with this id already", "read it: it may be the one that was sent before").
		Of(fault.Conflict)
}
