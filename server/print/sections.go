package print

import (
	"fmt"
	"math"
	"strings"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo"
)

// drawHeader names the plot and the day, and says how large the plot is.
func drawHeader(c *column, sheet agronomy.Sheet) {
	date := lettering{size: 13, bold: true, align: right}
	c.s.text(point{c.x + c.w, c.y + 7}, units.Date(sheet.Date), date)
	if sheet.Property != "" {
		c.s.text(point{c.x + c.w, c.y + 12.5}, sheet.Property, lettering{size: 10, align: right})
	}
	name := column{s: c.s, x: c.x, y: c.y, w: c.w - 52}
	name.say(sheet.Plot, titleText)
	c.y = max(name.y, c.y+13)
	c.say(size(sheet), bigText)
	if g := sheet.Ground.Guess; g != nil {
		c.say(g.Says, bodyText)
	}
}

// size is the area, how far to trust it, and how it was measured.
func size(sheet agronomy.Sheet) string {
	g, area := sheet.Ground, units.Area(sheet.Ground.AreaM2)
	words := area.Format(sheet.System)
	if g.UncertaintyM2 > 0 {
		words += ", give or take " + units.Area(geo.GiveOrTakeM2(g.UncertaintyM2)).FormatLike(area, sheet.System)
	}
	words += " – " + string(g.Method)
	if g.MeasuredOn != "" {
		words += " " + units.Date(g.MeasuredOn)
	}
	return words
}

// drawSettings says how to set the machine and what the drive takes.
func drawSettings(c *column, sheet agronomy.Sheet) {
	sp, sys := sheet.Spreader, sheet.System
	c.heading("Set the " + sp.Name)
	c.figure("between tracks", sp.Spacing.Format(sys))
	c.figure("first track from the edge", sp.FirstInset.Format(sys))
	c.figure("speed", sp.Speed.Format(sys))
	c.figure("which takes", sp.Speed.FormatCourse(sys))
	for _, g := range sp.Groups {
		c.figure("gate for "+g.Contents, gateWords(g.Gate, g.Flow, sys))
		if g.Lesser != nil {
			c.pair(units.Bags(g.Lesser.Share)+" open on "+g.Lesser.On, gateWords(g.Lesser.Gate, g.Lesser.Flow, sys), bodyText)
		}
	}
	for _, line := range sp.Says {
		c.say(line, smallText)
	}
	c.heading("Drive")
	d := sheet.Drive
	c.pair(fmt.Sprintf("%d passes", len(d.Passes)), units.Length(d.LengthM).Format(sys), bodyText)
	if d.TravelM > 0 {
		c.pair("gate shut between", units.Length(d.TravelM).Format(sys), bodyText)
	}
	c.pair("time at that speed", d.Time.Format(), bodyText)
	if d.Name != "" {
		c.say(driveWords(d), smallText)
	}
}

// gateWords is the gate as the scale reads, or the flow to look for.
func gateWords(gate string, flow units.Flow, sys units.System) string {
	if gate == "" {
		return flow.Format(sys)
	}
	return gate + " (" + flow.Format(sys) + ")"
}

// driveWords is the plan's name with the bearing of its straight passes.
func driveWords(d agronomy.Drive) string {
	if d.Bearing == nil {
		return d.Name
	}
	return d.Name + ", along " + bearingWords(*d.Bearing)
}

// bearingWords is the bearing that a line is driven to and fro along.
func bearingWords(degrees float64) string {
	return fmt.Sprintf("%.0f° from true north", math.Mod(math.Round(degrees), 180))
}

// drawLoads says what to pour, load by load; loads alike are said once.
func drawLoads(c *column, sheet agronomy.Sheet) {
	c.heading("Pour")
	for _, run := range alike(sheet.Loads) {
		first := run[0]
		c.pair(loadName(run), first.Mass.Format(sheet.System), strongText)
		for _, layer := range first.Layer {
			c.pair(layerWords(layer, first.Layers), layerFigure(layer, sheet.System), bodyText)
		}
		for _, note := range first.Notes {
			c.say(note, smallText)
		}
		c.gap(1)
	}
	c.heading("Bring")
	for _, p := range sheet.Shopping {
		c.pair(p.Material, purchaseFigure(p, sheet.System), bodyText)
	}
}

// drawFindGate says how the gates are found that no catch test tells. It stands
// under the loads, where a line is wide.
func drawFindGate(c *column, sheet agronomy.Sheet) {
	var caught []string
	for _, g := range sheet.Spreader.Groups {
		if g.Gate == "" {
			long := spreader.CatchTime(g.Flow)
			caught = append(caught, fmt.Sprintf("%s of %s in %s", g.Flow.For(long).Format(sheet.System), g.Contents, long.Format()))
		}
	}
	c.gap(1)
	if len(caught) > 0 {
		c.say("To find the gate, spinner stopped or shielded, let it run into a bag: "+strings.Join(caught, "; "), smallText)
	}
}

// drawMarks says what the marks of the map mean.
func drawMarks(c *column, sheet agronomy.Sheet) {
	if len(sheet.Drive.Refills) > 0 {
		c.say("R1 on the map: load 1 is out, pour the next", smallText)
	}
}

// alike groups neighbouring loads that hold the same.
func alike(loads []mix.Load) [][]mix.Load {
	var runs [][]mix.Load
	for i, l := range loads {
		if i > 0 && sameFilling(loads[i-1], l) {
			runs[len(runs)-1] = append(runs[len(runs)-1], l)
			continue
		}
		runs = append(runs, []mix.Load{l})
	}
	return runs
}

func sameFilling(a, b mix.Load) bool {
	if a.Group != b.Group || a.Layers != b.Layers || len(a.Layer) != len(b.Layer) {
		return false
	}
	for i := range a.Layer {
		if a.Layer[i].Material != b.Layer[i].Material || a.Layer[i].Mass != b.Layer[i].Mass {
			return false
		}
	}
	return true
}

func loadName(run []mix.Load) string {
	first, last := run[0].Number, run[len(run)-1].Number
	switch {
	case len(run) == 1:
		return fmt.Sprintf("Load %d", first)
	case len(run) == 2:
		return fmt.Sprintf("Loads %d and %d, each", first, last)
	}
	return fmt.Sprintf("Loads %d to %d, each", first, last)
}

func layerWords(l mix.Layer, layers int) string {
	if layers < 2 {
		return l.Material
	}
	return fmt.Sprintf("%d layers, in each: %s", layers, l.Material)
}

func layerFigure(l mix.Layer, sys units.System) string {
	if l.Scoops > 0 {
		return plural(l.Scoops, "scoop") + " (" + l.Mass.Format(sys) + ")"
	}
	return l.Mass.Format(sys)
}

func plural(n float64, noun string) string {
	if n > 1 {
		noun += "s"
	}
	return units.Bags(n) + " " + noun
}

func purchaseFigure(p mix.Purchase, sys units.System) string {
	if p.Bags == 0 {
		return p.Mass.Format(sys)
	}
	words := plural(p.Bags, "bag") + " of " + p.BagMass.Format(sys)
	if p.Left > 0.005*p.Mass {
		words += ", " + p.Left.Format(sys) + " left"
	}
	return words
}

// drawSoilCheck says what the mix gives against what the laboratory asked for.
// It stands under the loads: it is read at home, and there a line is wide.
func drawSoilCheck(c *column, sheet agronomy.Sheet) {
	if sheet.Soil == nil {
		return
	}
	c.heading("Against the soil test")
	c.say("the mix gives "+sheet.Soil.Says, asideText)
	if lime := sheet.Soil.Lime; lime != nil {
		c.say("the laboratory's lime comes to "+limeFigure(*lime, sheet.System)+" of "+lime.Name, asideText)
	}
}

// limeFigure is a dose of lime as it is bought.
func limeFigure(d soil.LimeDose, sys units.System) string {
	words := d.Mass.Format(sys)
	if d.Bags > 0 {
		words += ", " + plural(d.Bags, "bag") + " of " + d.BagMass.Format(sys)
	}
	return words
}

// drawGroundCheck says what should lie on the ground after spreading.
func drawGroundCheck(c *column, sheet agronomy.Sheet, in lettering) {
	if len(sheet.Stand) == 0 {
		return
	}
	c.heading("Look on the ground")
	for _, e := range sheet.Stand {
		c.pair(e.Species, e.SeedsPerArea.FormatClose("seeds", sheet.System), in)
	}
}

// drawAfterwards says what follows once the hopper is empty.
func drawAfterwards(c *column, sheet agronomy.Sheet, in lettering) {
	a, strong := sheet.Afterwards, in
	strong.bold = true
	c.heading("Afterwards")
	for _, line := range a.Says {
		c.say(line, in)
	}
	if w := a.TopDressing; w != nil {
		c.say(w.What+": "+span(*w), strong)
	}
	for _, w := range a.Due {
		c.say(w.What+": "+span(w), in)
	}
}

// span is a range of days as a person says it: the year once where it is one.
func span(w agronomy.Window) string {
	if w.From == w.To {
		return units.Date(w.From)
	}
	from := units.Date(w.From)
	if len(w.From) >= 4 && strings.HasPrefix(w.To, w.From[:4]) {
		from = strings.TrimSuffix(from, " "+w.From[:4])
	}
	return from + " to " + units.Date(w.To)
}

const cautionColumns = 2

// cautionsHeight is how high the cautions and sources will stand.
func cautionsHeight(s surface, sheet agronomy.Sheet, w float64) float64 {
	inner := (w - 2*2 - gutter) / cautionColumns
	left, right := shareCautions(s, sheet, inner)
	height := max(heightOf(s, inner, listCautions(left)), heightOf(s, inner, listCautions(right)))
	return height + lineHeight(headingText) + 3 + heightOf(s, w, sourcesLine(sheet))
}

// drawCautions sets the cautions in a frame and the sources under it.
func drawCautions(s surface, sheet agronomy.Sheet, r rect) {
	inner := (r.w - 2*2 - gutter) / cautionColumns
	sources := heightOf(s, r.w, sourcesLine(sheet))
	frame := rect{r.x, r.y, r.w, r.h - sources - footerH + 1}
	s.area([][]point{corners(frame)}, bare, stroke{width: 0.5})
	head := &column{s: s, x: r.x + 2, y: r.y + 0.5, w: r.w}
	head.say("Before you start", headingText)
	leftWords, rightWords := shareCautions(s, sheet, inner)
	listCautions(leftWords)(&column{s: s, x: r.x + 2, y: head.y, w: inner})
	listCautions(rightWords)(&column{s: s, x: r.x + 2 + inner + gutter, y: head.y, w: inner})
	foot := &column{s: s, x: r.x, y: frame.y + frame.h + 0.5, w: r.w}
	sourcesLine(sheet)(foot)
	foot.say("Evenfall. The label, local codes and licensed practice have the last word.", tinyText)
}

// shareCautions splits the cautions so that both columns end about level.
func shareCautions(s surface, sheet agronomy.Sheet, w float64) (left, right []caution) {
	var words []caution
	for _, n := range sheet.Warnings {
		words = append(words, caution{n.Says, smallStrong})
	}
	for _, n := range sheet.Cautions {
		words = append(words, caution{n.Says, smallText})
	}
	total := heightOf(s, w, listCautions(words))
	cut := 0
	for cut < len(words) && heightOf(s, w, listCautions(words[:cut])) < total/2 {
		cut++
	}
	return words[:cut], words[cut:]
}

// caution is one sentence to mind: of this mix in strong type, then the usual.
type caution struct {
	says string
	in   lettering
}

func listCautions(all []caution) func(*column) {
	return func(c *column) {
		for _, one := range all {
			c.bullet(one.says, one.in)
		}
	}
}

// sourcesLine answers, small, where the weightier figures come from.
func sourcesLine(sheet agronomy.Sheet) func(*column) {
	return func(c *column) {
		var words []string
		for _, e := range sheet.Sources {
			words = append(words, e.Says+": "+e.Mark.String())
		}
		if len(words) > 0 {
			c.say("Sources. "+strings.Join(words, "; ")+".", tinyText)
		}
	}
}
