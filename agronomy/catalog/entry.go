package catalog

import (
	"slices"

	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
)

// Class sorts entries by how they are handled; the words are those of a
// sheet's materials.
type Class string

// The classes.
const (
	Seed       Class = "seed"
	Fertilizer Class = "fertilizer"
	Lime       Class = "lime"
)

// Season is the part of the year in which a crop grows.
type Season string

// The seasons.
const (
	Cool Season = "cool"
	Warm Season = "warm"
)

// Release tells nitrogen products apart by how fast the nitrogen is there and
// can be lost; empty for a product without nitrogen.
type Release string

// The kinds of nitrogen.
const (
	Plain     Release = "plain"
	Slow      Release = "slow"      // coated or polymerized: given off over weeks
	Inhibited Release = "inhibited" // plain, with an additive that slows its loss
)

// Note is a sentence for the reader, with where it comes from.
type Note struct {
	Says string      `json:"says"`
	Mark source.Mark `json:"mark"`
}

// Crop is one species as seed. Coated seed must not be mixed with fertilizer,
// nor may inoculated seed. Mark stands behind legume, inoculant and season;
// each figure has its own.
type Crop struct {
	ID        string      `json:"id"`
	Name      string      `json:"name"`
	Legume    bool        `json:"legume,omitempty"`
	Inoculant string      `json:"inoculant,omitempty"` // the group that its inoculant is sold for
	Season    Season      `json:"season,omitempty"`
	Coated    bool        `json:"coated,omitempty"`
	Treated   bool        `json:"treated,omitempty"` // with a pesticide
	Figures   []Figure    `json:"figures"`
	Cautions  []Note      `json:"cautions,omitempty"`
	Also      []Note      `json:"also_called,omitempty"` // other names of the trade
	Mark      source.Mark `json:"mark"`
}

// Product is one fertilizer or lime. Ammonium and ContainsPhosphate say that
// it must be kept apart from lime.
type Product struct {
	ID                string      `json:"id"`
	Name              string      `json:"name"`
	Class             Class       `json:"class"`
	Release           Release     `json:"nitrogen,omitempty"`
	Urea              bool        `json:"urea,omitempty"` // loses nitrogen to the air until worked or rained in
	Ammonium          bool        `json:"ammonium,omitempty"`
	ContainsPhosphate bool        `json:"phosphate,omitempty"`
	Price             float64     `json:"price_per_bag,omitempty"` // in the user's money
	Figures           []Figure    `json:"figures"`
	Cautions          []Note      `json:"cautions,omitempty"`
	Also              []Note      `json:"also_called,omitempty"` // other names of the trade
	Mark              source.Mark `json:"mark"`
}

// Figure finds the crop's figure of a name; a crop may have two rates of one
// name that count different things, and the first is returned.
func (c Crop) Figure(n Name) (Figure, bool) { return find(c.Figures, n) }

// Rates are the crop's rates, in the order of RateNames. Not one of them has
// been corrected for the method or for the seed tag.
func (c Crop) Rates() []Figure {
	var rates []Figure
	for _, n := range RateNames() {
		for _, f := range c.Figures {
			if f.Name == n {
				rates = append(rates, f)
			}
		}
	}
	return rates
}

// Figure finds the product's figure of a name.
func (p Product) Figure(n Name) (Figure, bool) { return find(p.Figures, n) }

// Grade is what a product holds, as shares of its mass from 0 to 1.
type Grade struct {
	N    float64 `json:"n"`
	P2O5 float64 `json:"p2o5"`
	K2O  float64 `json:"k2o"`
}

// Grade is the product's grade; zero where a figure is absent.
func (p Product) Grade() Grade {
	return Grade{N: typical(p.Figures, Nitrogen), P2O5: typical(p.Figures, Phosphate), K2O: typical(p.Figures, Potash)}
}

// BagMass is the mass of one bag, zero when it is sold loose.
func (p Product) BagMass() units.Mass { return units.Mass(typical(p.Figures, Bag)) }

// Density is the product's bulk density, zero when none is known.
func (p Product) Density() units.Density { return units.Density(typical(p.Figures, BulkDensity)) }

// Density is the seed's bulk density from its bushel weight, zero when none
// is known.
func (c Crop) Density() units.Density { return units.Density(typical(c.Figures, BulkDensity)) }

// SeedsPerMass is how many seeds a kilogram holds, zero when not known.
func (c Crop) SeedsPerMass() units.CountPerMass {
	return units.CountPerMass(typical(c.Figures, SeedsPerMass))
}

// BagMass is the mass of one bag of seed, zero when not known.
func (c Crop) BagMass() units.Mass { return units.Mass(typical(c.Figures, Bag)) }

// typical is a figure's typical value, zero when it is absent.
func typical(figures []Figure, n Name) float64 {
	f, _ := find(figures, n)
	return f.Typical()
}

func find(figures []Figure, n Name) (Figure, bool) {
	if i := slices.IndexFunc(figures, func(f Figure) bool { return f.Name == n }); i >= 0 {
		return figures[i], true
	}
	return Figure{}, false
}

func (c Crop) copied() Crop {
	c.Figures, c.Cautions, c.Also = slices.Clone(c.Figures), slices.Clone(c.Cautions), slices.Clone(c.Also)
	return c
}

func (p Product) copied() Product {
	p.Figures, p.Cautions, p.Also = slices.Clone(p.Figures), slices.Clone(p.Cautions), slices.Clone(p.Also)
	return p
}
