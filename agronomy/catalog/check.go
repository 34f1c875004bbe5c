package catalog

import (
	"math"
	"strconv"

	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// limit is the widest span in which a figure is believed, in its SI unit.
type limit struct {
	unit      string
	low, high float64
}

// limits catch slips of the pen (common practice, no source): rates to 500
// lb/ac or 500 pieces per square foot, seed from 200 to 20 million per pound,
// bulk from 2 to 130 lb/cu ft, sowing to 6 inches, bags to a loose ton.
var limits = believed()

func believed() map[Name][]limit {
	rate := []limit{
		{"kg/m2", float64(0.05 * units.PoundPerAcre), float64(500 * units.PoundPerAcre)},
		{"1/m2", float64(500 * units.PerAcre), float64(500 * units.PerSquareFoot)},
	}
	share := []limit{{"1", 0, 1}}
	all := map[Name][]limit{
		Depth:        {{"m", 0, float64(6 * units.Inch)}},
		SeedsPerMass: {{"1/kg", float64(200 * units.PerPound), float64(20e6 * units.PerPound)}},
		BulkDensity:  {{"kg/m3", 30, 2100}},
		MinSoilTemp:  {{"C", 0, 30}},
		Bag:          {{"kg", 0.01, 1000}},
		Nitrogen:     share, Phosphate: share, Potash: share,
		CCE: {{"1", 0.01, 1.8}}, ENP: {{"1", 0.01, 1.8}}, Moisture: share,
		Pass20: share, Pass60: share, Pass100: share,
	}
	for _, n := range RateNames() {
		all[n] = rate
	}
	return all
}

// check holds the catalog to its rules: unique ids, no figure twice, each
// figure marked and within its limits.
func (c *Catalog) check() error {
	seen := map[string]bool{}
	each := func(id, name string, figures []Figure) error {
		if id == "" || name == "" {
			return fault.New("entry", "an entry has no id or no name", "give it both").In("id")
		}
		if seen[id] {
			return fault.New("duplicate", "the id "+strconv.Quote(id)+" is there twice", "rename one, or override figures instead").Of(fault.Conflict).In(id)
		}
		seen[id] = true
		return checkFigures(id, figures)
	}
	for _, crop := range c.crops {
		if err := each(crop.ID, crop.Name, crop.Figures); err != nil {
			return err
		}
		if err := checkCrop(crop); err != nil {
			return err
		}
	}
	for _, p := range c.products {
		if err := each(p.ID, p.Name, p.Figures); err != nil {
			return err
		}
		if err := checkProduct(p); err != nil {
			return err
		}
	}
	return nil
}

func checkFigures(id string, figures []Figure) error {
	type key struct {
		name Name
		of   Of
	}
	seen := map[key]bool{}
	for _, f := range figures {
		k := key{f.Name, f.Of}
		if seen[k] {
			return fault.New("duplicate", "the figure "+string(f.Name)+" is there twice", "keep one").In(id)
		}
		seen[k] = true
		if problem := f.problem(); problem != "" {
			return fault.New("figure", string(f.Name)+" "+problem, "check the number and its unit").In(id)
		}
	}
	return nil
}

func (f Figure) problem() string {
	if p := markProblem(f.Mark); p != "" {
		return p
	}
	spans, ok := limits[f.Name]
	if !ok {
		return "is no figure that is known"
	}
	if math.IsNaN(f.Low) || math.IsNaN(f.High) || math.IsNaN(f.Middle) || f.Low > f.High {
		return "has no range: low must be at most high"
	}
	if f.Middle != 0 && (f.Middle < f.Low || f.Middle > f.High) {
		return "has its typical value outside its range"
	}
	for _, l := range spans {
		if l.unit == f.Unit {
			return f.beyond(l)
		}
	}
	return "is in " + f.Unit + ", which it cannot be"
}

// beyond allows for the rounding of a unit conversion at the ends.
func (f Figure) beyond(l limit) string {
	const slack = 1e-9
	if f.Low >= l.low-slack*math.Abs(l.low) && f.High <= l.high+slack*l.high {
		return ""
	}
	return f.String() + " is not plausible"
}

// markProblem holds marks to the rule that a published figure names its work
// and that nothing else pretends to.
func markProblem(m source.Mark) string {
	switch m.Kind {
	case source.Published:
		if m.Cite == "" {
			return "is called published but names no source"
		}
	case source.Practice, source.Memory, source.Definition, source.Stated, source.Measured:
		if m.Cite != "" {
			return "names a source but is not called published"
		}
	default:
		return "has no mark of where it comes from"
	}
	return ""
}

func checkCrop(c Crop) error {
	if c.Season != Cool && c.Season != Warm && c.Season != "" {
		return fault.New("season", "the season "+strconv.Quote(string(c.Season))+" is not known", "use cool or warm").In(c.ID)
	}
	if c.Inoculant != "" && !c.Legume {
		return fault.New("inoculant", "only legumes are inoculated", "call it a legume or leave the inoculant out").In(c.ID)
	}
	return nil
}

func checkProduct(p Product) error {
	g := p.Grade()
	switch {
	case p.Class != Fertilizer && p.Class != Lime:
		return fault.New("class", "the class "+strconv.Quote(string(p.Class))+" is not known", "use fertilizer or lime").In(p.ID)
	case p.Release != "" && p.Release != Plain && p.Release != Slow && p.Release != Inhibited:
		return fault.New("nitrogen", "the nitrogen "+strconv.Quote(string(p.Release))+" is not known", "use plain, slow or inhibited").In(p.ID)
	case g.N+g.P2O5+g.K2O > 1+1e-9:
		return fault.New("grade", "the grade adds to more than 100 %", "check the three numbers on the bag").In(p.ID)
	case p.Price < 0 || math.IsNaN(p.Price) || math.IsInf(p.Price, 0):
		return fault.New("price", "the price is not an amount of money", "give the price of one bag").In(p.ID)
	}
	return nil
}
