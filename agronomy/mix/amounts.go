package mix

import (
	"fmt"
	"math"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Result is a mix worked out for a measured area. Amounts are in the order of
// the mix's items; their Group numbers run from 1 in spreading order.
type Result struct {
	Amounts   []Amount          `json:"amounts"`
	Nutrients Nutrients         `json:"nutrients"` // of what is spread
	Groups    []Group           `json:"groups"`
	Warnings  []Warning         `json:"warnings"`
	Dressing  *Dressing         `json:"dressing,omitempty"`
	Sources   []source.Entry    `json:"sources"` // figures as materials[i].field of the sheet
	Sowings   []Sowing          `json:"-"`       // one per seed, for what should come up
	Products  []catalog.Product `json:"-"`       // one per amount; of a seed, the zero product
}

// Sowing is one seed of the mix as it is spread, for the packages that say what
// should lie and grow on the ground. At is its place among the amounts.
type Sowing struct {
	At   int
	Crop catalog.Crop
	Sown seed.Sown
}

// Amounts works a mix out for a measured area: mass, volume, bags, what the
// bags come to when all is spread, nutrients, hopper groups in spreading order,
// and what a person should be warned of. Sentences are in the given units.
func (m Mix) Amounts(area units.Area, cat *catalog.Catalog, sys units.System) (Result, error) {
	if !(area > 0) || math.IsInf(float64(area), 0) {
		return Result{}, fault.New("area", "the area is not more than zero", "measure the plot first").In("area_m2")
	}
	if err := m.Validate(); err != nil {
		return Result{}, err
	}
	all, err := m.resolve(cat)
	if err != nil {
		return Result{}, err
	}
	var r Result
	for _, s := range all {
		if err := r.work(s, m.partsRate(s.item.Rate.Parts), area, sys); err != nil {
			return Result{}, inItem(err, s.at)
		}
	}
	r.Nutrients = nutrients(all, r.Amounts, area)
	r.group(all)
	r.Warnings = append(r.Warnings, m.shareNote()...)
	r.Warnings = append(r.Warnings, cautions(all, r.Amounts, sys)...)
	r.Dressing = dressing(all, r.Amounts)
	return r, nil
}

// work puts one material into the result. PartsRate is its rate where it is
// given in parts.
func (r *Result) work(s stuff, partsRate units.MassPerArea, area units.Area, sys units.System) error {
	a, err := s.ask(area, partsRate, sys)
	if err != nil {
		return err
	}
	if err := s.plausible(a.mass); err != nil {
		return err
	}
	if err := r.add(s, a, area); err != nil {
		return err
	}
	r.Products = append(r.Products, s.product)
	r.Warnings = append(r.Warnings, a.warnings...)
	r.Sources = append(r.Sources, s.sources(a, sys)...)
	return nil
}

// mostMass is the most of one material that a plot of any size is believed to
// take, in kilograms; it keeps every figure finite.
const mostMass = units.Mass(1e9)

func (s stuff) plausible(m units.Mass) error {
	if m > 0 && m <= mostMass {
		return nil
	}
	what := "the rate comes to next to nothing"
	if !(m <= mostMass) {
		what = "the rate comes to more than " + mostMass.Format(units.US)
	}
	return s.unknown("amount", what, "check the rate and its unit").Of(fault.TooLarge).In("rate")
}

// partsRate is one item's part of the blend's rate.
func (m Mix) partsRate(parts float64) units.MassPerArea {
	sum := 0.0
	for _, it := range m.Items {
		sum += it.Rate.Parts
	}
	if sum == 0 {
		return 0
	}
	return m.PartsRate * units.MassPerArea(parts/sum)
}

// inItem puts the item before the field of a fault.
func inItem(err error, at int) error {
	if f, ok := fault.From(err); ok {
		return f.In(fmt.Sprintf("items[%d].%s", at, f.Where.Field))
	}
	return err
}

// add lists an amount, seed with its numbers on the ground.
func (r *Result) add(s stuff, a asked, area units.Area) error {
	out := s.amount(a, area)
	if s.class == Seed {
		sown, err := s.lot().Sow(seed.Rate{Of: catalog.OfProduct, Mass: out.SpreadRate})
		if err != nil {
			return err
		}
		out.SeedsPerArea, out.LivePerArea = sown.Seeds, sown.Live
		r.Sowings = append(r.Sowings, Sowing{At: s.at, Crop: s.asSown(), Sown: sown})
	}
	r.Amounts = append(r.Amounts, out)
	return nil
}

// amount fills in the bags, what is spread and what stays in the shed.
func (s stuff) amount(a asked, area units.Area) Amount {
	out := Amount{
		ID: s.id, Material: s.name, Class: s.class, Rate: a.rate, RateOf: a.of, RateSays: a.says,
		Mass: a.mass, ProductRate: a.mass.Over(area), SpreadMass: a.mass, ActualMass: a.mass,
		BagMass: s.bag, Density: s.density, Mark: a.mark,
	}
	if s.bag > 0 {
		out.BagsExact = float64(a.mass / s.bag)
		out.Bags = bagsToOpen(out.BagsExact, s.item.HalfBags)
		out.ActualMass = s.bag * units.Mass(out.Bags)
		out.SpreadMass = min(out.SpreadMass, out.ActualMass) // no more than there is
		out.BuyBags = math.Ceil(out.Bags)
		out.Price, out.Cost = s.price, out.BuyBags*s.price
		if s.item.SpreadBags {
			out.SpreadMass = out.ActualMass
		}
		out.Left = s.bag*units.Mass(out.BuyBags) - out.SpreadMass
	}
	out.ActualRate, out.SpreadRate = out.ActualMass.Over(area), out.SpreadMass.Over(area)
	if s.density > 0 {
		out.Volume = out.SpreadMass.Filling(s.density)
	}
	return out
}

// bagSlack is the share of a bag or a hopper that rounding of units may make up.
const bagSlack = 1e-6

// shortOfBag is the share of a bag for which nobody opens another: what is
// there is spread that much thinner. Common practice, no source.
const shortOfBag = 0.01

// bagsToOpen are whole or half bags, one of them at least.
func bagsToOpen(exact float64, half bool) float64 {
	step := 1.0
	if half {
		step = 0.5
	}
	return max(step, step*math.Ceil((exact-shortOfBag)/step))
}

// nutrients sums what the spread fertilizers carry.
func nutrients(all []stuff, amounts []Amount, area units.Area) Nutrients {
	var sum vec
	for i, s := range all {
		sum = sum.plus(vec{s.grade.N, s.grade.P2O5, s.grade.K2O, 0}, float64(amounts[i].SpreadMass))
	}
	return sum.over(area)
}

// sources answers for the figures behind one amount.
func (s stuff) sources(a asked, sys units.System) []source.Entry {
	field := func(name string) string { return fmt.Sprintf("materials[%d].%s", s.at, name) }
	entered := field("rate_kg_per_m2")
	if s.item.Rate.ForPlot() {
		entered = field("mass_kg") // and the rate follows from it
	}
	out := []source.Entry{{Figure: entered, Says: s.name + " at " + a.says, Mark: a.mark}}
	if a.drilled {
		out = append(out, source.Entry{Figure: field("rate_kg_per_m2"), Says: fmt.Sprintf("a drilled rate times %g for broadcasting", seed.BroadcastFactor), Mark: seed.BroadcastMark()})
	}
	if s.density > 0 {
		out = append(out, source.Entry{Figure: field("volume_m3"), Says: s.name + " at " + s.density.Format(sys), Mark: s.densityMark})
	}
	if s.class == Seed && s.seedsPerMass > 0 {
		out = append(out, source.Entry{Figure: field("seeds_per_m2"), Says: s.name + " at " + s.seedsPerMass.FormatOf("seeds", sys), Mark: s.seedsMark})
	}
	if f, ok := s.product.Figure(catalog.Nitrogen); ok && s.class == Fertilizer {
		out = append(out, source.Entry{Figure: field("grade"), Says: "the grade of " + s.name, Mark: f.Mark})
	}
	return out
}
