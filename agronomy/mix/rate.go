package mix

import (
	"fmt"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// broadcastFactor raises a drilled rate for broadcasting: 1.25 (printed 1.25
// to 1.30). Never on a rate that is a broadcast rate already.
const (
	broadcastFactor = 1.25
	broadcastCite   = "Univ. of Georgia forages; Mississippi State"
)

// broadcasting is the factor on a rate and the words for it.
func broadcasting(drilled bool, says string) (float64, string) {
	if !drilled {
		return 1, says
	}
	return broadcastFactor, fmt.Sprintf("%s drilled, x %g for broadcasting", says, broadcastFactor)
}

// usualEmergence is the share of live seeds that come up where the user gives
// none: 15 % loss, North Dakota State Univ., optimal seeding rates.
const usualEmergence = 0.85

// asked is a rate worked out for an area: the mass of product, the rate of
// what it counts, and the words for it.
type asked struct {
	mass     units.Mass
	rate     units.MassPerArea
	of       string
	says     string
	mark     source.Mark
	drilled  bool
	warnings []Warning
}

// ask turns the item's rate into a mass of product on an area. partsShare is
// the item's rate where it is given in parts.
func (s stuff) ask(area units.Area, partsRate units.MassPerArea, sys units.System) (asked, error) {
	r := s.item.Rate
	stated := source.Mark{Kind: source.Stated}
	switch {
	case r.Mass > 0:
		return s.byMass(r.Mass, r.Of, r.Drilled, area, sys, stated), nil
	case r.Parts > 0:
		a := s.byMass(partsRate, catalog.OfProduct, false, area, sys, stated)
		a.says = fmt.Sprintf("%s part by weight, %s", units.Bags(r.Parts), a.says)
		return a, nil
	case r.Volume > 0:
		return s.byVolume(r.Volume.On(area), r.Volume.Format(sys), area)
	case r.PlotVolume > 0:
		return s.byVolume(r.PlotVolume, r.PlotVolume.Format(sys)+" on the plot", area)
	case r.Seeds > 0:
		return s.bySeeds(r.Seeds, r.Of, r.Drilled, area, sys, stated)
	case r.Plants > 0:
		return s.byPlants(r.Plants, area, sys)
	case r.N+r.P2O5+r.K2O > 0:
		return s.byNutrient(area, sys)
	case r.Bags > 0:
		return s.byBags(r.Bags, area)
	case r.PlotMass > 0:
		return product(r.PlotMass, area, r.PlotMass.Format(sys)+" on the plot", stated), nil
	default:
		return s.byShare(area, sys)
	}
}

func product(m units.Mass, area units.Area, says string, mark source.Mark) asked {
	return asked{mass: m, rate: m.Over(area), of: string(catalog.OfProduct), says: says, mark: mark}
}

// byMass takes a rate of product or of pure live seed; a drilled one is raised.
func (s stuff) byMass(rate units.MassPerArea, of catalog.Of, drilled bool, area units.Area, sys units.System, mark source.Mark) asked {
	says := rate.Format(sys)
	if of == catalog.OfPLS {
		says += " pure live seed"
	}
	factor, says := broadcasting(drilled, says)
	rate *= units.MassPerArea(factor)
	if of != catalog.OfPLS {
		return product(rate.On(area), area, says, mark)
	}
	a := asked{mass: rate.On(area) / units.Mass(s.live()), rate: rate, of: string(catalog.OfPLS), says: says, mark: mark}
	if s.item.Tag == nil {
		a.warnings = []Warning{s.warn("no_tag", fmt.Sprintf("The rate of %s is of pure live seed, but no seed tag is entered: it is taken as all live; enter purity and germination", s.name), practice())}
	}
	return a
}

func (s stuff) byVolume(v units.Volume, says string, area units.Area) (asked, error) {
	if s.density == 0 {
		return asked{}, s.unknown("density", "a volume cannot be weighed", "weigh a level quart and enter it").In("density_kg_per_m3")
	}
	return product(v.Weighing(s.density), area, says, source.Mark{Kind: source.Stated}), nil
}

// bySeeds counts pure seeds, or live ones where the rate is of pure live seed.
func (s stuff) bySeeds(rate units.CountPerArea, of catalog.Of, drilled bool, area units.Area, sys units.System, mark source.Mark) (asked, error) {
	if s.seedsPerMass == 0 {
		return asked{}, s.unknown("seeds_per_mass", "a number of seeds cannot be weighed", "count a weighed sample and enter it").In("seeds_per_kg")
	}
	says, share := rate.FormatOf("seeds", sys), s.pure()
	if of == catalog.OfPLS {
		says, share = rate.FormatOf("live seeds", sys), s.live()
	}
	factor, says := broadcasting(drilled, says)
	kg := factor * rate.On(area) / float64(s.seedsPerMass) / share
	return product(units.Mass(kg), area, says, mark), nil
}

func (s stuff) byPlants(rate units.CountPerArea, area units.Area, sys units.System) (asked, error) {
	emergence := s.item.Emergence
	var note []Warning
	if emergence == 0 {
		emergence = usualEmergence
		note = []Warning{s.warn("emergence", fmt.Sprintf("%s of the live seeds of %s are taken to come up; enter your own experience", units.Percent(emergence), s.name),
			source.Mark{Kind: source.Published, Cite: "North Dakota State Univ., optimal seeding rates"})}
	}
	a, err := s.bySeeds(rate/units.CountPerArea(emergence), catalog.OfPLS, false, area, sys, source.Mark{Kind: source.Stated})
	a.says, a.warnings = rate.FormatOf("plants", sys), note
	return a, err
}

// byNutrient is the product that carries a nutrient rate.
func (s stuff) byNutrient(area units.Area, sys units.System) (asked, error) {
	r := s.item.Rate
	rate, share, of := r.N, s.grade.N, "N"
	switch {
	case r.P2O5 > 0:
		rate, share, of = r.P2O5, s.grade.P2O5, "P2O5"
	case r.K2O > 0:
		rate, share, of = r.K2O, s.grade.K2O, "K2O"
	}
	if share == 0 {
		return asked{}, s.unknown("grade", "holds no "+of, "choose a product that does").In("rate")
	}
	return asked{mass: rate.On(area) / units.Mass(share), rate: rate, of: of, says: rate.Format(sys) + " " + of, mark: source.Mark{Kind: source.Stated}}, nil
}

func (s stuff) byBags(bags float64, area units.Area) (asked, error) {
	if s.bag == 0 {
		return asked{}, s.unknown("bag", "bags cannot be weighed", "enter the mass of a bag").In("bag_kg")
	}
	return product(s.bag*units.Mass(bags), area, bagWord(bags)+" on the plot", source.Mark{Kind: source.Stated}), nil
}

// byShare takes a share of the full rate.
func (s stuff) byShare(area units.Area, sys units.System) (asked, error) {
	r := s.item.Rate
	full, err := s.full()
	if err != nil {
		return asked{}, err
	}
	rate, drilled := full.Typical(), full.Name == catalog.Drilled
	var a asked
	if full.Unit == seedUnit {
		a, err = s.countShare(rate*r.Share, full, drilled, area, sys)
	} else {
		a = s.byMass(units.MassPerArea(rate*r.Share), full.Of, drilled, area, sys, full.Mark)
	}
	a.says, a.drilled = fmt.Sprintf("%s of the full rate: %s", units.Percent(r.Share), a.says), drilled
	return a, err
}

func (s stuff) countShare(rate float64, full catalog.Figure, drilled bool, area units.Area, sys units.System) (asked, error) {
	if full.Of == catalog.OfPlants {
		return s.byPlants(units.CountPerArea(rate), area, sys)
	}
	return s.bySeeds(units.CountPerArea(rate), full.Of, drilled, area, sys, full.Mark)
}

// seedUnit is the catalog's unit of rates that count pieces.
const seedUnit = "1/m2"

// full is the full rate that a share is of.
func (s stuff) full() (catalog.Figure, error) {
	r := s.item.Rate
	own := catalog.Figure{Unit: "kg/m2", Of: r.Of, Low: float64(r.Full), High: float64(r.Full), Mark: source.Mark{Kind: source.Stated}}
	if r.FullSeeds > 0 {
		own.Unit, own.Low, own.High = seedUnit, float64(r.FullSeeds), float64(r.FullSeeds)
	}
	if r.Drilled {
		own.Name = catalog.Drilled
	}
	if own.Low > 0 {
		return own, nil
	}
	wanted := []catalog.Name{r.FullName}
	if r.FullName == "" {
		wanted = []catalog.Name{catalog.Broadcast, catalog.Alone, catalog.AnyRate, catalog.Cover, catalog.Drilled}
	}
	for _, name := range wanted {
		if f, ok := s.crop.Figure(name); ok {
			return f, nil
		}
	}
	return own, s.unknown("full_rate", "a share of the full rate cannot be worked out: no full rate is known", "enter full_kg_per_m2").In("rate.full_kg_per_m2")
}

func (s stuff) unknown(code, what, remedy string) *fault.Error {
	return fault.New(code, s.name+": "+what, remedy)
}
