package agronomy_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/fault"
)

// pondAlong is a keep-off line along the south edge of a plot made by acres.
func pondAlong(p agronomy.Plot, distance units.Length, bound agronomy.Goods) agronomy.KeepOff {
	ring := p.Polygon[0]
	return agronomy.KeepOff{Name: "pond", Line: orb.LineString{ring[0], ring[1]}, Distance: distance, For: bound}
}

func TestKeptOffGroundGetsNothingAndCostsNothing(t *testing.T) {
	free := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{})
	plot := acres(t, 0.5)
	plot.KeepOff = []agronomy.KeepOff{pondAlong(plot, 20*units.Foot, agronomy.FertilizerOnly)}
	kept := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{})

	side := math.Sqrt(0.5 * float64(units.Acre))
	strip := float64(20*units.Foot) * side
	near(t, "ground to spread", kept.Ground.SpreadM2, kept.Ground.AreaM2-strip, 0.01*kept.Ground.AreaM2)
	near(t, "fertilizer", float64(kept.Materials[0].Mass/free.Materials[0].Mass), kept.Ground.SpreadM2/kept.Ground.AreaM2, 1e-9)
	near(t, "share in the strip", kept.Evenness.KeepOffShare[0], 0, 0.005)
	if !warned(kept, "keep-off line") {
		t.Errorf("nothing is said of the strip: %+v", kept.Warnings)
	}
}

func TestKeepOffBindsOnlyItsGoods(t *testing.T) {
	seedOnly := mix.Mix{Name: "oats", Items: []mix.Item{{Material: "oats", Rate: mix.Rate{Mass: 80 * units.PoundPerAcre}}}}
	plot := acres(t, 0.5)
	plot.KeepOff = []agronomy.KeepOff{pondAlong(plot, 20*units.Foot, agronomy.FertilizerOnly)}
	if s := prepare(t, plot, machine(), seedOnly, agronomy.Options{}); s.Ground.SpreadM2 != s.Ground.AreaM2 {
		t.Error("a line for fertilizer binds seed")
	}
	plot.KeepOff[0].For = agronomy.Everything
	if s := prepare(t, plot, machine(), seedOnly, agronomy.Options{}); s.Ground.SpreadM2 >= s.Ground.AreaM2 {
		t.Error("a line for everything does not bind seed")
	}
}

func TestATinyPlotWithoutALineIsWholeGround(t *testing.T) {
	for feet := units.Length(16); feet < 28; feet++ { // the raster rounds some
		w, h := float64(feet*units.Foot), float64(20*units.Foot)
		bed := plotOf(t, "bed", orb.Point{0.3, 0.7}, orb.Point{w, 0}, orb.Point{w, h}, orb.Point{0, h})
		s := prepare(t, bed, machine(), oatsAnd("13-13-13", 200), agronomy.Options{})
		if s.Ground.SpreadM2 != s.Ground.AreaM2 || warned(s, "keep-off line") {
			t.Errorf("%g ft: %g m2 of %g m2 get something", float64(feet), s.Ground.SpreadM2, s.Ground.AreaM2)
		}
	}
}

func TestPlansAreComparedAndChosenByName(t *testing.T) {
	plot := sixtyCorners(t, 0.5)
	first := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{})
	habit, chosen := 0, 0
	for _, p := range first.Plans {
		if p.Habit {
			habit++
		}
		if p.Chosen {
			chosen++
			if p.Name != first.Drive.Name || p.CV != first.Evenness.CV {
				t.Errorf("the chosen plan is %q with CV %v, the drive %q with %v", p.Name, p.CV, first.Drive.Name, first.Evenness.CV)
			}
		}
		if len(p.Lines) == 0 || p.LengthM <= 0 || p.Time <= 0 {
			t.Errorf("%q has no figures", p.Name)
		}
	}
	if habit != 1 || chosen != 1 || len(first.Plans) < 2 {
		t.Fatalf("%d plans, %d of them the habit, %d chosen", len(first.Plans), habit, chosen)
	}
	for _, p := range first.Plans {
		again := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{Plan: p.Name})
		if again.Drive.Name != p.Name {
			t.Errorf("asked for %q, got %q", p.Name, again.Drive.Name)
		}
	}
}

func TestOwnSpacingIsDriven(t *testing.T) {
	s := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Spacing: 10 * units.Foot, FirstInset: 4 * units.Foot})
	near(t, "spacing", s.Spreader.Spacing.Feet(), 10, 1e-9)
	near(t, "first inset", s.Spreader.FirstInset.Feet(), 4, 1e-9)
}

func TestQuickPlanIsAlone(t *testing.T) {
	s := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Quick: true})
	if len(s.Plans) != 1 || len(s.Drive.Passes) == 0 {
		t.Errorf("%d plans, %d passes", len(s.Plans), len(s.Drive.Passes))
	}
}

func TestThrowTooWideForThePlotIsToldOf(t *testing.T) {
	strip := plotOf(t, "ditch", orb.Point{0, 0}, orb.Point{60, 0}, orb.Point{60, 3}, orb.Point{0, 3})
	small := prepare(t, strip, machine(), oatsAnd("13-13-13", 200), agronomy.Options{Habit: true})
	if small.Evenness.OutsideShare < 0.2 || !warned(small, "hand spreader") {
		t.Errorf("%.0f %% falls outside and the sheet says %+v", 100*small.Evenness.OutsideShare, small.Warnings)
	}
	if wide := prepare(t, acres(t, 1), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Habit: true}); warned(wide, "hand spreader") {
		t.Error("an acre does not want a hand spreader")
	}
}

// A driver who says where the gate is starts near it.
func TestStartIsWhereTheDriverComesIn(t *testing.T) {
	plot := acres(t, 1)
	corner := plot.Polygon[0][2]
	s := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{Habit: true, Start: &corner})
	gate := geo.NewFrame(s.Ground.Origin).ToLocal(corner)
	if d := math.Hypot(s.Drive.Start[0]-gate[0], s.Drive.Start[1]-gate[1]); d > 10 {
		t.Errorf("the drive starts %.1f m from the gate", d)
	}
}

// Plans are chosen by name, so no two of a sheet may share one.
func TestEveryPlanCanBeChosen(t *testing.T) {
	plot := acres(t, 0.25)
	first := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{})
	seen := map[string]bool{}
	for _, p := range first.Plans {
		if seen[p.Name] {
			t.Errorf("two plans are called %q", p.Name)
		}
		seen[p.Name] = true
		got := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{Plan: p.Name})
		if got.Drive.Name != p.Name || got.Drive.LengthM != p.LengthM || warned(got, "No plan called") {
			t.Errorf("asked for %q of %.1f m, got %q of %.1f m", p.Name, p.LengthM, got.Drive.Name, got.Drive.LengthM)
		}
	}
	other := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{Plan: "spirals"})
	if other.Drive.Name != first.Drive.Name || !warned(other, `No plan called "spirals"`) {
		t.Errorf("%q is driven, and it says %+v", other.Drive.Name, other.Warnings)
	}
}

// The driver's own figures, and the habit, keep off the water too.
func TestLapsOfTheDriversOwnKeepOff(t *testing.T) {
	for name, options := range map[string]agronomy.Options{
		"habit": {Habit: true}, "own spacing": {Spacing: 12 * units.Foot},
	} {
		free := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), options)
		plot := acres(t, 0.5)
		plot.KeepOff = []agronomy.KeepOff{pondAlong(plot, 20*units.Foot, agronomy.FertilizerOnly)}
		kept := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), options)
		strip := float64(20*units.Foot) * math.Sqrt(0.5*float64(units.Acre))
		near(t, name+": ground to spread", kept.Ground.SpreadM2, kept.Ground.AreaM2-strip, 0.01*kept.Ground.AreaM2)
		near(t, name+": fertilizer", float64(kept.Materials[0].Mass/free.Materials[0].Mass), kept.Ground.SpreadM2/kept.Ground.AreaM2, 1e-9)
		near(t, name+": share in the strip", kept.Evenness.KeepOffShare[0], 0, 0.005)
		if !warned(kept, "keep-off line") {
			t.Errorf("%s: nothing is said of the strip: %+v", name, kept.Warnings)
		}
	}
}

func TestKeepOffLinesThatKeepNothingOffAreRefused(t *testing.T) {
	good := pondAlong(acres(t, 0.5), 20*units.Foot, agronomy.Everything)
	for field, spoil := range map[string]func(*agronomy.KeepOff){
		"line":       func(k *agronomy.KeepOff) { k.Line = nil },
		"distance_m": func(k *agronomy.KeepOff) { k.Distance = units.Length(math.NaN()) },
		"for":        func(k *agronomy.KeepOff) { k.For = "geese" },
	} {
		bad, plot := good, acres(t, 0.5)
		spoil(&bad)
		plot.KeepOff = []agronomy.KeepOff{good, bad}
		_, err := agronomy.Prepare(plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{Date: "2026-08-29", Habit: true})
		if f, ok := fault.From(err); !ok || f.Where.Field != "plot.keep_off[1]."+field {
			t.Errorf("%s: %v", field, err)
		}
	}
}

func TestABearingOfOnesOwn(t *testing.T) {
	along := 30.0
	s := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Along: &along, Quick: true})
	if s.Drive.Bearing == nil || math.Abs(*s.Drive.Bearing-along) > 0.01 {
		t.Errorf("passes along %v, wanted %g", s.Drive.Bearing, along)
	}
	laps := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Along: &along, Spacing: 12 * units.Foot})
	if laps.Drive.Bearing != nil || !slices.ContainsFunc(laps.Warnings, func(w agronomy.Note) bool { return strings.HasPrefix(w.Says, "Laps follow the edge") }) {
		t.Errorf("laps along %v, said %v", laps.Drive.Bearing, laps.Warnings)
	}
	along = 361
	_, err := agronomy.Prepare(acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Date: "2026-04-30", Along: &along})
	if f, ok := fault.From(err); !ok || f.Where.Field != "along_deg" {
		t.Errorf("361 degrees: %v", err)
	}
}
