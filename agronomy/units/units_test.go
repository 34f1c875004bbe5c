package units_test

import (
	"math"
	"strings"
	"testing"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func TestFormatReadsAsAPersonWrites(t *testing.T) {
	us, metric := units.US, units.Metric
	tests := []struct{ got, want string }{
		{(0.27 * units.Acre).Format(us), "0.27 ac"},
		{(1183 * units.SquareFoot).Format(us), "1,180 sq ft"},
		{(12.4 * units.Acre).Format(us), "12.4 ac"},
		{units.Area(1093).Format(metric), "1,090 m²"},
		{units.Area(23500).Format(metric), "2.35 ha"},
		{(2.5 * units.DryQuart).Format(us), "2 1/2 qt"},
		{(0.75 * units.DryCup).Format(us), "3/4 cup"},
		{(1.5 * units.DryPint).Format(us), "1 1/2 pt"},
		{(40 * units.DryQuart).Format(us), "1 1/4 bu"},
		{(2.5 * units.DryQuart).Format(metric), "2.75 L"},
		{(50 * units.Pound).Format(us), "50 lb"},
		{(4.375 * units.Pound).Format(us), "4.38 lb"},
		{(1250 * units.Pound).Format(us), "1,250 lb"},
		{(0.1875 * units.Pound).Format(us), "3 oz"},
		{units.Mass(0.4).Format(metric), "400 g"},
		{(12.5 * units.Foot).Format(us), "12 ft 6 in"},
		{(12 * units.Foot).Format(us), "12 ft"},
		{(11.99 * units.Foot).Format(us), "12 ft"},
		{(1.5 * units.Inch).Format(us), "1 1/2 in"},
		{units.Length(0).Format(us), "0 ft"},
		{units.Length(0).Format(metric), "0 m"},
		{(340.3 * units.Foot).Format(us), "340 ft"},
		{(5808 * units.Foot).Format(us), "1.1 mi"},
		{units.Length(3.81).Format(metric), "3.81 m"},
		{units.Length(0.025).Format(metric), "2.5 cm"},
		{(7 * units.MPH).Format(us), "7 mph"},
		{(7 * units.MPH).Format(metric), "11.3 km/h"},
		{(7 * units.MPH).FormatCourse(us), "8.6 s over 88 ft"},
		{(200 * units.PoundPerAcre).Format(us), "200 lb/ac"},
		{(17.5 * units.PoundPerAcre).Format(us), "17.5 lb/ac"},
		{(200 * units.PoundPerAcre).Format(metric), "224 kg/ha"},
		{(2 * units.BushelPerAcre).Format(us), "2 bu/ac"},
		{(26000 * units.PerAcre).FormatOf("seeds", us), "26,000 seeds/ac"},
		{(0.6 * units.PerSquareFoot).FormatClose("seeds", us), "0.6 seeds/sq ft"},
		{(1500 * units.PerPound).FormatOf("seeds", us), "1,500 seeds/lb"},
		{(56 * units.PoundPerBushel).Format(us), "56 lb/bu"},
		{(34 * units.PoundPerMinute).Format(us), "34 lb/min"},
		{units.Temperature(10).Format(us), "50 °F"},
		{units.Temperature(10).Format(metric), "10 °C"},
		{units.Duration(8.57).Format(), "8.6 s"},
		{units.Duration(90).Format(), "1 min 30 s"},
		{units.Duration(12.2 * 60).Format(), "12 min"},
		{units.Duration(72 * 60).Format(), "1 h 12 min"},
		{units.Duration(3599).Format(), "1 h"},
		{units.Percent(0.15), "15 %"},
		{units.Percent(0.0634), "6.3 %"},
		{units.Money(1234.5), "1,234.50"},
		{units.Bags(2.5), "2 1/2"},
		{units.Count(26136), "26,136"},
		{units.Date("2026-11-25"), "25 November 2026"},
		{units.Date("soon"), "soon"},
		{units.Volume(0.0004).Format(metric), "400 mL"},
		{(0.1 * units.DryCup).Format(us), "1.7 cu in"},
		{units.Length(2500).Format(metric), "2.5 km"},
		{(-12.5 * units.Foot).Format(us), "-12 ft 6 in"},
		{units.Duration(-90).Format(), "-1 min 30 s"},
		{(7 * units.MPH).FormatCourse(metric), "9.6 s over 30 m"},
		{(0.5 * units.BushelPerAcre).Format(us), "16 qt/ac"},
		{units.VolumePerArea(0.00001).Format(metric), "100 L/ha"},
		{units.CountPerArea(6.25).FormatOf("seeds", metric), "62,500 seeds/ha"},
		{units.CountPerArea(6.25).FormatClose("seeds", metric), "6.25 seeds/m²"},
		{units.CountPerMass(3300).FormatOf("seeds", metric), "3,300 seeds/kg"},
		{units.Density(720).Format(metric), "0.72 kg/L"},
		{units.Flow(0.25).Format(metric), "15 kg/min"},
		{(0.0123 * units.PoundPerAcre).Format(us), "0.012 lb/ac"},
		{(50 * units.PerAcre).FormatOf("plants", us), "50 plants/ac"},
		{units.Money(-1234567), "-1,234,567.00"},
		{units.Bags(-0.25), "-1/4"},
		{units.Bags(math.NaN()), "unknown"},
		{units.Bags(1.7e308)[:4], "169,"},
		{units.Count(-0.2), "0"},
		{units.Speed(0).FormatCourse(us), "unknown s over 88 ft"},
	}
	for _, tt := range tests {
		if tt.got != tt.want {
			t.Errorf("got %q, want %q", tt.got, tt.want)
		}
	}
}

func TestParseReadsWhatPeopleType(t *testing.T) {
	tests := []struct {
		text string
		want float64
		read func(string) (float64, error)
	}{
		{"104 ft 4 in", 104*0.3048 + 4*0.0254, read(units.ParseLength)},
		{`12'6"`, 12.5 * 0.3048, read(units.ParseLength)},
		{"12’ 6”", 12.5 * 0.3048, read(units.ParseLength)},
		{"12.5 ft.", 12.5 * 0.3048, read(units.ParseLength)},
		{"1 1/2 in", 1.5 * 0.0254, read(units.ParseLength)},
		{"3.8m", 3.8, read(units.ParseLength)},
		{"0.25 ac", 0.25 * 4046.8564224, read(units.ParseArea)},
		{"1/4 acre", 0.25 * 4046.8564224, read(units.ParseArea)},
		{"¼ acre", 0.25 * 4046.8564224, read(units.ParseArea)},
		{"1,180 sq. ft.", 1180 * 0.09290304, read(units.ParseArea)},
		{"250 m²", 250, read(units.ParseArea)},
		{"250 m2", 250, read(units.ParseArea)},
		{"2 1/2 qt", 2.5 * float64(units.DryQuart), read(units.ParseVolume)},
		{"2-1/2 quarts", 2.5 * float64(units.DryQuart), read(units.ParseVolume)},
		{"1 bu 3 qt", 35 * float64(units.DryQuart), read(units.ParseVolume)},
		{"3 kg", 3, read(units.ParseMass)},
		{"2 lb and 3 oz", 35 * 0.028349523125, read(units.ParseMass)},
		{"7 mph", 7 * 0.44704, read(units.ParseSpeed)},
		{"11 km/h", 11 / 3.6, read(units.ParseSpeed)},
		{"1 h 12 min", 4320, read(units.ParseDuration)},
		{"50 F", 10, read(units.ParseTemperature)},
		{"-4°C", -4, read(units.ParseTemperature)},
		{"40 lb/ac", 40 * float64(units.PoundPerAcre), read(units.ParseMassPerArea)},
		{"40 lbs per acre", 40 * float64(units.PoundPerAcre), read(units.ParseMassPerArea)},
		{"1/2 lb/ac", 0.5 * float64(units.PoundPerAcre), read(units.ParseMassPerArea)},
		{"5 lb per 1,000 sq ft", 5 * float64(units.PoundPer1000), read(units.ParseMassPerArea)},
		{"45 kg/ha", 0.0045, read(units.ParseMassPerArea)},
		{"2 bu/ac", 2 * float64(units.BushelPerAcre), read(units.ParseVolumePerArea)},
		{"26,000 seeds/ac", 26000 * float64(units.PerAcre), read(units.ParseCountPerArea)},
		{"35 per sq ft", 35 * float64(units.PerSquareFoot), read(units.ParseCountPerArea)},
		{"1500 per lb", 1500 * float64(units.PerPound), read(units.ParseCountPerMass)},
		{"56 lb/bu", 56 * float64(units.PoundPerBushel), read(units.ParseDensity)},
		{"34 lb/min", 34 * float64(units.PoundPerMinute), read(units.ParseFlow)},
		{"2 lb per 10 s", 0.2 * 0.45359237, read(units.ParseFlow)},
	}
	for _, tt := range tests {
		got, err := tt.read(tt.text)
		if err != nil || !near(got, tt.want) {
			t.Errorf("%q: got %v, %v, want %v", tt.text, got, err, tt.want)
		}
	}
}

func TestParseSaysWhatIsWrong(t *testing.T) {
	tests := []struct {
		text, code string
		read       func(string) (float64, error)
	}{
		{"", "not_a_quantity", read(units.ParseLength)},
		{"twelve feet", "not_a_quantity", read(units.ParseLength)},
		{"12", "no_unit", read(units.ParseLength)},
		{"12 lb", "unknown_unit", read(units.ParseLength)},
		{"4 in 12 ft", "not_a_quantity", read(units.ParseLength)},
		{"-3 ft", "negative", read(units.ParseLength)},
		{"0,25 ac", "decimal_comma", read(units.ParseArea)},
		{"1.2.3 ac", "not_a_quantity", read(units.ParseArea)},
		{"1/0 ac", "unknown_unit", read(units.ParseArea)},
		{"40 lb", "not_a_quantity", read(units.ParseMassPerArea)},
		{"40 lb/0 ac", "not_a_quantity", read(units.ParseMassPerArea)},
		{"40/ac", "no_unit", read(units.ParseMassPerArea)},
		{"10 K", "unknown_unit", read(units.ParseTemperature)},
		{"10 F 2 C", "not_a_quantity", read(units.ParseTemperature)},
		{strings.Repeat("9", 400) + " ft", "not_a_quantity", read(units.ParseLength)},
	}
	for _, tt := range tests {
		_, err := tt.read(tt.text)
		found, ok := fault.From(err)
		if !ok || found.Code != tt.code || found.Remedy == "" {
			t.Errorf("%q: got %v, want %s", tt.text, err, tt.code)
		}
	}
}

// Amounts times counts must come back from every unit that people type.
func TestAmountTimesCountRoundTripsThroughEveryUnit(t *testing.T) {
	for name, unit := range units.EveryUnit() {
		for _, amount := range []float64{1e-3, 0.27, 1, 2.5, 3, 7, 43.21, 1e6} {
			for _, count := range []float64{1, 3, 7, 11, 365, 10000} {
				total := amount * unit * count
				if back := total / unit / count; !near(back, amount) {
					t.Errorf("%s: %v x %v came back as %v", name, amount, count, back)
				}
				sum := 0.0
				for range int(min(count, 400)) {
					sum += amount * unit
				}
				if back := sum / min(count, 400) / unit; !near(back, amount) {
					t.Errorf("%s: %v added %v times came back as %v", name, amount, count, back)
				}
			}
		}
	}
}

func TestConversionsAgreeWithExactFactors(t *testing.T) {
	tests := []struct {
		name      string
		got, want float64
	}{
		{"acre in square feet", units.Acre.SquareFeet(), 43560},
		{"bushel in dry quarts", units.Bushel.DryQuarts(), 32},
		{"quart in cups", units.DryQuart.DryCups(), 4},
		{"gallon in litres", units.Gallon.Litres(), 3.785411784},
		{"short ton in pounds", units.ShortTon.Pounds(), 2000},
		{"mph over 88 ft", units.MPH.Per88Feet().Seconds(), 60},
		{"lb/ac in kg/ha", units.PoundPerAcre.KilogramsPerHectare(), 1.12085116},
		{"lb per 1000 sq ft in lb/ac", units.PoundPer1000.PoundsPerAcre(), 43.56},
		{"per acre on a hectare", units.PerAcre.PerHectare(), 2.47105381},
		{"yard", units.Length(0.9144 * 3).Yards(), 3},
		{"mile in feet", units.Mile.Feet(), 5280},
		{"foot in inches", units.Foot.Inches(), 12},
		{"cubic foot in gallons", units.CubicFoot.Gallons(), 1728.0 / 231},
		{"cubic metre in litres", units.Volume(1).Litres() * units.Volume(1).CubicMetres(), 1000},
		{"bushel in cubic feet", units.Bushel.CubicFeet(), 2150.42 / 1728},
		{"tonne in short tons", units.Tonne.ShortTons(), 1.1023113109},
		{"hour in minutes", units.Hour.Minutes() * units.Hour.Hours(), 60},
		{"mph in m/s", units.MPH.MetresPerSecond(), 0.44704},
		{"150 ft in 10 s", (150 * units.Foot).In(10).MPH(), 150.0 / 10 * 60 / 88},
		{"an acre of 66 by 660 ft", (66 * units.Foot).By(660 * units.Foot).Acres(), 1},
		{"5 lb/ac as lb per 1000 sq ft", (5 * units.PoundPerAcre).PoundsPer1000SquareFeet(), 5 / 43.56},
		{"bu/ac in qt/ac", units.BushelPerAcre.DryQuartsPerAcre(), 32},
		{"bu/ac in L/ha", units.BushelPerAcre.LitresPerHectare(), 35.23907016688 * 2.4710538147},
		{"2 bu/ac on 3 acres", units.VolumePerArea(2 * units.BushelPerAcre).On(3 * units.Acre).Bushels(), 6},
		{"35 per sq ft on a square metre", (35 * units.PerSquareFoot).PerSquareMetre(), 35 * 10.7639104167},
		{"per pound in per kilogram", units.PerPound.PerKilogram(), 2.2046226218},
		{"kg/L as lb/bu", units.KilogramPerL.PoundsPerBushel() * units.KilogramPerL.KilogramsPerLitre(), 35.23907016688 * 2.2046226218},
		{"lb/min in kg/min", units.PoundPerMinute.KilogramsPerMinute(), 0.45359237},
		{"34 lb/min for 2 min", (34 * units.PoundPerMinute).For(120).Pounds(), 68},
		{"10 lb in 15 s", (10 * units.Pound).Within(15).PoundsPerMinute(), 40},
		{"lb/ac x mph x ft over 495", units.FlowFor(200*units.PoundPerAcre, 12*units.Foot, 7*units.MPH).PoundsPerMinute(), 200 * 7 * 12 / 495.0},
		{"50 lb over a quarter acre", (50 * units.Pound).Over(units.Acre / 4).PoundsPerAcre(), 200},
		{"200 lb/ac on a quarter acre", (200 * units.PoundPerAcre).On(units.Acre / 4).Pounds(), 50},
		{"56 lb at 56 lb/bu", (56 * units.Pound).Filling(56 * units.PoundPerBushel).Bushels(), 1},
		{"a quart at 56 lb/bu", units.DryQuart.Weighing(56 * units.PoundPerBushel).Pounds(), 1.75},
		{"seeds on an acre", (26000 * units.PerAcre).On(units.Acre / 2), 13000},
		{"seeds in 2 lb", (1500 * units.PerPound).Count(2 * units.Pound), 3000},
		{"freezing", units.FromFahrenheit(32).Celsius(), 0},
		{"boiling", units.Temperature(100).Fahrenheit(), 212},
	}
	for _, tt := range tests {
		if math.Abs(tt.got-tt.want) > 1e-8*math.Abs(tt.want) {
			t.Errorf("%s: got %.10g, want %.10g", tt.name, tt.got, tt.want)
		}
	}
}

// What Format writes, the parser reads, and writing it again changes nothing.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"2 1/2 qt", "0.25 ac", "40 lb/ac", "104 ft 4 in", `12'6"`, "7 mph", "3 kg", "1 h 12 min", "-4 C", "5 lb per 1,000 sq ft", "½ cup", "1,2,3//"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		settles(t, text, units.ParseLength, units.Length.Format)
		settles(t, text, units.ParseArea, units.Area.Format)
		settles(t, text, units.ParseVolume, units.Volume.Format)
		settles(t, text, units.ParseMass, units.Mass.Format)
		settles(t, text, units.ParseSpeed, units.Speed.Format)
		settles(t, text, units.ParseTemperature, units.Temperature.Format)
		settles(t, text, units.ParseMassPerArea, units.MassPerArea.Format)
		settles(t, text, units.ParseVolumePerArea, units.VolumePerArea.Format)
		settles(t, text, units.ParseDensity, units.Density.Format)
		settles(t, text, units.ParseFlow, units.Flow.Format)
		if d, err := units.ParseDuration(text); err == nil && d < 1e9 {
			if _, err := units.ParseDuration(d.Format()); err != nil {
				t.Errorf("%q became %q: %v", text, d.Format(), err)
			}
		}
	})
}

func settles[Q ~float64](t *testing.T, text string, parse func(string) (Q, error), format func(Q, units.System) string) {
	t.Helper()
	q, err := parse(text)
	if err != nil {
		if _, ok := fault.From(err); !ok {
			t.Errorf("%q: %v is not a fault", text, err)
		}
		return
	}
	if q > 1e12 || q < 1e-9 {
		return // beyond what any plot needs; figures are lost in writing it out
	}
	for _, s := range []units.System{units.US, units.Metric} {
		once := format(q, s)
		read, err := parse(once)
		if err != nil {
			t.Fatalf("%q became %q: %v", text, once, err)
		}
		again, err := parse(format(read, s))
		if err != nil || !near(float64(again), float64(read)) {
			t.Errorf("%q became %q, then %q (%v)", text, once, format(read, s), err)
		}
	}
}

func read[Q ~float64](parse func(string) (Q, error)) func(string) (float64, error) {
	return func(text string) (float64, error) {
		q, err := parse(text)
		return float64(q), err
	}
}

func near(got, want float64) bool { return math.Abs(got-want) <= 1e-9*math.Abs(want)+1e-15 }

func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		if _, err := units.ParseLength("104 ft 4 in"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFormat(b *testing.B) {
	for b.Loop() {
		_ = (2.5 * units.DryQuart).Format(units.US)
	}
}
