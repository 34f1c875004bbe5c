package mix

import (
	"math"
	"slices"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Way is one of the ways to say how much of a material is wanted; its words are
// the names of a rate's figures, and one more for a mass of pure live seed.
type Way string

// The ways.
const (
	ByMass       Way = "mass_kg_per_m2"
	ByPLS        Way = "pls_kg_per_m2" // Mass, of pure live seed
	ByVolume     Way = "volume_m3_per_m2"
	BySeeds      Way = "seeds_per_m2"
	ByPlants     Way = "plants_per_m2"
	ByN          Way = "n_kg_per_m2"
	ByP2O5       Way = "p2o5_kg_per_m2"
	ByK2O        Way = "k2o_kg_per_m2"
	ByBags       Way = "bags"
	ByPlotVolume Way = "plot_volume_m3"
	ByPlotMass   Way = "plot_mass_kg"
	ByShare      Way = "share_of_full"
	ByParts      Way = "parts"
)

// ways are all of them, those on an area first.
var ways = []Way{ByMass, ByPLS, BySeeds, ByPlants, ByShare, ByN, ByP2O5, ByK2O, ByVolume, ByParts, ByPlotMass, ByPlotVolume, ByBags}

// seedWays mean something of seed alone, feedWays of fertilizer alone.
var (
	seedWays = []Way{ByPLS, BySeeds, ByPlants, ByShare}
	feedWays = []Way{ByN, ByP2O5, ByK2O}
)

// By is a rate of so much in one way.
func By(w Way, value float64) (r Rate) {
	switch w {
	case ByPLS:
		r.Mass, r.Of = units.MassPerArea(value), catalog.OfPLS
	case ByVolume:
		r.Volume = units.VolumePerArea(value)
	case BySeeds:
		r.Seeds = units.CountPerArea(value)
	case ByPlants:
		r.Plants = units.CountPerArea(value)
	case ByN:
		r.N = units.MassPerArea(value)
	case ByP2O5:
		r.P2O5 = units.MassPerArea(value)
	case ByK2O:
		r.K2O = units.MassPerArea(value)
	case ByBags:
		r.Bags = value
	case ByPlotVolume:
		r.PlotVolume = units.Volume(value)
	case ByPlotMass:
		r.PlotMass = units.Mass(value)
	case ByShare:
		r.Share = value
	case ByParts:
		r.Parts = value
	default:
		r.Mass = units.MassPerArea(value)
	}
	return r
}

// few tells the ways whose figures a person writes with few digits; a figure
// that was worked out is rounded to three.
func (w Way) few() bool { return w == ByBags || w == ByShare || w == ByParts }

func (w Way) rounded(value float64) float64 {
	if !w.few() || value <= 0 {
		return value
	}
	scale := math.Pow(10, 2-math.Floor(math.Log10(value)))
	return math.Round(value*scale) / scale
}

// Look is what a person has to know of an item to change it: what it is, the
// ways in which its rate can be given, and the share of the bag that is pure
// live seed by its tag. PLS is zero without a tag.
type Look struct {
	Name  string     `json:"name"`
	Class Class      `json:"class"`
	Bag   units.Mass `json:"bag_kg,omitempty"`
	Ways  []Way      `json:"ways"`
	PLS   float64    `json:"pls,omitempty"`
}

// Looks are one for each item. Of a material that the catalog does not know
// only the id is said. The catalog knows the mix's own.
func (m Mix) Looks(cat *catalog.Catalog) []Look {
	looks := make([]Look, len(m.Items))
	for i, it := range m.Items {
		s, err := it.resolve(cat)
		if err != nil {
			looks[i] = Look{Name: it.id(), Ways: []Way{}}
			continue
		}
		looks[i] = Look{Name: s.name, Class: s.class, Bag: s.bag, Ways: s.ways()}
		if !it.Tag.None() && it.Tag.Check() == nil {
			looks[i].PLS = it.Tag.PLS()
		}
	}
	return looks
}

// ways are those that fit the material and for which its figures are known.
func (s stuff) ways() []Way {
	return slices.DeleteFunc(slices.Clone(ways), func(w Way) bool {
		switch {
		case s.class != Seed && slices.Contains(seedWays, w), s.class != Fertilizer && slices.Contains(feedWays, w):
			return true
		case w == ByParts:
			return false
		}
		_, err := s.massOf(By(w, 1), units.Acre, 0)
		return err != nil
	})
}

// massOf is the mass of product that a rate of this material comes to.
func (s stuff) massOf(r Rate, area units.Area, partsRate units.MassPerArea) (units.Mass, error) {
	s.item.Rate = r
	a, err := s.ask(area, partsRate, units.US)
	return a.mass, err
}

// Recounted is the mix with one item's rate said in another way, so that as
// much of it goes on the area, in square metres. Parts join the blend of those
// that are there, or begin one: no other rate changes. The area is needed where
// the rate is for the plot, before or after. The catalog knows the mix's own.
func (m Mix) Recounted(at int, to Way, area units.Area, cat *catalog.Catalog) (Mix, error) {
	if at < 0 || at >= len(m.Items) {
		return m, fault.New("item", "the mix has no such material", "load the page again").In("item")
	}
	s, err := m.Items[at].resolve(cat)
	if err != nil {
		return m, inItem(err, at)
	}
	old := m.Items[at].Rate
	if !(area > 0) {
		if old.ForPlot() || By(to, 1).ForPlot() {
			return m, fault.New("area", "an amount for the plot and a rate go over into each other only by the area", "measure the plot first").In("area_m2")
		}
		area = units.Acre // rates keep their proportion on any area
	}
	mass, err := s.massOf(old, area, m.partsRate(old.Parts))
	if err != nil {
		return m, inItem(err, at)
	}
	out := m
	out.Items = slices.Clone(m.Items)
	out.Items[at].Rate = Rate{}
	if old.Parts > 0 {
		out.PartsRate -= mass.Over(area)
	}
	if to == ByParts {
		return out.joined(at, mass.Over(area)), nil
	}
	one, err := s.massOf(By(to, 1), area, 0)
	if err != nil {
		return m, inItem(err, at)
	}
	out.Items[at].Rate = By(to, to.rounded(float64(mass/one)))
	return out.blended(), nil
}

// joined makes an item part of the blend at a rate of its own.
func (m Mix) joined(at int, rate units.MassPerArea) Mix {
	parts := 0.0
	for _, it := range m.Items {
		parts += it.Rate.Parts
	}
	if parts == 0 || m.PartsRate <= 0 {
		m.Items[at].Rate, m.PartsRate = By(ByParts, 1), rate
		return m
	}
	mine := ByParts.rounded(parts * float64(rate/m.PartsRate))
	m.Items[at].Rate = By(ByParts, mine)
	m.PartsRate *= units.MassPerArea((parts + mine) / parts)
	return m
}
