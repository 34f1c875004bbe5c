package record

import (
	"fmt"

	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Done is what became of a sheet: what was really spread, and what was counted
// on the ground afterwards.
type Done struct {
	Date   string  `json:"date"` // YYYY-MM-DD, the day that it was spread
	Used   []Used  `json:"used,omitempty"`
	Counts []Count `json:"counts,omitempty"`
	Note   string  `json:"note,omitempty"`
}

// Used is what really went on of one material of the sheet, all hoppers
// together.
type Used struct {
	ID   string     `json:"id"` // as the sheet's materials have it
	Mass units.Mass `json:"mass_kg"`
}

// Count is what lay or stood on the ground on one day.
type Count struct {
	Date string `json:"date"` // YYYY-MM-DD
	What string `json:"what"` // seeds or plants, with the species where it helps
	stand.Counts
}

// Limits that no plot of this trade reaches; beyond them lies a slip of the
// unit or the pen. Our own choice.
const (
	usedMost       units.Mass = 100_000
	sampleMost     units.Area = 1000
	countsMost                = 50
	samplesMost               = 1000
	foundInASample            = 1_000_000
)

// check is nil or the rule that is broken; nothing done yet breaks none.
func (d *Done) check() error {
	if d == nil {
		return nil
	}
	seen := map[string]bool{}
	for i, u := range d.Used {
		if err := u.check(fmt.Sprintf("done.used[%d]", i), seen); err != nil {
			return err
		}
	}
	if len(d.Counts) > countsMost {
		return fault.New("too_many", fmt.Sprintf("%d counts are more than the %d that are kept", len(d.Counts), countsMost),
			"keep the telling ones").Of(fault.TooLarge).In("done.counts")
	}
	for i, c := range d.Counts {
		if err := c.check(fmt.Sprintf("done.counts[%d]", i)); err != nil {
			return err
		}
	}
	return first(CheckDay(d.Date, "done.date"), checkText(d.Note, "done.note", noteRunes, lineSigns))
}

func (u Used) check(field string, seen map[string]bool) error {
	switch {
	case u.ID == "" || seen[u.ID]:
		return fault.New("material", "each material is named once", "use the id that the sheet has for it").In(field + ".id")
	case !(u.Mass >= 0 && u.Mass <= usedMost):
		return fault.New("mass", fmt.Sprintf("a used mass of %v kg is not between 0 and %v kg", float64(u.Mass), float64(usedMost)),
			"weigh what is left and take it off").In(field + ".mass_kg")
	}
	seen[u.ID] = true
	return nil
}

func (c Count) check(field string) error {
	if len(c.Found) == 0 || len(c.Found) > samplesMost {
		return fault.New("counts", fmt.Sprintf("%d samples are not between 1 and %d", len(c.Found), samplesMost), "give what each sample held").In(field + ".found")
	}
	for _, n := range c.Found {
		if n < 0 || n > foundInASample {
			return fault.New("counts", fmt.Sprintf("%d is not a number of pieces in a sample", n), "give what was found").In(field + ".found")
		}
	}
	if !(c.Sample > 0 && c.Sample <= sampleMost) {
		return fault.New("sample", "the size of the sample is missing or beyond belief", "give the area inside the hoop").In(field + ".sample_m2")
	}
	return first(CheckDay(c.Date, field+".date"), checkText(c.What, field+".what", nameRunes, ""))
}
