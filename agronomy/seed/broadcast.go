package seed

import (
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Broadcast seed lies on top and less of it comes up than in a drill's slot,
// so that a drilled rate is raised by 25 to 30 %. Share; valid for drilled
// rates only, never for one that is already a broadcast rate.
const (
	BroadcastFactor     = 1.25
	BroadcastFactorHigh = 1.30
)

// BroadcastMark is what stands behind the broadcast factor.
func BroadcastMark() source.Mark {
	return source.Mark{Kind: source.Published, Cite: "Univ. of Georgia forages; Mississippi State"}
}

// Choice is the rate chosen for broadcasting: the figure as the catalog has
// it, the factor that its rate is multiplied by, and why.
type Choice struct {
	Figure catalog.Figure `json:"figure"`
	Factor float64        `json:"factor"`
	Says   string         `json:"says"`
	Mark   source.Mark    `json:"mark"` // of the factor; the figure has its own
}

// Rate is the typical value of the choice, raised by its factor.
func (c Choice) Rate() Rate {
	r := FromFigure(c.Figure)
	r.Mass *= units.MassPerArea(c.Factor)
	r.Count *= units.CountPerArea(c.Factor)
	return r
}

// ForBroadcast chooses a crop's rate for a broadcast spreader: the one of the
// preferred name if the crop has it, else its broadcast rate, else what is
// printed for sowing alone, as cover or without a method, and last the drilled
// rate. Only a drilled rate is raised.
func ForBroadcast(c catalog.Crop, preferred catalog.Name) (Choice, error) {
	order := []catalog.Name{preferred, catalog.Broadcast, catalog.Alone, catalog.Cover, catalog.AnyRate, catalog.Drilled, catalog.Mixed}
	for _, name := range order {
		for _, f := range c.Rates() {
			if f.Name == name {
				return Raise(f), nil
			}
		}
	}
	return Choice{}, fault.New("rate", c.Name+" has no rate in the catalog", "give a rate of your own").Of(fault.Missing).In(c.ID)
}

// Raise turns one figure into a choice: a drilled rate gets the broadcast
// factor, any other is left alone.
func Raise(f catalog.Figure) Choice {
	c := Choice{Figure: f, Factor: 1, Mark: source.Mark{Kind: source.Definition}}
	switch f.Name {
	case catalog.Drilled:
		c.Factor, c.Mark = BroadcastFactor, BroadcastMark()
		c.Says = "a drilled rate, raised by a quarter for broadcasting"
	case catalog.Broadcast:
		c.Says = "a broadcast rate, used as it is"
	case catalog.AnyRate:
		c.Says = "printed without a method, used as it is"
	default:
		c.Says = "printed for sowing " + methodOf(f.Name) + ", used as it is"
	}
	return c
}

func methodOf(n catalog.Name) string {
	switch n {
	case catalog.Alone:
		return "alone"
	case catalog.Mixed:
		return "in a mixture"
	default:
		return "as grazing or cover"
	}
}
