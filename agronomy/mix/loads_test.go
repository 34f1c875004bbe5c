package mix_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func spread(material string, class mix.Class, group int, mass units.Mass, density units.Density) mix.Amount {
	a := mix.Amount{Material: material, Class: class, Group: group, SpreadMass: mass, Density: density}
	if density > 0 {
		a.Volume = mass.Filling(density)
	}
	return a
}

func TestLoadsKeepToBothLimitsAndLoseNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for n := range 300 {
		var amounts []mix.Amount
		for i := range 1 + r.IntN(5) {
			class := []mix.Class{mix.Seed, mix.Fertilizer, mix.Lime}[r.IntN(3)]
			amounts = append(amounts, spread(string(rune('a'+i)), class, 1+r.IntN(3), units.Mass(1+r.Float64()*200), units.Density(300+r.Float64()*900)))
		}
		h := mix.Hopper{Mass: units.Mass(20 + r.Float64()*60), Volume: units.Volume(0.03 + r.Float64()*0.05)}
		path := r.Float64() * 2000
		loads, err := mix.Loads(amounts, h, path, 0, units.US)
		if err != nil {
			t.Fatal(err)
		}
		poured := map[string]units.Mass{}
		ends := map[int]float64{}
		for i, l := range loads {
			if l.Mass > h.Mass*(1+1e-5) || l.Volume > h.Volume*(1+1e-5) {
				t.Errorf("case %d: load %d does not fit: %+v", n, i, l)
			}
			if l.Number != i+1 || math.Abs(l.FromM-ends[l.Group]) > 1e-9 {
				t.Errorf("case %d: load %d begins at %g, the one before ended at %g", n, l.Number, l.FromM, ends[l.Group])
			}
			ends[l.Group] = l.ToM
			for _, layer := range l.Layer {
				poured[layer.Material] += layer.Mass * units.Mass(l.Layers)
			}
		}
		for _, a := range amounts {
			near(t, "poured", float64(poured[a.Material]/a.SpreadMass), 1, 1e-9)
			near(t, "end of the group's path", ends[a.Group], path, 1e-9)
		}
	}
}

func TestLoadsAreAsFewAsTheLimitsAllow(t *testing.T) {
	bag := spread("a", mix.Fertilizer, 1, 100, 1000)
	for _, tt := range []struct {
		h    mix.Hopper
		want int
	}{
		{mix.Hopper{Mass: 100}, 1}, {mix.Hopper{Mass: 99}, 2}, {mix.Hopper{Mass: 34}, 3}, {mix.Hopper{Volume: 0.1}, 1},
		{mix.Hopper{Volume: 0.09}, 2}, {mix.Hopper{Mass: 60, Volume: 0.03}, 4},
	} {
		loads, err := mix.Loads([]mix.Amount{bag}, tt.h, 100, 0, units.US)
		if err != nil || len(loads) != tt.want {
			t.Errorf("%+v: %d loads, want %d (%v)", tt.h, len(loads), tt.want, err)
		}
	}
}

func TestSeedIsScoopedToTheNearestHalfAndTheErrorStated(t *testing.T) {
	corn := units.Density(56) * units.PoundPerBushel
	in := []mix.Amount{
		spread("urea", mix.Fertilizer, 1, 50*units.Pound, 0),
		spread("corn", mix.Seed, 1, (2.5 * units.DryQuart).Weighing(corn), corn),
	}
	loads, err := mix.Loads(in, mix.Hopper{Mass: 80 * units.Pound, Scoop: units.DryCup}, 400, 3, units.US)
	if err != nil {
		t.Fatal(err)
	}
	l := loads[0].Layer[1]
	near(t, "scoops in a layer", l.Scoops, 3.5, 0) // 10 cups in three layers are 3.33
	near(t, "scoops in the last", l.LastScoops, 3, 0)
	near(t, "scoops in the load", l.LoadScoops, 10, 1e-12)
	near(t, "error of a layer", l.ErrorRel, 0.05, 1e-9)
	near(t, "error of the load", l.LoadErrorRel, 0, 1e-9)
	if loads[0].Layer[0].Scoops != 0 {
		t.Error("fertilizer is not scooped")
	}
	hold(t, loads[0].Says, "3 equal layers", "3 1/2 scoops", "last layer takes the 3 scoops left", "at once", "never store")
}

func TestScoopErrorsStayWithinHalfAScoop(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	for range 500 {
		seeds := spread("seed", mix.Seed, 1, units.Mass(0.05+r.Float64()*30), 700)
		layers := 1 + r.IntN(6)
		loads, err := mix.Loads([]mix.Amount{seeds, spread("f", mix.Fertilizer, 1, 20, 0)}, mix.Hopper{Mass: 25}, 1, layers, units.US)
		if err != nil {
			t.Fatal(err)
		}
		for _, load := range loads {
			l := load.Layer[0]
			total := l.Scoops*float64(layers-1) + l.LastScoops
			near(t, "layers sum to the load", total, l.LoadScoops, 1e-9)
			exact := float64(seeds.Volume/l.Scoop) / float64(len(loads))
			near(t, "load", l.LoadScoops, exact, 0.25+1e-9)
			near(t, "stated error", l.LoadScoops, exact*(1+l.LoadErrorRel), 1e-9)
			if l.LastScoops < 0 {
				t.Errorf("a negative last layer: %+v", l)
			}
		}
	}
}

// A cup of seed in three layers goes by half cups into the first two.
func TestAnEmptyLastLayerIsSaidInWords(t *testing.T) {
	seeds := spread("seed", mix.Seed, 1, units.DryCup.Weighing(700), 700)
	loads, err := mix.Loads([]mix.Amount{seeds, spread("f", mix.Fertilizer, 1, 20, 0)}, mix.Hopper{Mass: 25}, 1, 3, units.US)
	if err != nil {
		t.Fatal(err)
	}
	hold(t, loads[0].Says, "measure 1 scoop of seed for the load first: the last layer takes none")
}

// Nobody counts seventy cups: a full layer is measured in quarts, unless the
// person names a scoop.
func TestMuchSeedIsMeasuredInQuarts(t *testing.T) {
	for _, tt := range []struct {
		volume, own, want units.Volume
	}{
		{units.DryQuart, 0, units.DryCup},
		{20 * units.DryQuart, 0, units.DryQuart},
		{20 * units.DryQuart, units.DryPint, units.DryPint},
	} {
		loads, err := mix.Loads([]mix.Amount{spread("oats", mix.Seed, 1, tt.volume.Weighing(400), 400)}, mix.Hopper{Mass: 100, Scoop: tt.own}, 1, 1, units.US)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "scoop", float64(loads[0].Layer[0].Scoop), float64(tt.want), 0)
	}
}

func TestOneMaterialNeedsNoLayers(t *testing.T) {
	loads, err := mix.Loads([]mix.Amount{spread("a", mix.Fertilizer, 1, 50, 0)}, mix.Hopper{Mass: 60, Volume: 1}, 10, 3, units.US)
	if err != nil || loads[0].Layers != 1 {
		t.Fatalf("%+v, %v", loads, err)
	}
	if !strings.Contains(loads[0].Says, "may not fit") {
		t.Errorf("an unknown volume is not said: %s", loads[0].Says)
	}
}

func TestHopperFaults(t *testing.T) {
	one := []mix.Amount{spread("a", mix.Fertilizer, 1, 50, 0)}
	for code, call := range map[string]func() ([]mix.Load, error){
		"hopper": func() ([]mix.Load, error) { return mix.Loads(one, mix.Hopper{}, 1, 0, units.US) },
		"path":   func() ([]mix.Load, error) { return mix.Loads(one, mix.Hopper{Mass: 1}, math.NaN(), 0, units.US) },
		"layers": func() ([]mix.Load, error) { return mix.Loads(one, mix.Hopper{Mass: 1}, 1, -1, units.US) },
		"loads":  func() ([]mix.Load, error) { return mix.Loads(one, mix.Hopper{Mass: 1e-3}, 1, 0, units.US) },
	} {
		_, err := call()
		if f, ok := fault.From(err); !ok || f.Code != code || f.Remedy == "" {
			t.Errorf("%s: got %v", code, err)
		}
	}
}
