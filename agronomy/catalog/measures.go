package catalog

import "evenfall/agronomy/units"

// measure is a unit that the data files may be written in: its SI unit, the
// factor to it, and for a rate what it counts.
type measure struct {
	symbol string
	si     string
	factor float64
	offset float64 // added before the factor; temperatures only
	of     Of
}

func (m measure) to(v float64) float64   { return (v + m.offset) * m.factor }
func (m measure) from(v float64) float64 { return v/m.factor - m.offset }

// measures lists the units in the order a fault names them. The SI units come
// last so that a figure read back from JSON converts to itself.
var measures = []measure{
	{"lb/ac", "kg/m2", float64(units.PoundPerAcre), 0, OfProduct},
	{"lb PLS/ac", "kg/m2", float64(units.PoundPerAcre), 0, OfPLS},
	{"kg/ha", "kg/m2", float64(units.KilogramPerHa), 0, OfProduct},
	{"kg PLS/ha", "kg/m2", float64(units.KilogramPerHa), 0, OfPLS},
	{"seeds/ac", "1/m2", float64(units.PerAcre), 0, OfSeeds},
	{"plants/ac", "1/m2", float64(units.PerAcre), 0, OfPlants},
	{"seeds/sq ft", "1/m2", float64(units.PerSquareFoot), 0, OfSeeds},
	{"plants/sq ft", "1/m2", float64(units.PerSquareFoot), 0, OfPlants},
	{"in", "m", float64(units.Inch), 0, ""},
	{"cm", "m", 0.01, 0, ""},
	{"seeds/lb", "1/kg", float64(units.PerPound), 0, ""},
	{"lb/bu", "kg/m3", float64(units.PoundPerBushel), 0, ""},
	{"lb/cu ft", "kg/m3", float64(units.Pound) / cubicFoot, 0, ""},
	{"lb/qt", "kg/m3", float64(units.Pound) / float64(units.DryQuart), 0, ""},
	{"F", "C", 5.0 / 9, -32, ""},
	{"lb", "kg", float64(units.Pound), 0, ""},
	{"%", "1", 0.01, 0, ""},
	{"lb/ton", "1", float64(units.Pound) / float64(units.ShortTon), 0, ""},
	{"kg/m2", "kg/m2", 1, 0, ""},
	{"1/m2", "1/m2", 1, 0, ""},
	{"m", "m", 1, 0, ""},
	{"1/kg", "1/kg", 1, 0, ""},
	{"kg/m3", "kg/m3", 1, 0, ""},
	{"C", "C", 1, 0, ""},
	{"kg", "kg", 1, 0, ""},
	{"1", "1", 1, 0, ""},
}

// cubicFoot is one cubic foot in cubic metres.
const cubicFoot = float64(units.Foot) * float64(units.Foot) * float64(units.Foot)

func measureOf(symbol string) (measure, bool) {
	for _, m := range measures {
		if m.symbol == symbol {
			return m, true
		}
	}
	return measure{}, false
}

func symbols() []string {
	var all []string
	for _, m := range measures {
		all = append(all, m.symbol)
	}
	return all
}
