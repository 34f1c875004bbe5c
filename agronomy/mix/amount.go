// Package mix turns rates and a measured area into amounts, whole bags, hopper
// loads and what they supply.
package mix

import (
	"fmt"

	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
)

// Amount is what one material comes to on the measured area. Mass is bulk
// product as it leaves the bag; BagsExact may be a fraction, and the actual
// figures say what happens when whole bags are bought and all spread. The
// spread figures say what goes into the hopper: the mass, or all of the opened
// bags where the mix asks for that. Volume is of what is spread.
type Amount struct {
	ID           string             `json:"id"`       // in the catalog
	Material     string             `json:"material"` // name for people
	Class        Class              `json:"class"`
	Group        int                `json:"group"` // materials of one group share the hopper
	Rate         units.MassPerArea  `json:"rate_kg_per_m2"`
	RateOf       string             `json:"rate_of"` // product, pure live seed, N, P2O5, K2O
	RateSays     string             `json:"rate_says"`
	Mass         units.Mass         `json:"mass_kg"`
	Volume       units.Volume       `json:"volume_m3,omitempty"` // zero when no density is known
	BagMass      units.Mass         `json:"bag_kg,omitempty"`
	BagsExact    float64            `json:"bags_exact,omitempty"`
	Bags         float64            `json:"bags,omitempty"`     // to open: whole, or half where allowed
	BuyBags      float64            `json:"buy_bags,omitempty"` // whole bags to pay for
	ActualMass   units.Mass         `json:"actual_kg"`          // when Bags are all spread
	ActualRate   units.MassPerArea  `json:"actual_rate_kg_per_m2"`
	ProductRate  units.MassPerArea  `json:"product_rate_kg_per_m2"` // of Mass
	SpreadMass   units.Mass         `json:"spread_kg"`
	SpreadRate   units.MassPerArea  `json:"spread_rate_kg_per_m2"`
	Left         units.Mass         `json:"left_kg,omitempty"` // of the bags bought
	Density      units.Density      `json:"density_kg_per_m3,omitempty"`
	SeedsPerArea units.CountPerArea `json:"seeds_per_m2,omitempty"`      // pure seeds, on what is spread
	LivePerArea  units.CountPerArea `json:"live_seeds_per_m2,omitempty"` // of these
	SpreadAlone  string             `json:"spread_alone,omitempty"`      // why, when it must not be mixed
	Price        float64            `json:"price_per_bag,omitempty"`     // in the user's money
	Cost         float64            `json:"cost,omitempty"`              // in the user's money
	Mark         source.Mark        `json:"mark"`
}

// Class sorts materials by how they are handled.
type Class string

// The classes.
const (
	Seed       Class = "seed"
	Fertilizer Class = "fertilizer"
	Lime       Class = "lime"
)

// Nutrients are the oxide-form nutrients that a set of products gives, as mass
// per area: nitrogen, phosphate (P2O5) and potash (K2O).
type Nutrients struct {
	N    units.MassPerArea `json:"n_kg_per_m2"`
	P2O5 units.MassPerArea `json:"p2o5_kg_per_m2"`
	K2O  units.MassPerArea `json:"k2o_kg_per_m2"`
}

// Layer is one material's part of one layer of a load. Seed is measured in
// scoops, to the nearest half: LoadScoops for the load, of which every layer
// takes Scoops and the last one LastScoops. The errors are relative: of one
// layer, and of the load as a whole.
type Layer struct {
	Material     string       `json:"material"`
	Mass         units.Mass   `json:"mass_kg"`
	Volume       units.Volume `json:"volume_m3,omitempty"`
	Scoops       float64      `json:"scoops,omitempty"`   // to the nearest half scoop
	Scoop        units.Volume `json:"scoop_m3,omitempty"` // the measure that is counted
	ErrorRel     float64      `json:"scoop_error,omitempty"`
	LastScoops   float64      `json:"last_scoops,omitempty"`
	LoadScoops   float64      `json:"load_scoops,omitempty"`
	LoadErrorRel float64      `json:"load_scoop_error,omitempty"`
}

// Load is one filling of the hopper: equal layers poured in turn. The load
// lasts from FromM to ToM of the gate-open path.
type Load struct {
	Number int          `json:"number"`
	Group  int          `json:"group"`
	Mass   units.Mass   `json:"mass_kg"`
	Volume units.Volume `json:"volume_m3,omitempty"`
	Layers int          `json:"layers"`
	Layer  []Layer      `json:"layer"` // the make-up of each of the equal layers
	FromM  float64      `json:"from_m"`
	ToM    float64      `json:"to_m"`
	Says   string       `json:"says,omitempty"`
	Notes  []string     `json:"notes,omitempty"` // the part of Says beyond the amounts
}

// Key tells whether two amounts come out of the same kind of bag.
func (a Amount) Key() string { return fmt.Sprintf("%s|%s|%.9g", a.ID, a.Material, float64(a.BagMass)) }

// Purchase is one line of a shopping list.
type Purchase struct {
	ID       string     `json:"id,omitempty"`
	Material string     `json:"material"`
	Bags     float64    `json:"bags,omitempty"`
	BagMass  units.Mass `json:"bag_kg,omitempty"`
	Mass     units.Mass `json:"mass_kg"`
	Left     units.Mass `json:"left_kg"`
	Cost     float64    `json:"cost,omitempty"`
}
