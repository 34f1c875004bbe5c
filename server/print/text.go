package print

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"evenfall/agronomy"
	"evenfall/agronomy/units"
)

// Text writes the sheet for a terminal: the same sections as the printed page,
// without the drawing, and where the figures come from when that is wanted.
func Text(w io.Writer, s agronomy.Sheet, sources bool) error {
	t := &typed{tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)}
	t.say("%s, %s", s.Plot, units.Date(s.Date))
	t.say("%s", size(s))
	if s.Ground.Guess != nil {
		t.say("%s", s.Ground.Guess.Says)
	}
	for _, note := range s.Warnings {
		t.say("! %s", note.Says)
	}
	t.machine(s)
	t.plans(s)
	t.pour(s)
	t.after(s)
	t.head("Before you start")
	for _, note := range s.Cautions {
		t.say("- %s", note.Says)
	}
	if sources {
		t.sources(s)
	}
	return t.out.Flush()
}

// typed writes lines and rows of two columns.
type typed struct{ out *tabwriter.Writer }

func (t *typed) say(format string, values ...any) { fmt.Fprintf(t.out, format+"\n", values...) }
func (t *typed) head(words string)                { t.say("\n%s", strings.ToUpper(words)) }
func (t *typed) row(cells ...string)              { t.say("  %s", strings.Join(cells, "\t")) }

func (t *typed) machine(s agronomy.Sheet) {
	t.head("Set the " + s.Spreader.Name)
	t.row("between tracks", s.Spreader.Spacing.Format(s.System))
	t.row("first track from the edge", s.Spreader.FirstInset.Format(s.System))
	t.row("speed", s.Spreader.Speed.Format(s.System)+" = "+s.Spreader.Speed.FormatCourse(s.System))
	for _, g := range s.Spreader.Groups {
		t.row("gate for "+g.Contents, gateWords(g.Gate, g.Flow, s.System))
		for _, line := range g.Says {
			t.row("  " + line)
		}
	}
	t.head("Drive")
	t.row(fmt.Sprintf("%d passes", len(s.Drive.Passes)), units.Length(s.Drive.LengthM).Format(s.System))
	if s.Drive.Bearing != nil {
		t.row("straight passes run", bearingWords(*s.Drive.Bearing))
	}
	t.row("gate shut between", units.Length(s.Drive.TravelM).Format(s.System))
	t.row("time", s.Drive.Time.Format())
	t.row("evenness", s.Evenness.Says)
}

// plans compares the plans that were weighed, the chosen one marked.
func (t *typed) plans(s agronomy.Sheet) {
	if len(s.Plans) == 0 {
		return
	}
	t.head("Plans")
	t.row("", "uneven (CV)", "outside", "path", "turns", "time")
	for _, p := range s.Plans {
		mark := "  "
		if p.Chosen {
			mark = "> "
		}
		t.row(mark+p.Name, units.Percent(p.CV), units.Percent(p.OutsideShare),
			units.Length(p.LengthM+p.TravelM).Format(s.System), fmt.Sprint(p.Turns), p.Time.Format())
	}
}

func (t *typed) pour(s agronomy.Sheet) {
	t.head("Pour")
	for _, run := range alike(s.Loads) {
		t.row(loadName(run), run[0].Mass.Format(s.System))
		for _, layer := range run[0].Layer {
			t.row("  "+layerWords(layer, run[0].Layers), layerFigure(layer, s.System))
		}
		for _, note := range run[0].Notes {
			t.row("  " + note)
		}
	}
	t.head("Bring")
	for _, p := range s.Shopping {
		t.row(p.Material, purchaseFigure(p, s.System))
	}
	for _, note := range s.BagNotes {
		t.row(note.Says)
	}
}

func (t *typed) after(s agronomy.Sheet) {
	if s.Soil != nil {
		t.head("Against the soil test")
		t.row("the mix gives", s.Soil.Says)
		if lime := s.Soil.Lime; lime != nil {
			t.row("lime: "+lime.Name, lime.Rate.Format(s.System), "on the plot "+limeFigure(*lime, s.System))
		}
	}
	if len(s.Stand) > 0 {
		t.head("Look on the ground")
	}
	for _, e := range s.Stand {
		t.row(e.Species, e.SeedsPerArea.FormatClose("seeds", s.System))
	}
	t.head("Afterwards")
	for _, line := range s.Afterwards.Says {
		t.row(line)
	}
	if d := s.Afterwards.TopDressing; d != nil {
		t.row(d.What, span(*d))
	}
	for _, d := range s.Afterwards.Due {
		t.row(d.What, span(d))
	}
}

func (t *typed) sources(s agronomy.Sheet) {
	t.head("Where the figures come from")
	for _, e := range s.Sources {
		t.row(e.Says, e.Mark.String())
	}
}
