package seed

import (
	"math"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Lot is the seed at hand. PerMass counts pure seeds in a mass of pure seed,
// as tables print it; Counted says that it was counted out of the bag, coat
// and chaff included. Emergence is the share of sprouting seeds that stand as
// plants; zero when not known.
type Lot struct {
	PerMass   units.CountPerMass `json:"seeds_per_kg,omitempty"`
	Counted   bool               `json:"counted,omitempty"`
	Tag       Tag                `json:"tag,omitzero"`
	Emergence float64            `json:"emergence,omitempty"`
}

// Rate is one way to say how much to sow. Of names what it counts: Mass is
// used for product and pure live seed, Count for seeds and plants.
type Rate struct {
	Of    catalog.Of         `json:"of"`
	Mass  units.MassPerArea  `json:"mass_kg_per_m2,omitempty"`
	Count units.CountPerArea `json:"count_per_m2,omitempty"`
}

// Sown is one seeding in every way of saying it. Seeds are all pure seeds on
// the ground, Live those that are alive, Plants those that come up in the
// first season. The counts are zero where the seeds per mass is not known;
// Plants is zero too where the emergence is not.
type Sown struct {
	Bulk   units.MassPerArea  `json:"bulk_kg_per_m2"`
	PLS    units.MassPerArea  `json:"pls_kg_per_m2"`
	Seeds  units.CountPerArea `json:"seeds_per_m2,omitempty"`
	Live   units.CountPerArea `json:"live_seeds_per_m2,omitempty"`
	Plants units.CountPerArea `json:"plants_per_m2,omitempty"`
}

// FromFigure is the typical value of a catalog rate.
func FromFigure(f catalog.Figure) Rate {
	r := Rate{Of: f.Of}
	if f.Unit == "1/m2" {
		r.Count = units.CountPerArea(f.Typical())
	} else {
		r.Mass = units.MassPerArea(f.Typical())
	}
	return r
}

// Sow works out what a rate comes to with the seed at hand. Faults name what
// is missing: the seeds per mass for a rate in pieces, the emergence for a
// rate in plants.
func (l Lot) Sow(r Rate) (Sown, error) {
	if err := l.check(r); err != nil {
		return Sown{}, err
	}
	bulk, err := l.bulk(r)
	if err != nil {
		return Sown{}, err
	}
	s := Sown{Bulk: bulk, PLS: bulk * units.MassPerArea(l.Tag.PLS())}
	s.Seeds = units.CountPerArea(float64(bulk) * l.perBulk())
	s.Live = s.Seeds * units.CountPerArea(l.Tag.Live())
	s.Plants = s.Seeds * units.CountPerArea(l.Tag.Sprouting()*l.Emergence)
	return s, nil
}

// perBulk is how many pure seeds a kilogram out of the bag holds.
func (l Lot) perBulk() float64 {
	if l.Counted {
		return float64(l.PerMass)
	}
	return float64(l.PerMass) * l.Tag.Pure()
}

func (l Lot) bulk(r Rate) (units.MassPerArea, error) {
	switch {
	case r.Of == catalog.OfProduct:
		return r.Mass, nil
	case r.Of == catalog.OfPLS:
		return r.Mass / units.MassPerArea(l.Tag.PLS()), nil
	case r.Of != catalog.OfSeeds && r.Of != catalog.OfPlants:
		return 0, fault.New("rate_of", "the rate does not say what it is of", "use product, pure live seed, seeds or plants").In("of")
	case l.PerMass <= 0:
		return 0, fault.New("seeds_per_mass", "a rate in pieces needs the number of seeds in a pound", "count a sample, or take the figure from the tag").Of(fault.Missing).In("seeds_per_kg")
	case r.Of == catalog.OfSeeds:
		return units.MassPerArea(float64(r.Count) / l.perBulk()), nil
	case l.Emergence <= 0 || l.Tag.Sprouting() <= 0:
		return 0, fault.New("emergence", "a rate in plants needs the share of seeds that come up", "give the field emergence, such as 0.8").Of(fault.Missing).In("emergence")
	default:
		return units.MassPerArea(float64(r.Count) / (l.perBulk() * l.Tag.Sprouting() * l.Emergence)), nil
	}
}

func (l Lot) check(r Rate) error {
	figures := []struct {
		field string
		value float64
		most  float64
	}{
		{"mass_kg_per_m2", float64(r.Mass), math.MaxFloat64}, {"count_per_m2", float64(r.Count), math.MaxFloat64},
		{"seeds_per_kg", float64(l.PerMass), math.MaxFloat64}, {"emergence", l.Emergence, 1},
	}
	for _, f := range figures {
		if !(f.value >= 0 && f.value <= f.most) {
			return fault.New("number", "the figure is below zero, too large or not a number", "leave it out or give a positive figure").In(f.field)
		}
	}
	if l.Tag.None() {
		return nil
	}
	return l.Tag.Check()
}
