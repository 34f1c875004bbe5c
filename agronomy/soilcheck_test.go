package agronomy_test

import (
	"math"
	"strings"
	"testing"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/units"
)

func warned(s agronomy.Sheet, words string) bool {
	for _, w := range s.Warnings {
		if strings.Contains(w.Says, words) {
			return true
		}
	}
	return false
}

func perAcre(pounds float64) units.MassPerArea { return units.MassPerArea(pounds) * units.PoundPerAcre }

// asked is a recommendation of a report, which may be zero.
func asked(pounds float64) *units.MassPerArea {
	r := perAcre(pounds)
	return &r
}

// 300 lb/ac of 13-13-13 gives 39 lb/ac of each nutrient.
func TestSoilTestIsHeldAgainstTheMix(t *testing.T) {
	options := agronomy.Options{
		Habit: true, Soil: &soil.Report{N: asked(30), P2O5: asked(60), K2O: asked(39)},
		Credits: []soil.Credit{{From: "last year's clover", Nutrients: mix.Nutrients{N: perAcre(10)}}},
	}
	sheet := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 300), options)
	if sheet.Soil == nil {
		t.Fatal("the soil test is not on the sheet")
	}
	near(t, "N wanted", sheet.Soil.Wanted.N.PoundsPerAcre(), 20, 1e-9)
	near(t, "N over", sheet.Soil.Over.N.PoundsPerAcre(), 19, 1e-6)
	near(t, "P2O5 short", sheet.Soil.Short.P2O5.PoundsPerAcre(), 21, 1e-6)
	near(t, "K2O over", sheet.Soil.Over.K2O.PoundsPerAcre(), 0, 1e-6)
	if !strings.HasSuffix(sheet.Soil.Says, "; what last year's clover brings is counted") {
		t.Errorf("the credit is not told: %s", sheet.Soil.Says)
	}
	if !warned(sheet, "more nitrogen than the soil test asks for") {
		t.Errorf("nitrogen over the need passes in silence: %+v", sheet.Warnings)
	}
	plenty := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 300), agronomy.Options{Habit: true, Soil: &soil.Report{N: asked(60)}})
	if warned(plenty, "more nitrogen") {
		t.Error("a need that is not met is called over")
	}
}

func TestRatesThatBurnOrRunOffAreWarnedOf(t *testing.T) {
	heavy := prepare(t, acres(t, 0.5), machine(), oatsAnd("19-19-19", 600), agronomy.Options{Habit: true})
	if !warned(heavy, "can burn it") || !warned(heavy, "soluble nitrogen at once") {
		t.Errorf("600 lb/ac of 19-19-19 passes in silence: %+v", heavy.Warnings)
	}
	slow := prepare(t, acres(t, 0.5), machine(), oatsAnd("44-0-0", 250), agronomy.Options{Habit: true})
	if warned(slow, "soluble nitrogen at once") {
		t.Error("slow-release nitrogen is called soluble")
	}
	frozen := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Habit: true, Placement: soil.Placement{Frozen: true}})
	if !warned(frozen, "frozen") {
		t.Error("frozen ground passes in silence")
	}
}

func TestLimeIsScaledAndSmallDosesNamed(t *testing.T) {
	lime := mix.Mix{Name: "lime", Items: []mix.Item{{Material: "pelletized-lime", Rate: mix.Rate{Mass: perAcre(300)}}}}
	sheet := prepare(t, acres(t, 0.5), machine(), lime, agronomy.Options{
		Habit: true, Soil: &soil.Report{N: asked(0)}, Lime: &soil.LimeAsk{Recommended: perAcre(3000)},
	})
	if !warned(sheet, "sweetening dose") {
		t.Errorf("300 lb/ac of lime is not called by its name: %+v", sheet.Warnings)
	}
	dose := sheet.Soil.Lime
	if dose == nil {
		t.Fatal("no dose of lime on the sheet")
	}
	near(t, "mass", float64(dose.Mass), float64(dose.Rate.On(units.Area(sheet.Ground.SpreadM2))), 1e-6)
	if dose.Rate < perAcre(3000) {
		t.Errorf("%v kg/m2 of ground lime cannot do what 3000 lb/ac of pure lime does", dose.Rate)
	}
}

// 500 lb/ac of 44-0-0 is 220 lb/ac of nitrogen, all of it slow.
func TestMuchSlowNitrogenIsWarnedOfToo(t *testing.T) {
	if s := prepare(t, acres(t, 0.5), machine(), oatsAnd("44-0-0", 500), agronomy.Options{Habit: true}); !warned(s, "220 lb/ac of nitrogen is more than most crops take up") {
		t.Errorf("%+v", s.Warnings)
	}
	if s := prepare(t, acres(t, 0.5), machine(), oatsAnd("44-0-0", 250), agronomy.Options{Habit: true}); warned(s, "of nitrogen is more") {
		t.Errorf("110 lb/ac is called too much: %+v", s.Warnings)
	}
}

func TestCreditsAreRates(t *testing.T) {
	options := agronomy.Options{Date: "2026-08-29", Habit: true, Soil: &soil.Report{N: asked(30)}}
	for _, n := range []units.MassPerArea{perAcre(-500), perAcre(5000), units.MassPerArea(math.NaN())} {
		options.Credits = []soil.Credit{{From: "manure", Nutrients: mix.Nutrients{N: n}}}
		if _, err := agronomy.Prepare(acres(t, 0.5), machine(), oatsAnd("13-13-13", 100), options); err == nil {
			t.Errorf("a credit of %v passes", n)
		}
	}
}

// 2000 lb/ac of pure lime is 2222 lb/ac of a product of nine tenths its power.
func TestLimeIsHeldAgainstTheLaboratoryWithoutASoilTest(t *testing.T) {
	lime := func(pounds float64) agronomy.Sheet {
		goods := mix.Mix{Name: "lime", Items: []mix.Item{{Material: "pelletized-lime", Rate: mix.Rate{Mass: perAcre(pounds)}}}}
		return prepare(t, acres(t, 0.25), machine(), goods, agronomy.Options{Habit: true, Lime: &soil.LimeAsk{Recommended: perAcre(2000)}})
	}
	little := lime(200)
	if !warned(little, "9 % of what the laboratory asks for") || !warned(little, "comes to 2,222 lb/ac of pelletized lime here") || !warned(little, "the mix has 200 lb/ac") {
		t.Errorf("%+v", little.Warnings)
	}
	if right := lime(2200); warned(right, "laboratory") {
		t.Errorf("the dose that is asked for is warned of: %+v", right.Warnings)
	}
}

func TestALaboratoryMayAskForNothing(t *testing.T) {
	none := &soil.Report{N: asked(0), P2O5: asked(0), K2O: asked(0)}
	sheet := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Habit: true, Soil: none})
	if sheet.Soil == nil || sheet.Soil.Over != sheet.Soil.Gives || !warned(sheet, "more nitrogen than the soil test asks for") {
		t.Errorf("a report of 0/0/0 is not held against the mix: %+v", sheet.Soil)
	}
	if strings.Contains(sheet.Soil.Need.Says, "not given") {
		t.Errorf("what is given as none counts as not given: %s", sheet.Soil.Need.Says)
	}
	silent := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Habit: true, Soil: &soil.Report{Laboratory: "the county laboratory"}})
	if silent.Soil != nil {
		t.Errorf("a report that says nothing counts as one that asks for nothing: %+v", silent.Soil)
	}
}
