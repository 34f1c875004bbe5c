// Package seed does the arithmetic of the seed tag and of seeding rates: pure
// live seed and bulk, pounds and pieces, drilled and broadcast.
package seed

import (
	"math"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Tag is what a seed tag prints, as shares from 0 to 1. The zero Tag means
// that there is none. Purity is the pure seed's share of the bag's mass, so
// that pure seed, coating, other crop, weeds and inert matter add to one; on a
// tag that gives the purity of the seed under the coat, set PurityUnderCoat.
type Tag struct {
	Purity          float64 `json:"purity"`
	Germination     float64 `json:"germination"`
	Hard            float64 `json:"hard_or_dormant,omitempty"`
	Coating         float64 `json:"coating,omitempty"`
	PurityUnderCoat bool    `json:"purity_under_coat,omitempty"`
}

// None says that there is no tag.
func (t Tag) None() bool { return t == Tag{} }

// Check says what on the tag cannot be.
func (t Tag) Check() error {
	shares := []struct {
		field string
		value float64
		least float64
	}{
		{"purity", t.Purity, 0.01}, {"germination", t.Germination, 0},
		{"hard_or_dormant", t.Hard, 0}, {"coating", t.Coating, 0},
	}
	for _, s := range shares {
		if !(s.value >= s.least && s.value <= 1) {
			return fault.New("tag", "the share on the tag is not between 0 and 100 %", "copy it from the tag").In(s.field)
		}
	}
	switch {
	case t.Germination+t.Hard > 1+slack:
		return fault.New("tag", "germination and hard or dormant seed add to more than 100 %", "enter the germination without the hard seed").In("germination")
	case t.Germination+t.Hard < 0.01:
		return fault.New("tag", "no seed is alive by this tag", "enter the germination").In("germination")
	case !t.PurityUnderCoat && t.Purity+t.Coating > 1+slack:
		return fault.New("tag", "pure seed and coating add to more than 100 %", "if the purity is that of the seed under the coat, say so").In("coating")
	case t.Pure() < 0.01:
		return fault.New("tag", "less than 1 % of the bag is seed by this tag", "check the coating").In("coating")
	}
	return nil
}

// slack lets shares that were typed as percent add to one.
const slack = 1e-9

// Pure is the share of the bag's mass that is pure seed without its coat; one
// when there is no tag.
func (t Tag) Pure() float64 {
	switch {
	case t.None():
		return 1
	case t.PurityUnderCoat:
		return t.Purity * (1 - t.Coating)
	default:
		return t.Purity
	}
}

// Live is the share of the pure seed that germinates at once or is hard or
// dormant; one when there is no tag.
func (t Tag) Live() float64 {
	if t.None() {
		return 1
	}
	return t.Germination + t.Hard
}

// Sprouting is the share of the pure seed that germinates in the first season:
// hard and dormant seed is alive but comes up later.
func (t Tag) Sprouting() float64 {
	if t.None() {
		return 1
	}
	return t.Germination
}

// PLS is the share of the bag's mass that is pure live seed: purity times the
// sum of germination and hard or dormant seed.
func (t Tag) PLS() float64 { return t.Pure() * t.Live() }

// Bulk is the mass out of the bag that holds a mass of pure live seed.
func (t Tag) Bulk(pls units.Mass) units.Mass { return units.Mass(float64(pls) / t.PLS()) }

// LiveIn is the mass of pure live seed in a mass out of the bag.
func (t Tag) LiveIn(bulk units.Mass) units.Mass { return units.Mass(float64(bulk) * t.PLS()) }

// Counted is the seeds per mass of a counted and weighed sample.
func Counted(seeds int, sample units.Mass) (units.CountPerMass, error) {
	if seeds < 1 || !(sample > 0) || math.IsInf(float64(sample), 0) {
		return 0, fault.New("sample", "a sample needs at least one seed and a weight", "count a hundred or more seeds and weigh them").In("sample_kg")
	}
	return units.CountPerMass(float64(seeds) / float64(sample)), nil
}

// Weighed is the bulk density of a weighed volume, such as a dry quart.
func Weighed(mass units.Mass, volume units.Volume) (units.Density, error) {
	if !(mass > 0) || !(volume > 0) || math.IsInf(float64(mass), 0) || math.IsInf(float64(volume), 0) {
		return 0, fault.New("quart", "a weighed quart needs a weight and a volume", "fill a dry quart level and weigh what is in it").In("mass_kg")
	}
	return units.Density(float64(mass) / float64(volume)), nil
}
