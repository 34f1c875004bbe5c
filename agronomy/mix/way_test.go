package mix_test

import (
	"slices"
	"testing"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func massOn(t *testing.T, m mix.Mix, at int, area units.Area) float64 {
	t.Helper()
	r, err := m.Amounts(area, theCatalog(t), units.US)
	if err != nil {
		t.Fatalf("%+v: %v", m, err)
	}
	return float64(r.Amounts[at].Mass)
}

// Whatever way a rate is said in, as much goes on as before; a figure of few
// digits is rounded to three.
func TestARateIsSaidInAnotherWay(t *testing.T) {
	m := mix.Mix{Name: "m", Items: []mix.Item{
		{Material: "oats", Rate: mix.Rate{Mass: lbPerAcre(80)}, BagMass: 50 * units.Pound, Tag: seed.Tag{Purity: 0.98, Germination: 0.85}},
		{Material: "13-13-13", Rate: mix.Rate{Mass: lbPerAcre(200)}},
	}}
	area := 0.27 * units.Acre
	for at, look := range m.Looks(theCatalog(t)) {
		want := massOn(t, m, at, area)
		for _, way := range look.Ways {
			said, err := m.Recounted(at, way, area, theCatalog(t))
			if err != nil {
				t.Errorf("%s %s: %v", look.Name, way, err)
				continue
			}
			near(t, look.Name+" "+string(way), massOn(t, said, at, area), want, 0.005*want)
			if back, err := said.Recounted(at, mix.ByMass, area, theCatalog(t)); err != nil || back.PartsRate != 0 {
				t.Errorf("%s %s and back: %+v, %v", look.Name, way, back, err)
			} else {
				near(t, look.Name+" back from "+string(way), massOn(t, back, at, area), want, 0.005*want)
			}
		}
	}
}

func TestWaysFitTheMaterial(t *testing.T) {
	looks := mix.Mix{Items: []mix.Item{{Material: "oats"}, {Material: "46-0-0"}, {Material: "pelletized-lime"}, {Material: "nobody's"}}}.Looks(theCatalog(t))
	has := func(i int, w mix.Way) bool { return slices.Contains(looks[i].Ways, w) }
	if !has(0, mix.BySeeds) || !has(0, mix.ByPLS) || !has(0, mix.ByShare) || has(0, mix.ByN) {
		t.Errorf("oats: %v", looks[0].Ways)
	}
	if !has(1, mix.ByN) || has(1, mix.ByK2O) || has(1, mix.BySeeds) || has(1, mix.ByShare) || !has(1, mix.ByBags) {
		t.Errorf("urea: %v", looks[1].Ways)
	}
	if has(2, mix.ByN) || has(2, mix.BySeeds) || !has(2, mix.ByParts) {
		t.Errorf("lime: %v", looks[2].Ways)
	}
	if looks[3].Name != "nobody's" || len(looks[3].Ways) != 0 {
		t.Errorf("got %+v", looks[3])
	}
}

func TestPartsJoinAndLeaveABlend(t *testing.T) {
	area := units.Acre
	m := mix.Mix{Name: "m", PartsRate: lbPerAcre(300), Items: []mix.Item{
		{Material: "46-0-0", Rate: mix.Rate{Parts: 1}}, {Material: "0-46-0", Rate: mix.Rate{Parts: 2}}, {Material: "0-0-60", Rate: mix.Rate{Mass: lbPerAcre(50)}},
	}}
	joined, err := m.Recounted(2, mix.ByParts, area, theCatalog(t))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "parts", joined.Items[2].Rate.Parts, 0.5, 1e-12)
	near(t, "blend", joined.PartsRate.PoundsPerAcre(), 350, 1e-9)
	left, err := joined.Recounted(0, mix.ByN, area, theCatalog(t))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "N", left.Items[0].Rate.N.PoundsPerAcre(), 46, 1e-9)
	near(t, "what stays of the blend", left.PartsRate.PoundsPerAcre(), 250, 1e-9)
	for at := range m.Items {
		near(t, "as much as before", massOn(t, left, at, area), massOn(t, m, at, area), 1e-9)
	}
	alone, err := mix.Mix{Name: "m", Items: m.Items[2:]}.Recounted(0, mix.ByParts, 0, theCatalog(t))
	if err != nil || alone.Items[0].Rate.Parts != 1 || alone.PartsRate != lbPerAcre(50) {
		t.Errorf("a blend of one: %+v, %v", alone, err)
	}
}

func TestAnAmountForThePlotNeedsTheArea(t *testing.T) {
	m := mix.Mix{Name: "m", Items: []mix.Item{{Material: "46-0-0", Rate: mix.Rate{Bags: 2}}}}
	_, err := m.Recounted(0, mix.ByMass, 0, theCatalog(t))
	if f, ok := fault.From(err); !ok || f.Code != "area" {
		t.Errorf("got %v", err)
	}
	if said, err := m.Recounted(0, mix.ByMass, units.Acre/2, theCatalog(t)); err != nil || massOn(t, said, 0, units.Acre/2) != massOn(t, m, 0, units.Acre/2) {
		t.Errorf("got %+v, %v", said, err)
	}
	if _, err := m.Recounted(1, mix.ByMass, 1, theCatalog(t)); err == nil {
		t.Error("a material that is not there passes")
	}
}

// Fertilizer that goes out of a blend takes its part of the blend's rate along.
func TestBagsInPlaceOfPartsOfABlend(t *testing.T) {
	m := mix.Mix{Name: "m", PartsRate: lbPerAcre(400), Items: []mix.Item{{Material: "oats", Rate: mix.Rate{Parts: 1}}, {Material: "13-13-13", Rate: mix.Rate{Parts: 3}}}}
	bags := []mix.BagCount{{ID: "46-0-0", Bags: 1, Mass: 50 * units.Pound}}
	fed, err := m.Fed(bags, units.Acre, theCatalog(t))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "oats", massOn(t, fed, 0, units.Acre), float64(100*units.Pound), 1e-9)
	near(t, "urea", massOn(t, fed, 1, units.Acre), float64(50*units.Pound), 1e-9)
	if only, err := (mix.Mix{Name: "m", PartsRate: lbPerAcre(400), Items: m.Items[1:]}).Fed(bags, units.Acre, theCatalog(t)); err != nil || only.PartsRate != 0 {
		t.Errorf("a blend of nothing has a rate: %+v, %v", only, err)
	}
	if _, err := m.Fed(bags, 0, theCatalog(t)); err == nil {
		t.Error("bags on no ground pass")
	}
}
