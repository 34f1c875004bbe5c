package wire

import (
	"github.com/paulmach/orb"

	"evenfall/agronomy/units"
	"evenfall/geo"
)

// ReadPlot is a plot that was read from a file or from text, as the page takes
// it.
type ReadPlot struct {
	Name     string      `json:"name"`
	Outline  orb.Polygon `json:"outline"`
	Survey   geo.Survey  `json:"survey"`
	Notes    []string    `json:"notes"`
	AreaText string      `json:"areaText"`
}

// NewReadPlot puts a plot into the page's form.
func NewReadPlot(p geo.Plot, s geo.Survey, notes []string, system units.System) ReadPlot {
	told := make([]string, len(notes))
	for i, note := range notes {
		told[i] = units.Retell(note, system)
	}
	return ReadPlot{p.Name, p.Polygon, s, told, units.Area(s.AreaM2).Format(system)}
}
