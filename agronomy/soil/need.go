// Package soil turns what a soil laboratory asks for into rates of products:
// nutrients, with credit for what else brings them, and lime.
package soil

import (
	"fmt"
	"math"
	"strings"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Standard atomic weights (IUPAC; dimensionless), as reports mix elements and
// oxides.
const (
	weightP = 30.973762
	weightK = 39.0983
	weightO = 15.999
)

// Element per oxide, by mass: P in P2O5 and K in K2O.
const (
	PPerP2O5 = 2 * weightP / (2*weightP + 5*weightO)
	KPerK2O  = 2 * weightK / (2*weightK + weightO)
)

// Report is what a soil-test report recommends. What it does not say is nil;
// zero is a recommendation like any other. Phosphorus is given as oxide or as
// element, not both; potassium likewise.
type Report struct {
	Laboratory string             `json:"laboratory,omitempty"`
	N          *units.MassPerArea `json:"n_kg_per_m2,omitempty"`
	P2O5       *units.MassPerArea `json:"p2o5_kg_per_m2,omitempty"`
	K2O        *units.MassPerArea `json:"k2o_kg_per_m2,omitempty"`
	P          *units.MassPerArea `json:"p_kg_per_m2,omitempty"`
	K          *units.MassPerArea `json:"k_kg_per_m2,omitempty"`
}

// Told says whether the report recommends anything, be it nothing at all: one
// that is silent on every nutrient is no soil test.
func (r Report) Told() bool {
	return r.N != nil || r.P2O5 != nil || r.K2O != nil || r.P != nil || r.K != nil
}

// Need is what the ground should get, in the oxide form that grades use.
type Need struct {
	mix.Nutrients
	Says string      `json:"says"`
	Mark source.Mark `json:"mark"`
}

// Need converts the report to the oxide form. What the report does not say is
// taken as none, and named.
func (r Report) Need() (Need, error) {
	for _, f := range []struct {
		field string
		value *units.MassPerArea
	}{{"n_kg_per_m2", r.N}, {"p2o5_kg_per_m2", r.P2O5}, {"k2o_kg_per_m2", r.K2O}, {"p_kg_per_m2", r.P}, {"k_kg_per_m2", r.K}} {
		if !amount(orNone(f.value)) {
			return Need{}, fault.New("need", "the recommendation is not a rate of zero or more, up to 1000 lb/ac", "copy it from the report").In(f.field)
		}
	}
	switch {
	case orNone(r.P) > 0 && orNone(r.P2O5) > 0:
		return Need{}, fault.New("need", "phosphorus is given as P and as P2O5", "give the one that the report recommends").In("p_kg_per_m2")
	case orNone(r.K) > 0 && orNone(r.K2O) > 0:
		return Need{}, fault.New("need", "potassium is given as K and as K2O", "give the one that the report recommends").In("k_kg_per_m2")
	}
	n := mix.Nutrients{N: orNone(r.N), P2O5: orNone(r.P2O5) + orNone(r.P)/PPerP2O5, K2O: orNone(r.K2O) + orNone(r.K)/KPerK2O}
	return Need{Nutrients: n, Says: r.says(), Mark: source.Mark{Kind: source.Measured}}, nil
}

func (r Report) says() string {
	says := "as the soil-test report recommends"
	if r.Laboratory != "" {
		says = "as the soil-test report of " + r.Laboratory + " recommends"
	}
	var silent []string
	for _, f := range []struct {
		name  string
		given bool
	}{{"N", r.N != nil}, {"P2O5", r.P2O5 != nil || r.P != nil}, {"K2O", r.K2O != nil || r.K != nil}} {
		if !f.given {
			silent = append(silent, f.name)
		}
	}
	if len(silent) > 0 {
		says += "; " + strings.Join(silent, " and ") + " not given, taken as none"
	}
	return says
}

func orNone(r *units.MassPerArea) units.MassPerArea {
	if r == nil {
		return 0
	}
	return *r
}

// amount is a believable rate of a nutrient: to 1000 lb/ac.
func amount(r units.MassPerArea) bool { return r >= 0 && r <= 1000*units.PoundPerAcre }

// Elements are phosphorus and potassium as elements.
func Elements(n mix.Nutrients) (p, k units.MassPerArea) { return n.P2O5 * PPerP2O5, n.K2O * KPerK2O }

// DefaultNeed stands in for a soil test that nobody took: a modest dressing,
// without nitrogen where every crop is a legume and finds its own. The figures
// are from memory and a soil test replaces them.
func DefaultNeed(legumesOnly bool) Need {
	n := Need{
		Nutrients: mix.Nutrients{N: 60 * units.PoundPerAcre, P2O5: 40 * units.PoundPerAcre, K2O: 40 * units.PoundPerAcre},
		Says:      "no soil test: a modest dressing is assumed; a test costs less than a bag and replaces this guess",
		Mark:      source.Mark{Kind: source.Memory},
	}
	if legumesOnly {
		n.N = 0
		n.Says = "no soil test: a modest dressing is assumed, no nitrogen because legumes find their own; a test replaces this guess"
	}
	return n
}

// Credit is what something already brings: manure, a plowed-down legume,
// another product.
type Credit struct {
	From string `json:"from"`
	mix.Nutrients
	Mark source.Mark `json:"mark"`
}

// checkCredits says which credit is no rate of zero or more, up to 1000 lb/ac.
func checkCredits(credits []Credit) error {
	for i, c := range credits {
		if !amount(c.N) || !amount(c.P2O5) || !amount(c.K2O) {
			return fault.New("credit", "the credit from "+c.From+" is not a rate of zero or more, up to 1000 lb/ac", "enter what it brings, or leave it out").In(fmt.Sprintf("credits[%d]", i))
		}
	}
	return nil
}

// After takes credits off a need. What they bring beyond it is spare, nutrient
// by nutrient, and is never taken off another nutrient. A credit that is no rate
// is refused; the fault's field is credits[i].
func (n Need) After(credits ...Credit) (left, spare mix.Nutrients, err error) {
	if err := checkCredits(credits); err != nil {
		return left, spare, err
	}
	left = n.Nutrients
	for _, c := range credits {
		left = minus(left, c.Nutrients)
	}
	return above(left, mix.Nutrients{}), above(mix.Nutrients{}, left), nil
}

// Gives is what a rate of a product of a grade brings.
func Gives(g catalog.Grade, rate units.MassPerArea) mix.Nutrients {
	part := func(share float64) units.MassPerArea { return rate * units.MassPerArea(share) }
	return mix.Nutrients{N: part(g.N), P2O5: part(g.P2O5), K2O: part(g.K2O)}
}

func plus(a, b mix.Nutrients) mix.Nutrients {
	return mix.Nutrients{N: a.N + b.N, P2O5: a.P2O5 + b.P2O5, K2O: a.K2O + b.K2O}
}

func minus(a, b mix.Nutrients) mix.Nutrients {
	return mix.Nutrients{N: a.N - b.N, P2O5: a.P2O5 - b.P2O5, K2O: a.K2O - b.K2O}
}

// above is by how much a exceeds b. What rounding leaves of a rate that was
// met counts as nothing.
func above(a, b mix.Nutrients) mix.Nutrients {
	part := func(x, y units.MassPerArea) units.MassPerArea {
		if x-y <= units.MassPerArea(1e-12*math.Max(float64(x), float64(y))) {
			return 0
		}
		return x - y
	}
	return mix.Nutrients{N: part(a.N, b.N), P2O5: part(a.P2O5, b.P2O5), K2O: part(a.K2O, b.K2O)}
}
