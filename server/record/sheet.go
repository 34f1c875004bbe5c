package record

import (
	"encoding/json"

	"evenfall/geo/fault"
)

// Sheet is a saved sheet: the season's record of one plot on one day. Result
// is the sheet as it was worked out then, and stays as it was when the plot,
// the spreader or the mix changes later; SpreaderID and MixID are empty once
// those records are gone. Done is what became of it, nil until somebody says.
// Inputs are what a sheet was worked out from that was made out of reach; they
// come with it once and are not kept.
type Sheet struct {
	Stamp
	PlotID     string          `json:"plot_id"`
	SpreaderID string          `json:"spreader_id,omitempty"`
	MixID      string          `json:"mix_id,omitempty"`
	Date       string          `json:"date"` // YYYY-MM-DD, the day of the job
	Note       string          `json:"note,omitempty"`
	Done       *Done           `json:"done,omitempty"`
	Options    json.RawMessage `json:"options,omitempty"`
	Inputs     json.RawMessage `json:"inputs,omitempty"`
	Result     json.RawMessage `json:"result,omitempty"` // lists leave it out
}

// Check is nil or the rule that the sheet breaks.
func (s *Sheet) Check() error {
	return first(
		checkReference(s.PlotID, "plot_id"),
		CheckDay(s.Date, "date"),
		checkNote(s.Note),
		s.Done.check(),
		checkObject(s.Options, "options", true),
		checkObject(s.Result, "result", false),
	)
}

// Missing is the fault for an id that no record has.
func Missing(kind, id string) *fault.Error {
	return fault.New("missing", "there is no "+kind+" with the id "+id, "list the "+kind+" records to see their ids").
		Of(fault.Missing)
}

// Stale is the fault for an update made from a revision that has passed.
func Stale(kind string) *fault.Error {
	return fault.New("stale", "the "+kind+" changed since it was read", "read it again and repeat the change").
		Of(fault.Conflict)
}
