package mix_test

import (
	"strconv"
	"strings"
	"testing"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
)

// caseFigures is testdata/worked-case.csv.
type caseFigures struct {
	t    *testing.T
	rows map[string]map[string]string
}

func (c caseFigures) of(id string) (value, tolerance float64) {
	c.t.Helper()
	row, ok := c.rows[id]
	if !ok {
		c.t.Fatalf("no row %s in the worked case", id)
	}
	for column, into := range map[string]*float64{"value": &value, "tolerance": &tolerance} {
		v, err := strconv.ParseFloat(row[column], 64)
		if err != nil {
			c.t.Fatal(err)
		}
		*into = v
	}
	return value, tolerance
}

func (c caseFigures) value(id string) float64 { c.t.Helper(); v, _ := c.of(id); return v }

func (c caseFigures) check(id string, got float64) {
	c.t.Helper()
	want, tolerance := c.of(id)
	near(c.t, id, got, want, tolerance)
}

// mix is the worked case; nitrogen is the id of its first bag.
func (c caseFigures) mix(nitrogen string) mix.Mix {
	return mix.Mix{Name: "worked case", Items: []mix.Item{
		{Material: "19-19-19", Group: 1, BagMass: units.Mass(c.value("complete_bag")) * units.Pound, Rate: mix.Rate{Bags: 1}},
		{Material: nitrogen, Group: 2, BagMass: units.Mass(c.value("slow_bag")) * units.Pound, Rate: mix.Rate{Bags: 1}},
		{Material: "corn", Group: 2, SeedsPerMass: units.CountPerMass(c.value("kernels_per_pound")) * units.PerPound,
			Rate: mix.Rate{PlotVolume: units.Volume(c.value("corn_quarts")) * units.DryQuart}},
	}}
}

func (c caseFigures) area() units.Area { return units.Area(c.value("area")) * units.Acre }

func readWorkedCase(t *testing.T) caseFigures {
	return caseFigures{t, rowsOf(t, "../../testdata/worked-case.csv")}
}

func TestWorkedCaseAmounts(t *testing.T) {
	c := readWorkedCase(t)
	r, err := c.mix("44-0-0").Amounts(c.area(), theCatalog(t), units.US)
	if err != nil {
		t.Fatal(err)
	}
	c.check("nitrogen", r.Nutrients.N.On(c.area()).Pounds())
	c.check("nitrogen_rate", r.Nutrients.N.PoundsPerAcre())
	c.check("phosphate_rate", r.Nutrients.P2O5.PoundsPerAcre())
	c.check("potash_rate", r.Nutrients.K2O.PoundsPerAcre())
	corn := r.Amounts[2]
	c.check("corn_mass", corn.Mass.Pounds())
	c.check("corn_rate", corn.ProductRate.PoundsPerAcre())
	c.check("kernels_per_acre", corn.SeedsPerArea.PerAcre())
	c.check("kernels_per_square_foot", corn.SeedsPerArea.PerSquareFoot())
	c.check("corn_quarts", corn.Volume.DryQuarts())
	if corn.Group != r.Amounts[1].Group || corn.Group == r.Amounts[0].Group {
		t.Errorf("the corn goes with the 44-0-0 only: %+v", r.Groups)
	}
	if !says(r.Warnings, "spread_at_once") {
		t.Errorf("no word on spreading at once: %+v", r.Warnings)
	}
}

func TestWorkedCaseThreeQuartersOfABag(t *testing.T) {
	c := readWorkedCase(t)
	m := c.mix("44-0-0")
	m.Items[0].Rate = mix.Rate{Mass: (units.Mass(c.value("complete_enough")*c.value("complete_bag")) * units.Pound).Over(c.area())}
	r, err := m.Amounts(c.area(), theCatalog(t), units.US)
	if err != nil {
		t.Fatal(err)
	}
	a := r.Amounts[0]
	c.check("complete_enough", a.BagsExact)
	near(t, "bags to open", a.Bags, 1, 0)
	c.check("complete_bag", a.ActualMass.Pounds())
	near(t, "left in the bag", a.Left.Pounds(), (1-c.value("complete_enough"))*c.value("complete_bag"), 1e-9)
	m.Items[0].SpreadBags = true
	r, err = m.Amounts(c.area(), theCatalog(t), units.US)
	if err != nil {
		t.Fatal(err)
	}
	c.check("nitrogen", r.Nutrients.N.On(c.area()).Pounds())
}

func TestWorkedCaseSecondDressingOnlyWithPlainUrea(t *testing.T) {
	c := readWorkedCase(t)
	for nitrogen, wanted := range map[string]bool{"44-0-0": false, "46-0-0-inhibited": false, "46-0-0": true} {
		r, err := c.mix(nitrogen).Amounts(c.area(), theCatalog(t), units.US)
		if err != nil {
			t.Fatal(err)
		}
		if (r.Dressing != nil) != wanted {
			t.Errorf("%s: second dressing %+v, wanted %v", nitrogen, r.Dressing, wanted)
		}
		if wanted {
			c.check("dressing_from", float64(r.Dressing.From)/7)
			c.check("dressing_to", float64(r.Dressing.To)/7)
		}
	}
}

func TestWorkedCaseEmptiesAboutOneHopper(t *testing.T) {
	c := readWorkedCase(t)
	m := c.mix("44-0-0")
	for i := range m.Items {
		m.Items[i].Group = 1
	}
	r, err := m.Amounts(c.area(), theCatalog(t), units.US)
	if err != nil {
		t.Fatal(err)
	}
	loads, err := mix.Loads(r.Amounts, mix.Hopper{Mass: 110 * units.Pound}, 300, 0, units.US)
	if err != nil {
		t.Fatal(err)
	}
	c.check("hoppers", float64(len(loads)))
	if loads[0].Layers != 3 || !strings.Contains(loads[0].Says, "at once") {
		t.Errorf("got %d layers: %s", loads[0].Layers, loads[0].Says)
	}
}

func TestWorkedCaseFlow(t *testing.T) {
	c := readWorkedCase(t)
	flow := units.FlowFor(lbPerAcre(c.value("flow_rate")), units.Length(c.value("flow_spacing"))*units.Foot, units.Speed(c.value("flow_speed"))*units.MPH)
	c.check("flow", flow.PoundsPerMinute())
	if v := c.value("flow_speed"); v < c.value("speed_low") || v > c.value("speed_high") {
		t.Errorf("%g mph is outside the case's range", v)
	}
}

func says(all []mix.Warning, code string) bool {
	for _, w := range all {
		if w.Code == code {
			return w.Says != "" && w.Mark.Kind != ""
		}
	}
	return false
}
