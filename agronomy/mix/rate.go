package mix

import (
	"fmt"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

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
	drilled  bool // and therefore raised
	warnings []Warning
}

// ask turns the item's rate into a mass of product on an area. PartsRate is
// the item's rate where it is given in parts.
func (s stuff) ask(area units.Area, partsRate units.MassPerArea, sys units.System) (asked, error) {
	r := s.item.Rate
	switch {
	case r.Mass > 0:
		return s.sow(seed.Rate{Of: productUnless(r.Of), Mass: r.Mass}, r.Drilled, area, sys)
	case r.Seeds > 0:
		return s.sow(seed.Rate{Of: catalog.OfSeeds, Count: s.pureSeeds(r.Seeds, r.Of)}, r.Drilled, area, sys)
	case r.Plants > 0:
		return s.sow(seed.Rate{Of: catalog.OfPlants, Count: r.Plants}, false, area, sys)
	case r.Parts > 0:
		return product(partsRate.On(area), area, fmt.Sprintf("%s by weight, %s", partWord(r.Parts), partsRate.Format(sys))), nil
	case r.Volume > 0:
		return s.byVolume(r.Volume.On(area), r.Volume.Format(sys), area)
	case r.PlotVolume > 0:
		return s.byVolume(r.PlotVolume, r.PlotVolume.Format(sys)+" on the plot", area)
	case r.N+r.P2O5+r.K2O > 0:
		return s.byNutrient(area, sys)
	case r.Bags > 0:
		return s.byBags(r.Bags, area)
	case r.PlotMass > 0:
		return product(r.PlotMass, area, r.PlotMass.Format(sys)+" on the plot"), nil
	default:
		return s.byShare(area, sys)
	}
}

func productUnless(of catalog.Of) catalog.Of {
	if of == "" {
		return catalog.OfProduct
	}
	return of
}

// pureSeeds turns a count of live seeds into one of pure seeds.
func (s stuff) pureSeeds(count units.CountPerArea, of catalog.Of) units.CountPerArea {
	if of == catalog.OfPLS {
		return count / units.CountPerArea(s.item.Tag.Live())
	}
	return count
}

func partWord(n float64) string {
	if n == 1 {
		return "1 part"
	}
	return units.Bags(n) + " parts"
}

func product(m units.Mass, area units.Area, says string) asked {
	return asked{mass: m, rate: m.Over(area), of: string(catalog.OfProduct), says: says, mark: source.Mark{Kind: source.Stated}}
}

// sow turns a seeding rate into bulk seed; a drilled rate is raised first.
func (s stuff) sow(r seed.Rate, drilled bool, area units.Area, sys units.System) (asked, error) {
	says := rateWords(r, sys)
	if drilled {
		says = fmt.Sprintf("%s drilled, x %g for broadcasting", says, seed.BroadcastFactor)
		r.Mass *= seed.BroadcastFactor
		r.Count *= seed.BroadcastFactor
	}
	sown, err := s.lot().Sow(r)
	if err != nil {
		return asked{}, err
	}
	a := product(sown.Bulk.On(area), area, says)
	a.drilled = drilled
	if r.Of == catalog.OfPLS {
		a.of, a.rate = string(catalog.OfPLS), sown.PLS
	}
	a.warnings = s.assumed(r, sys)
	return a, nil
}

func rateWords(r seed.Rate, sys units.System) string {
	switch r.Of {
	case catalog.OfPLS:
		return r.Mass.Format(sys) + " pure live seed"
	case catalog.OfSeeds, catalog.OfPlants:
		return r.Count.FormatOf(string(r.Of), sys)
	default:
		return r.Mass.Format(sys)
	}
}

// assumed warns of what a rate needs and the person has not given.
func (s stuff) assumed(r seed.Rate, sys units.System) []Warning {
	var notes []Warning
	if (r.Of == catalog.OfPLS || r.Of == catalog.OfPlants) && s.item.Tag.None() {
		notes = append(notes, s.warn("no_tag", fmt.Sprintf("The rate of %s counts live seed, but no seed tag is entered: all of it is taken as live; enter purity and germination", s.name), practice()))
	}
	if r.Of == catalog.OfPlants && s.item.Emergence == 0 {
		notes = append(notes, s.warn("emergence", fmt.Sprintf("%s of the live seeds of %s are taken to come up; enter your own experience", units.Percent(usualEmergence), s.name),
			published("North Dakota State Univ., optimal seeding rates")))
	}
	return notes
}

func (s stuff) byVolume(v units.Volume, says string, area units.Area) (asked, error) {
	if s.density == 0 {
		return asked{}, s.unknown("density", "a volume cannot be weighed", "weigh a level quart and enter it").In("density_kg_per_m3")
	}
	return product(v.Weighing(s.density), area, says), nil
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
		return asked{}, s.unknown("grade", "it holds no "+of, "choose a product that does").In("rate")
	}
	a := product(rate.On(area)/units.Mass(share), area, rate.Format(sys)+" "+of)
	a.rate, a.of = rate, of
	return a, nil
}

func (s stuff) byBags(bags float64, area units.Area) (asked, error) {
	if s.bag == 0 {
		return asked{}, s.unknown("bag", "bags cannot be weighed", "enter the mass of a bag").In("bag_kg")
	}
	return product(s.bag*units.Mass(bags), area, bagWord(bags)+" on the plot"), nil
}

// byShare takes a share of the full rate.
func (s stuff) byShare(area units.Area, sys units.System) (asked, error) {
	full, err := s.full()
	if err != nil {
		return asked{}, err
	}
	share := s.item.Rate.Share
	r := seed.FromFigure(full.Figure)
	r.Mass *= units.MassPerArea(share)
	r.Count *= units.CountPerArea(share)
	a, err := s.sow(r, full.Factor > 1, area, sys)
	if err != nil {
		return asked{}, err
	}
	a.says, a.mark = fmt.Sprintf("%s of the full rate: %s", units.Percent(share), a.says), full.Figure.Mark
	return a, nil
}

// full is the full rate that a share is of: the person's own, the catalog's
// rate that they name, or the catalog's choice for broadcasting.
func (s stuff) full() (seed.Choice, error) {
	r := s.item.Rate
	if own, ok := r.ownFull(); ok {
		return seed.Raise(own), nil
	}
	if _, ok := s.crop.Figure(r.FullName); r.FullName != "" && !ok {
		return seed.Choice{}, s.unknown("full_rate", fmt.Sprintf("the catalog has no rate %q for it", r.FullName), "name another, or enter full_kg_per_m2").In("rate.full_name")
	}
	choice, err := seed.ForBroadcast(s.crop, r.FullName)
	if err != nil {
		return choice, s.unknown("full_rate", "a share of the full rate cannot be worked out: no full rate is known", "enter full_kg_per_m2").In("rate.full_kg_per_m2")
	}
	return choice, nil
}

// ownFull is the full rate that the person gives.
func (r Rate) ownFull() (f catalog.Figure, ok bool) {
	f = catalog.Figure{Name: catalog.Broadcast, Unit: "kg/m2", Of: productUnless(r.Of), Low: float64(r.Full), Mark: source.Mark{Kind: source.Stated}}
	if r.FullSeeds > 0 {
		f.Unit, f.Of, f.Low = "1/m2", catalog.OfSeeds, float64(r.FullSeeds)
	}
	if r.Drilled {
		f.Name = catalog.Drilled
	}
	f.High = f.Low
	return f, f.Low > 0
}

func (s stuff) unknown(code, what, remedy string) *fault.Error {
	return fault.New(code, s.name+": "+what, remedy)
}
