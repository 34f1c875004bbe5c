package trip

import (
	"fmt"
	"slices"
	"strings"

	"evenfall/agronomy"
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Asked is one plot of a day, or one customer's: its name, its measured area
// and what goes on it.
type Asked struct {
	Name string     `json:"name"`
	Area units.Area `json:"area_m2"`
	Mix  mix.Mix    `json:"mix"`
}

// Ask is a day with several plots, in the order of driving. Limit is what the
// truck or trailer carries, zero for no limit. Without a hopper no loads are
// worked out.
type Ask struct {
	Plots  []Asked
	Limit  units.Mass
	Hopper mix.Hopper
	System units.System
}

// Day is a trip with what is done at each of its plots, and what to heed.
type Day struct {
	Plan
	Stops    []Halt          `json:"stops"`
	Hazards  []Hazard        `json:"hazards"`  // of what goes on
	Cautions []agronomy.Note `json:"cautions"` // that hold for every job
	Sources  []source.Entry  `json:"sources"`  // figures as stops[i].materials[j].field
}

// Halt is one plot of the day. Loads lack the path, which only a sheet knows.
type Halt struct {
	Plot      string       `json:"plot"`
	Area      units.Area   `json:"area_m2"`
	Mix       string       `json:"mix"`
	Mass      units.Mass   `json:"mass_kg"`
	Cost      float64      `json:"cost,omitempty"`
	Materials []mix.Amount `json:"materials"`
	Takes     []Take       `json:"takes"`
	Groups    []mix.Group  `json:"groups"`
	Loads     []mix.Load   `json:"loads"`
}

// Take is one material at one plot: out of which bags it comes.
type Take struct {
	Material string     `json:"material"`
	Mass     units.Mass `json:"mass_kg"`
	Says     string     `json:"says"`
}

// Hazard is a sentence to heed and the plots that it is for; for all without.
type Hazard struct {
	agronomy.Note
	Plots []string `json:"plots,omitempty"`
}

// MakeDay works every plot's mix out and plans the trip. Faults name the plot
// by its number and the field within it.
func MakeDay(ask Ask, all *catalog.Catalog) (Day, error) {
	plots := make([]Plot, len(ask.Plots))
	results := make([]mix.Result, len(ask.Plots))
	for i, asked := range ask.Plots {
		worked, err := asked.Mix.Amounts(asked.Area, all, ask.System)
		if err != nil {
			return Day{}, atPlot(err, i)
		}
		plots[i], results[i] = Plot{Name: asked.Name, Amounts: worked.Amounts}, worked
	}
	plan, err := Make(plots, ask.Limit, ask.System)
	if err != nil {
		return Day{}, err
	}
	day := Day{Plan: plan}
	for i, r := range results {
		halt, err := ask.halt(i, r, plan)
		if err != nil {
			return Day{}, atPlot(err, i)
		}
		day.Stops = append(day.Stops, halt)
		day.Sources = append(day.Sources, sourcesOf(i, r)...)
	}
	day.Hazards = ask.hazards(results)
	day.Cautions, err = agronomy.Cautions(ask.System)
	return day, err
}

// atPlot says at which plot a fault lies.
func atPlot(err error, at int) error {
	found, ok := fault.From(err)
	if !ok {
		return err
	}
	found.Where.Feature = at + 1
	return found
}

func (ask Ask) halt(at int, r mix.Result, plan Plan) (Halt, error) {
	asked, part := ask.Plots[at], plan.Plots[at]
	h := Halt{Plot: asked.Name, Area: asked.Area, Mix: asked.Mix.Name, Mass: part.Mass, Cost: part.Cost,
		Materials: r.Amounts, Groups: r.Groups, Takes: takes(plan.Draws, at, ask.System)}
	if ask.Hopper.Mass == 0 && ask.Hopper.Volume == 0 {
		return h, nil
	}
	loads, err := mix.Loads(r.Amounts, ask.Hopper, 0, 0, ask.System)
	h.Loads = loads
	return h, err
}

// takes tells material by material what a plot takes out of which bag.
func takes(draws []Draw, at int, sys units.System) []Take {
	var list []Take
	var parts [][]Draw
	opened := map[string]bool{} // before this plot
	for _, d := range draws {
		if d.stop < at {
			opened[bagName(d)] = true
		}
		if d.stop != at {
			continue
		}
		i := slices.IndexFunc(parts, func(p []Draw) bool { return p[0].key == d.key })
		if i < 0 {
			i = len(parts)
			parts, list = append(parts, nil), append(list, Take{Material: d.Material})
		}
		parts[i] = append(parts[i], d)
		list[i].Mass += d.Mass
	}
	for i, p := range parts {
		list[i].Says = bagWords(p, opened, sys)
	}
	return list
}

// emptied tells that nothing worth keeping stays in the bag.
func (d Draw) emptied() bool { return d.Left <= d.BagMass*bagSlack }

func bagName(d Draw) string { return fmt.Sprintf("%s|%d", d.key, d.Bag) }

// bagWords are the draws of one material as a person does them: what an earlier
// plot left, then whole bags, then the bag that stays open.
func bagWords(draws []Draw, opened map[string]bool, sys units.System) string {
	if draws[0].Bag == 0 {
		return "loose"
	}
	var words []string
	for i := 0; i < len(draws); i++ {
		d := draws[i]
		stays := fmt.Sprintf(", %s stays in it", d.Left.Format(sys))
		known := opened[bagName(d)]
		opened[bagName(d)] = true
		switch {
		case known && d.emptied():
			words = append(words, fmt.Sprintf("the %s left in bag %d", d.Mass.Format(sys), d.Bag))
		case known:
			words = append(words, fmt.Sprintf("%s of what is left in bag %d%s", d.Mass.Format(sys), d.Bag, stays))
		case !d.emptied():
			words = append(words, fmt.Sprintf("open bag %d: %s of it%s", d.Bag, d.Mass.Format(sys), stays))
		default:
			last := i
			for last+1 < len(draws) && draws[last+1].emptied() {
				last++
			}
			words = append(words, wholeBags(d.Bag, draws[last].Bag))
			i = last
		}
	}
	return strings.Join(words, "; then ")
}

func wholeBags(first, last int) string {
	if first == last {
		return fmt.Sprintf("open bag %d: all of it", first)
	}
	return fmt.Sprintf("open bags %d to %d: all of them", first, last)
}

// sourcesOf are a mix's sources with the plot's number before the figure.
func sourcesOf(at int, r mix.Result) []source.Entry {
	list := slices.Clone(r.Sources)
	for i := range list {
		list[i].Figure = fmt.Sprintf("stops[%d].%s", at, list[i].Figure)
	}
	return list
}

// hazards lists what to heed, each sentence once with the plots that it is for;
// what is for every plot names none.
func (ask Ask) hazards(results []mix.Result) []Hazard {
	var list []Hazard
	for i, r := range results {
		for _, note := range agronomy.Hazards(r, soil.Placement{}, ask.System) {
			list = heed(list, note, ask.Plots[i].Name)
		}
	}
	for i := range list {
		if len(list[i].Plots) == len(ask.Plots) {
			list[i].Plots = nil
		}
	}
	return list
}

func heed(list []Hazard, note agronomy.Note, plot string) []Hazard {
	i := slices.IndexFunc(list, func(h Hazard) bool { return h.Says == note.Says })
	if i < 0 {
		return append(list, Hazard{note, []string{plot}})
	}
	if last := list[i].Plots; last[len(last)-1] != plot {
		list[i].Plots = append(list[i].Plots, plot)
	}
	return list
}
