package record

import (
	"encoding/json"
	"fmt"
	"slices"

	"evenfall/agronomy"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Plot is one piece of ground to plant. Its outline is the shape that is
// driven: the outline of the survey in use, where that survey has one.
// SpreaderID and MixID are what it is worked with, empty until somebody chooses
// and again once those records are gone. Driver holds the person's choices for
// this plot (speed, priority, room to turn) as the sheet options read them.
type Plot struct {
	Stamp
	PropertyID string             `json:"property_id"`
	SpreaderID string             `json:"spreader_id,omitempty"`
	MixID      string             `json:"mix_id,omitempty"`
	Name       string             `json:"name"`
	Note       string             `json:"note,omitempty"`
	Outline    Outline            `json:"outline,omitempty"`
	KeepOff    []agronomy.KeepOff `json:"keep_off,omitempty"`
	Driver     json.RawMessage    `json:"driver,omitempty"`
}

// keepOffLimit is far beyond any setback a spreader needs; a larger figure is a
// slip of the unit. Our own choice.
const keepOffLimit units.Length = 1000

// Check is nil or the rule that the plot breaks.
func (p *Plot) Check() error {
	for i, line := range p.KeepOff {
		if err := checkKeepOff(line, i); err != nil {
			return err
		}
	}
	return first(
		checkReference(p.PropertyID, "property_id"),
		checkName(p.Name),
		checkNote(p.Note),
		checkOutline(p.Outline),
		checkObject(p.Driver, "driver", true),
	)
}

func checkKeepOff(k agronomy.KeepOff, i int) error {
	place := fault.Place{Field: fmt.Sprintf("keep_off[%d]", i)}
	switch {
	case len(k.Line) < 2:
		return fault.New("keep_off_line", "a keep-off line needs at least two positions", "draw the line").At(place)
	case !(k.Distance >= 0 && k.Distance <= keepOffLimit):
		return fault.New("keep_off_distance",
			fmt.Sprintf("a keep-off distance of %v m is not between 0 and %v m", float64(k.Distance), float64(keepOffLimit)),
			"give the distance in metres").At(place)
	case !slices.Contains([]agronomy.Goods{agronomy.SeedOnly, agronomy.FertilizerOnly, agronomy.Everything}, k.For):
		return fault.New("keep_off_for", fmt.Sprintf("a keep-off line cannot be for %q", k.For),
			"say seed, fertilizer or both").At(place)
	}
	return first(checkText(k.Name, place.Field, nameRunes, ""), checkPositions(k.Line, place))
}
