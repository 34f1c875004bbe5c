package mix

import (
	"fmt"
	"math"
	"strings"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Mix is what a person wants on a plot, whatever the plot's size: the form in
// which it is stored and sent. Numbers are SI, the unit is in the field's name.
type Mix struct {
	Name      string            `json:"name"`
	Items     []Item            `json:"items"`
	PartsRate units.MassPerArea `json:"parts_rate_kg_per_m2,omitempty"` // total of the items that are given in parts
}

// Item is one material of a mix. Exactly one of Material (an id of the
// catalog), Crop and Product (the user's own) names it. What is zero comes
// from the catalog. Group says which items share a hopper filling; zero leaves
// it to the rules.
type Item struct {
	Material     string             `json:"material,omitempty"`
	Crop         *catalog.Crop      `json:"crop,omitempty"`
	Product      *catalog.Product   `json:"product,omitempty"`
	Rate         Rate               `json:"rate"`
	Tag          seed.Tag           `json:"tag,omitzero"`
	BagMass      units.Mass         `json:"bag_kg,omitempty"`
	Price        float64            `json:"price_per_bag,omitempty"` // in the user's money
	Group        int                `json:"group,omitempty"`
	HalfBags     bool               `json:"allow_half_bags,omitempty"`
	SpreadBags   bool               `json:"spread_whole_bags,omitempty"` // pour what was opened, whatever the rate
	Density      units.Density      `json:"density_kg_per_m3,omitempty"` // the user's own weighed quart
	SeedsPerMass units.CountPerMass `json:"seeds_per_kg,omitempty"`      // the user's own counted sample
	Emergence    float64            `json:"emergence,omitempty"`         // share of live seeds that come up
	Coated       bool               `json:"coated,omitempty"`
	Inoculated   bool               `json:"inoculated,omitempty"`
	Treated      bool               `json:"treated,omitempty"`
}

// Rate is how much of an item is wanted; exactly one of the figures above Of is
// more than zero. Bags, PlotVolume and PlotMass are for the plot, whatever its
// size. Share is of the full rate: Full or FullSeeds when given, else the
// catalog's rate that FullName names, else its broadcast rate. A Drilled rate
// is raised for broadcasting.
type Rate struct {
	Mass       units.MassPerArea   `json:"mass_kg_per_m2,omitempty"`
	Volume     units.VolumePerArea `json:"volume_m3_per_m2,omitempty"`
	Seeds      units.CountPerArea  `json:"seeds_per_m2,omitempty"`
	Plants     units.CountPerArea  `json:"plants_per_m2,omitempty"`
	N          units.MassPerArea   `json:"n_kg_per_m2,omitempty"`
	P2O5       units.MassPerArea   `json:"p2o5_kg_per_m2,omitempty"`
	K2O        units.MassPerArea   `json:"k2o_kg_per_m2,omitempty"`
	Bags       float64             `json:"bags,omitempty"`
	PlotVolume units.Volume        `json:"plot_volume_m3,omitempty"`
	PlotMass   units.Mass          `json:"plot_mass_kg,omitempty"`
	Share      float64             `json:"share_of_full,omitempty"`
	Parts      float64             `json:"parts,omitempty"` // by weight, of the mix's PartsRate

	Of        catalog.Of         `json:"of,omitempty"` // of Mass, Seeds or Full: product, or pure live seed
	Drilled   bool               `json:"drilled,omitempty"`
	Full      units.MassPerArea  `json:"full_kg_per_m2,omitempty"`
	FullSeeds units.CountPerArea `json:"full_seeds_per_m2,omitempty"`
	FullName  catalog.Name       `json:"full_name,omitempty"`
}

// ForPlot tells whether the rate is an amount for the plot, whatever its size.
func (r Rate) ForPlot() bool { return r.Bags > 0 || r.PlotVolume > 0 || r.PlotMass > 0 }

// The bounds of a mix that is worth reading.
const (
	mostItems  = 40
	mostGroups = 40
)

// Validate says what is wrong with a mix, before any area is known.
func (m Mix) Validate() error {
	switch {
	case strings.TrimSpace(m.Name) == "":
		return fault.New("mix_name", "the mix has no name", "give it one").In("name")
	case len(m.Items) == 0:
		return fault.New("mix_empty", "the mix has nothing in it", "add a seed or a fertilizer").In("items")
	case len(m.Items) > mostItems:
		return fault.New("mix_items", fmt.Sprintf("%d materials are more than the %d that are allowed", len(m.Items), mostItems), "split the mix").Of(fault.TooLarge).In("items")
	case !usable(float64(m.PartsRate)):
		return fault.New("parts_rate", "the rate of the parts is below zero or not a number", "leave it out or give a rate").In("parts_rate_kg_per_m2")
	}
	for i, item := range m.Items {
		if err := item.check(m.PartsRate); err != nil {
			err.Where.Field = fmt.Sprintf("items[%d].%s", i, err.Where.Field)
			return err
		}
	}
	// The person's own entries are held to the catalog's rules, whatever else the
	// catalog in use has.
	_, err := new(catalog.Catalog).With(m.own())
	return err
}

func (it Item) check(partsRate units.MassPerArea) *fault.Error {
	named := 0
	for _, is := range []bool{it.Material != "", it.Crop != nil, it.Product != nil} {
		if is {
			named++
		}
	}
	switch {
	case named != 1:
		return fault.New("material", "an item needs exactly one of material, crop and product", "name it once").In("material")
	case it.Group < 0 || it.Group > mostGroups:
		return fault.New("group", fmt.Sprintf("the group does not lie between 0 and %d", mostGroups), "give a small number, or 0 to leave it to the rules").In("group")
	case it.Rate.Parts > 0 && partsRate == 0:
		return fault.New("parts_rate", "parts are given but not what they add up to", "give the rate of the whole blend").In("rate.parts")
	}
	if err := it.checkFigures(); err != nil {
		return err
	}
	if !it.Tag.None() {
		if found, ok := fault.From(it.Tag.Check()); ok {
			return found.In("tag." + found.Where.Field)
		}
	}
	return it.Rate.check()
}

// checkFigures looks at what the person puts in place of the catalog's figures.
func (it Item) checkFigures() *fault.Error {
	numbers := []struct {
		field string
		value float64
	}{
		{"bag_kg", float64(it.BagMass)}, {"price_per_bag", it.Price}, {"density_kg_per_m3", float64(it.Density)},
		{"seeds_per_kg", float64(it.SeedsPerMass)}, {"emergence", it.Emergence},
	}
	for _, n := range numbers {
		if !usable(n.value) {
			return fault.New("number", "the figure is below zero or not a number", "leave it out or give a positive figure").In(n.field)
		}
	}
	if it.Emergence > 1 {
		return fault.New("emergence", "more seeds come up than are sown", "give a share such as 0.8").In("emergence")
	}
	return nil
}

func (r Rate) check() *fault.Error {
	given := 0
	for _, n := range r.figures() {
		if !usable(n) {
			return fault.New("rate", "the rate is below zero or not a number", "give a positive figure").In("rate")
		}
		if n > 0 {
			given++
		}
	}
	switch {
	case given != 1:
		return fault.New("rate", fmt.Sprintf("%d rates are given for one material", given), "give exactly one, such as mass_kg_per_m2").In("rate")
	case r.Of != "" && r.Of != catalog.OfProduct && r.Of != catalog.OfPLS:
		return fault.New("rate_of", fmt.Sprintf("a rate of %q is not known", r.Of), `use "product" or "pure live seed"`).In("rate.of")
	case !usable(float64(r.Full)) || !usable(float64(r.FullSeeds)) || (r.Full > 0 && r.FullSeeds > 0):
		return fault.New("full_rate", "the full rate is not one positive figure", "give full_kg_per_m2 or full_seeds_per_m2").In("rate.full_kg_per_m2")
	}
	return nil
}

func (r Rate) figures() []float64 {
	return []float64{float64(r.Mass), float64(r.Volume), float64(r.Seeds), float64(r.Plants), float64(r.N), float64(r.P2O5), float64(r.K2O),
		r.Bags, float64(r.PlotVolume), float64(r.PlotMass), r.Share, r.Parts}
}

// usable tells a figure, or zero where none is given.
func usable(v float64) bool { return v >= 0 && !math.IsInf(v, 0) }
