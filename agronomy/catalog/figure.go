// Package catalog holds what is known of crops, fertilizers and limes. Every
// figure carries the mark of where it comes from; users add entries of their
// own and override any figure, and an override says what it replaced.
package catalog

import (
	"strconv"
	"strings"

	"evenfall/agronomy/source"
	"evenfall/geo/fault"
)

// Name says what a figure is about. The rate names are also the methods of
// sowing that the rate was printed for.
type Name string

// The names of the figures, each with the SI unit that it is kept in.
const (
	Drilled      Name = "drilled"        // kg/m2 or 1/m2
	Broadcast    Name = "broadcast"      // kg/m2 or 1/m2
	Cover        Name = "cover"          // grazing or cover crop; kg/m2 or 1/m2
	Mixed        Name = "mixed"          // in a mixture; kg/m2 or 1/m2
	Alone        Name = "alone"          // as the only species; kg/m2 or 1/m2
	AnyRate      Name = "rate"           // no method printed; kg/m2 or 1/m2
	Depth        Name = "depth"          // m
	SeedsPerMass Name = "seeds_per_mass" // 1/kg
	BulkDensity  Name = "bulk_density"   // kg/m3; from the bushel weight for seed
	MinSoilTemp  Name = "min_soil_temp"  // C
	Bag          Name = "bag"            // kg
	Nitrogen     Name = "n"              // share of mass, 0 to 1
	Phosphate    Name = "p2o5"           // share of mass, 0 to 1
	Potash       Name = "k2o"            // share of mass, 0 to 1
	CCE          Name = "cce"            // calcium carbonate equivalent, share
	Pass20       Name = "pass_20"        // share through a 20-mesh sieve
	Pass60       Name = "pass_60"        // share through a 60-mesh sieve
	Pass100      Name = "pass_100"       // share through a 100-mesh sieve
	ENP          Name = "enp"            // effective neutralizing power, mass per mass
	Moisture     Name = "moisture"       // share of mass, 0 to 1
)

// RateNames are the figures that are rates, in the order they are shown.
func RateNames() []Name { return []Name{Drilled, Broadcast, Cover, Mixed, Alone, AnyRate} }

// Of says what a rate counts.
type Of string

// What rates count; empty for figures that are no rates.
const (
	OfProduct Of = "product"        // as it leaves the bag
	OfPLS     Of = "pure live seed" // mass of pure live seed
	OfSeeds   Of = "seeds"          // pieces sown
	OfPlants  Of = "plants"         // pieces that stand after emergence
)

// Figure is one figure of an entry, a range in the SI unit that Unit names
// (kg/m2, 1/m2, m, 1/kg, kg/m3, C, kg, 1). Middle is the typical value where
// one is printed, otherwise zero. Written is the unit in which the figure was
// written, for showing it as people know it.
type Figure struct {
	Name    Name        `json:"figure"`
	Low     float64     `json:"low"`
	Middle  float64     `json:"typical,omitempty"`
	High    float64     `json:"high"`
	Unit    string      `json:"unit"`
	Of      Of          `json:"of,omitempty"`
	Written string      `json:"written,omitempty"`
	Mark    source.Mark `json:"mark"`
}

// Typical is the printed typical value, else the middle of the range, in Unit.
func (f Figure) Typical() float64 {
	if f.Middle != 0 {
		return f.Middle
	}
	return (f.Low + f.High) / 2
}

// String is the figure in the unit it was written in, such as
// "75 to 125 lb/ac".
func (f Figure) String() string {
	m := f.measure()
	low, high := number(m.from(f.Low)), number(m.from(f.High))
	text := low
	if low != high {
		text += " to " + high
	}
	if f.Middle != 0 && low != high {
		text += ", typically " + number(m.from(f.Middle))
	}
	if m.symbol == "%" {
		return text + " %"
	}
	return text + " " + m.symbol
}

// Footnote is the figure with where it comes from.
func (f Figure) Footnote() string { return f.String() + " (" + f.Mark.String() + ")" }

func (f Figure) measure() measure {
	if m, ok := measureOf(f.Written); ok && m.si == f.Unit {
		return m
	}
	return measure{symbol: f.Unit, si: f.Unit, factor: 1}
}

// number prints six significant digits, trailing zeros off: what a figure
// loses to unit conversion is far below that.
func number(v float64) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// inSI returns the figure with its numbers converted from the unit that Unit
// names, of the SI or of the trade, and with what it counts filled in.
func (f Figure) inSI() (Figure, error) {
	m, ok := measureOf(strings.TrimSpace(f.Unit))
	if !ok {
		return f, fault.New("unit", "the unit "+strconv.Quote(f.Unit)+" is not known",
			"use one of "+strings.Join(symbols(), ", ")).In(string(f.Name))
	}
	if f.Written == "" {
		f.Written = m.symbol
	}
	f.Unit, f.Low, f.High = m.si, m.to(f.Low), m.to(f.High)
	if f.Middle != 0 {
		f.Middle = m.to(f.Middle)
	}
	switch {
	case m.of != "":
		f.Of = m.of
	case f.Of == "" && m.si == "kg/m2":
		f.Of = OfProduct
	case f.Of == "" && m.si == "1/m2":
		f.Of = OfSeeds
	}
	return f, nil
}
