package soil

import (
	"fmt"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Portion is the exact rate of one product.
type Portion struct {
	Product string            `json:"product"` // id
	Name    string            `json:"name"`
	Rate    units.MassPerArea `json:"rate_kg_per_m2"`
}

// Blend is an exact answer to a need, before bags are made whole. Over and
// Short are against the need.
type Blend struct {
	Portions []Portion      `json:"portions"`
	Gives    mix.Nutrients  `json:"gives"`
	Over     mix.Nutrients  `json:"over"`
	Short    mix.Nutrients  `json:"short"`
	Notes    []catalog.Note `json:"notes,omitempty"`
}

// Carriers are the products that answer for one nutrient each; nil where none
// is on hand. Phosphate may bring nitrogen and potash too, Potash nitrogen.
type Carriers struct {
	Phosphate *catalog.Product
	Potash    *catalog.Product
	Nitrogen  *catalog.Product
}

// PFirst meets phosphate first and credits what else that product brings, then
// potash, then nitrogen. More nitrogen than needed is never silent: it is in
// Over and in a note.
func PFirst(need mix.Nutrients, from Carriers, sys units.System) (Blend, error) {
	var b Blend
	steps := []struct {
		nutrient string
		product  *catalog.Product
		of       func(mix.Nutrients) units.MassPerArea
	}{
		{"P2O5", from.Phosphate, func(n mix.Nutrients) units.MassPerArea { return n.P2O5 }},
		{"K2O", from.Potash, func(n mix.Nutrients) units.MassPerArea { return n.K2O }},
		{"N", from.Nitrogen, func(n mix.Nutrients) units.MassPerArea { return n.N }},
	}
	for _, s := range steps {
		left := s.of(above(need, b.Gives))
		if left == 0 || s.product == nil {
			continue
		}
		share := s.of(Gives(s.product.Grade(), 1))
		if share <= 0 {
			return Blend{}, fault.New("grade", s.product.Name+" holds no "+s.nutrient, "choose a product that does").In(s.product.ID)
		}
		rate := left / share
		b.Portions = append(b.Portions, Portion{Product: s.product.ID, Name: s.product.Name, Rate: rate})
		b.Gives = plus(b.Gives, Gives(s.product.Grade(), rate))
	}
	b.Over, b.Short = above(b.Gives, need), above(need, b.Gives)
	b.Notes = b.remarks(sys)
	return b, nil
}

func (b Blend) remarks(sys units.System) []catalog.Note {
	arithmetic := source.Mark{Kind: source.Definition}
	var notes []catalog.Note
	add := func(r units.MassPerArea, format string) {
		if r > 0 {
			notes = append(notes, catalog.Note{Says: fmt.Sprintf(format, r.Format(sys)), Mark: arithmetic})
		}
	}
	add(b.Over.N, "This brings %s of nitrogen more than is needed: choose a phosphate or potash product with less nitrogen")
	add(b.Over.P2O5, "This brings %s of P2O5 more than is needed, and phosphate that runs off feeds algae")
	add(b.Over.K2O, "This brings %s of K2O more than is needed")
	add(b.Short.N, "Nitrogen stays %s short: no nitrogen product is chosen")
	add(b.Short.P2O5, "P2O5 stays %s short: no phosphate product is chosen")
	add(b.Short.K2O, "K2O stays %s short: no potash product is chosen")
	return notes
}

// Choose picks the carriers for a need among products on hand: for phosphate
// the richest that brings neither nitrogen nor potash beyond the need, else
// the one that brings least nitrogen with it; for potash the richest without
// phosphate that keeps to the nitrogen; for nitrogen the richest without
// either. The first on hand wins a tie.
func Choose(need mix.Nutrients, onHand []catalog.Product) Carriers {
	var c Carriers
	for i := range onHand {
		p := &onHand[i]
		g := p.Grade()
		switch {
		case p.Class != catalog.Fertilizer:
		case g.P2O5 > 0:
			c.Phosphate = better(c.Phosphate, p, need.P2O5, need, func(g catalog.Grade) float64 { return g.P2O5 })
		case g.K2O > 0:
			c.Potash = better(c.Potash, p, need.K2O, need, func(g catalog.Grade) float64 { return g.K2O })
		case g.N > 0 && (c.Nitrogen == nil || g.N > c.Nitrogen.Grade().N):
			c.Nitrogen = p
		}
	}
	return c
}

// better compares two carriers of one nutrient: first by what they would bring
// beyond the need when they meet it, then by richness.
func better(held, offered *catalog.Product, wanted units.MassPerArea, need mix.Nutrients, share func(catalog.Grade) float64) *catalog.Product {
	if held == nil {
		return offered
	}
	excess := func(p *catalog.Product) units.MassPerArea {
		g := p.Grade()
		over := above(Gives(g, wanted/units.MassPerArea(share(g))), need)
		return over.N + over.P2O5 + over.K2O
	}
	a, b := excess(held), excess(offered)
	if b < a || (b == a && share(offered.Grade()) > share(held.Grade())) {
		return offered
	}
	return held
}

// Part is a product's share of a blend's mass.
type Part struct {
	Product string  `json:"product"` // id
	Name    string  `json:"name"`
	Share   float64 `json:"share"`
}

// Compound is how a grade is blended from products: shares of the mass, with
// inert filler for the rest. A grade that needs more than the whole mass, or
// that these products cannot hit, is refused.
func Compound(grade catalog.Grade, from Carriers) (parts []Part, filler float64, err error) {
	b, err := PFirst(Gives(grade, 1), from, units.US)
	if err != nil {
		return nil, 0, err
	}
	if (b.Over != mix.Nutrients{}) || (b.Short != mix.Nutrients{}) {
		return nil, 0, fault.New("grade", "these products do not make this grade", "choose products that do: "+b.Notes[0].Says)
	}
	filler = 1
	for _, p := range b.Portions {
		parts = append(parts, Part{Product: p.Product, Name: p.Name, Share: float64(p.Rate)})
		filler -= float64(p.Rate)
	}
	if filler < -1e-12 {
		return nil, 0, fault.New("grade", "the grade is richer than these products can make", "choose richer products or a leaner grade")
	}
	return parts, max(filler, 0), nil
}
