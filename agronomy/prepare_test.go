package agronomy_test

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/geo/passes"
)

// plotOf lays a ring of local metres on the ground at a place of our own.
func plotOf(t testing.TB, name string, ring ...orb.Point) agronomy.Plot {
	t.Helper()
	frame := geo.NewFrame(orb.Point{-90.86, 43.71})
	p, err := geo.NewPlot(name, orb.Polygon{frame.LonLatRing(append(orb.Ring(ring), ring[0]))})
	if err != nil {
		t.Fatal(err)
	}
	survey := p.Survey(geo.Drawn, "2026-08-01", 1)
	return agronomy.Plot{Plot: p, Survey: survey, Surveys: []geo.Survey{survey}}
}

// acres is a square plot of so many acres.
func acres(t testing.TB, a float64) agronomy.Plot {
	side := math.Sqrt(a * float64(units.Acre))
	return plotOf(t, "square", orb.Point{0, 0}, orb.Point{side, 0}, orb.Point{side, side}, orb.Point{0, side})
}

// sixtyCorners is a wavy round plot of so many acres.
func sixtyCorners(t testing.TB, a float64) agronomy.Plot {
	radius := math.Sqrt(a * float64(units.Acre) / math.Pi)
	var ring []orb.Point
	for i := range 60 {
		angle := 2 * math.Pi * float64(i) / 60
		r := radius * (1 + 0.12*math.Sin(3*angle) + 0.05*math.Cos(7*angle))
		ring = append(ring, orb.Point{r * math.Cos(angle), r * math.Sin(angle)})
	}
	return plotOf(t, "wavy", ring...)
}

func machine() spreader.Spreader {
	return spreader.Spreader{
		Name:       "rack spreader",
		Patterns:   spreader.Patterns{Usual: spreader.Pattern{Shape: spreader.Triangle, Throw: 24 * units.Foot}},
		HopperMass: 110 * units.Pound, SpeedMin: 3 * units.MPH, SpeedMax: 8 * units.MPH, TurnRadius: 8 * units.Foot,
	}
}

func oatsAnd(material string, poundsPerAcre float64) mix.Mix {
	return mix.Mix{Name: "test mix", Items: []mix.Item{
		{Material: material, Rate: mix.Rate{Mass: units.MassPerArea(poundsPerAcre) * units.PoundPerAcre}},
		{Material: "oats", Rate: mix.Rate{Mass: 80 * units.PoundPerAcre}, BagMass: 50 * units.Pound},
	}}
}

func prepare(t testing.TB, p agronomy.Plot, m spreader.Spreader, goods mix.Mix, o agronomy.Options) agronomy.Sheet {
	t.Helper()
	if o.Date == "" {
		o.Date = "2026-08-29"
	}
	s, err := agronomy.Prepare(p, m, goods, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSameInputsGiveTheSameBytes(t *testing.T) {
	plot := sixtyCorners(t, 0.25)
	first, err := json.Marshal(prepare(t, plot, machine(), oatsAnd("13-13-13", 250), agronomy.Options{}))
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		again, err := json.Marshal(prepare(t, plot, machine(), oatsAnd("13-13-13", 250), agronomy.Options{}))
		if err != nil {
			t.Fatal(err)
		}
		if string(first) != string(again) {
			t.Fatal("the same inputs gave another sheet")
		}
	}
}

func TestSheetComesBackFromJSON(t *testing.T) {
	sheet := prepare(t, sixtyCorners(t, 0.25), machine(), oatsAnd("46-0-0", 90), agronomy.Options{})
	data, err := json.Marshal(sheet)
	if err != nil {
		t.Fatal(err)
	}
	var back agronomy.Sheet
	if err := json.Unmarshal(data, &back); err != nil {
		t.Fatal(err)
	}
	again, err := json.Marshal(back)
	if err != nil {
		t.Fatal(err)
	}
	if string(data) != string(again) {
		t.Error("a sheet changes when it is stored and read")
	}
}

// What is poured is the rate times the measured area, and the flow empties it
// over the path at the speed.
func TestAmountsLoadsAndFlowAgree(t *testing.T) {
	sheet := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 300), agronomy.Options{Speed: 5 * units.MPH})
	var want, poured units.Mass
	for _, a := range sheet.Materials {
		want += a.ProductRate.On(units.Area(sheet.Ground.AreaM2))
	}
	for _, l := range sheet.Loads {
		poured += l.Mass
		if l.Mass > 110*units.Pound*(1+1e-9) {
			t.Errorf("load %d is over the hopper: %v kg", l.Number, l.Mass)
		}
	}
	near(t, "poured", float64(poured), float64(want), 1e-9*float64(want))
	for _, g := range sheet.Spreader.Groups {
		open := (5 * units.MPH).Over(units.Length(agronomy.FullFlowM(sheet.Drive.Passes)))
		near(t, "emptied "+g.Contents, float64(g.Flow.For(open)), float64(g.Rate.On(units.Area(sheet.Ground.AreaM2))), 1e-6)
	}
}

// Where the gate is less open inside the laps the setting says what it must give
// there.
func TestALesserGateIsSaid(t *testing.T) {
	sheet := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 300), agronomy.Options{Speed: 5 * units.MPH})
	if !strings.Contains(sheet.Drive.Name, "three quarters open") {
		t.Fatalf("the plan is %q", sheet.Drive.Name)
	}
	for _, g := range sheet.Spreader.Groups {
		want := (g.Flow * 0.75).Format(sheet.System)
		if last := g.Says[len(g.Says)-1]; !strings.Contains(last, "three quarters open") || !strings.Contains(last, want) {
			t.Errorf("%s: %q, want %s", g.Contents, last, want)
		}
		for _, p := range sheet.Drive.Passes {
			if slices.Contains(g.Lesser.Passes, p.Order) != (p.Flow < 1) {
				t.Errorf("%s: pass %d at a flow of %g, lesser on %v", g.Contents, p.Order, p.Flow, g.Lesser.Passes)
			}
		}
	}
}

func TestRefillsLieWhereLoadsRunOut(t *testing.T) {
	sheet := prepare(t, acres(t, 1), machine(), oatsAnd("13-13-13", 300), agronomy.Options{})
	if len(sheet.Drive.Refills) == 0 {
		t.Fatal("300 lb in a hopper of 110 lb needs refilling")
	}
	for _, r := range sheet.Drive.Refills {
		pass := sheet.Drive.Passes[r.Pass-1]
		if gap := distanceTo(pass.Line, r.At); gap > 1e-6 {
			t.Errorf("refill after load %d is %.3f m off its pass", r.AfterLoad, gap)
		}
	}
}

func distanceTo(line orb.LineString, p orb.Point) float64 {
	best := math.Inf(1)
	for i := 1; i < len(line); i++ {
		dx, dy := line[i][0]-line[i-1][0], line[i][1]-line[i-1][1]
		along := ((p[0]-line[i-1][0])*dx + (p[1]-line[i-1][1])*dy) / (dx*dx + dy*dy)
		along = max(0, min(1, along))
		best = min(best, math.Hypot(p[0]-line[i-1][0]-along*dx, p[1]-line[i-1][1]-along*dy))
	}
	return best
}

func TestGuessIsHeldAgainstTheMeasure(t *testing.T) {
	tests := []struct {
		name         string
		guessed      float64 // acres, of a plot of 0.5
		factor       float64
		shortBags    float64 // of the 50-lb bags of 13-13-13 at 200 lb/ac
		says, silent string
	}{
		{"double", 1, 2, -2, "2 times", "only"},
		{"wild", 80, 160, -318, "160 times the rate", "e+"},
		{"half", 0.25, 0.5, 1, "only 50 %", "too many"},
		{"right", 0.505, 1.01, -0.02, "right within", "short"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			plot := acres(t, 0.5)
			plot.Surveys = append(plot.Surveys,
				geo.Survey{Method: geo.Guessed, Date: "2025-05-01", AreaM2: 9},
				geo.Survey{Method: geo.Guessed, Date: "2026-05-01", AreaM2: float64(units.Area(tt.guessed) * units.Acre)})
			guess := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{}).Ground.Guess
			if guess == nil {
				t.Fatal("the guess is not compared")
			}
			near(t, "factor", guess.RateFactor, tt.factor, 1e-5)
			near(t, "bags short", guess.Bags[0].Bags, tt.shortBags, 1e-4)
			if !strings.Contains(guess.Says, tt.says) || strings.Contains(guess.Says, tt.silent) {
				t.Errorf("it says %q", guess.Says)
			}
		})
	}
	if g := prepare(t, acres(t, 0.5), machine(), oatsAnd("13-13-13", 200), agronomy.Options{}).Ground.Guess; g != nil {
		t.Errorf("a guess out of nowhere: %+v", g)
	}
}

// A bag on the plot is a bag, however large the plot was thought to be.
func TestGuessDoesNotScaleWhatIsForThePlot(t *testing.T) {
	plot := acres(t, 0.5)
	plot.Surveys = append(plot.Surveys, geo.Survey{Method: geo.Guessed, Date: "2026-05-01", AreaM2: float64(units.Acre)})
	one := mix.Mix{Name: "a bag", Items: []mix.Item{{Material: "13-13-13", Rate: mix.Rate{Bags: 1}}}}
	guess := prepare(t, plot, machine(), one, agronomy.Options{Habit: true}).Ground.Guess
	if guess == nil || len(guess.Bags) != 0 {
		t.Errorf("%+v", guess)
	}
}

func TestWrongInputsNameTheField(t *testing.T) {
	noOutline := acres(t, 0.5)
	noOutline.Polygon = nil
	noArea := acres(t, 0.5)
	noArea.Survey.AreaM2 = 0
	tests := []struct {
		name    string
		plot    agronomy.Plot
		options agronomy.Options
		code    string
		field   string
	}{
		{"no outline", noOutline, agronomy.Options{Date: "2026-08-29"}, "no_outline", "plot"},
		{"no area", noArea, agronomy.Options{Date: "2026-08-29"}, "no_area", "plot.survey"},
		{"no date", acres(t, 0.5), agronomy.Options{}, "date", "date"},
		{"units", acres(t, 0.5), agronomy.Options{Date: "2026-08-29", System: "furlongs"}, "units", "units"},
		{"too fast", acres(t, 0.5), agronomy.Options{Date: "2026-08-29", Speed: 20 * units.MPH}, "speed_high", "speed_mps"},
		{"too slow", acres(t, 0.5), agronomy.Options{Date: "2026-08-29", Speed: 1 * units.MPH}, "speed_low", "speed_mps"},
		{"backwards", acres(t, 0.5), agronomy.Options{Date: "2026-08-29", Speed: -1}, "speed", "speed_mps"},
		{"spacing", acres(t, 0.5), agronomy.Options{Date: "2026-08-29", Spacing: -1}, "range", "spacing_m"},
		{"endless search", acres(t, 0.5), agronomy.Options{Date: "2026-08-29", Budget: 5001}, "budget", "budget"},
		{"no search", acres(t, 0.5), agronomy.Options{Date: "2026-08-29", Budget: -1}, "budget", "budget"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			sheet, err := agronomy.Prepare(tt.plot, machine(), oatsAnd("13-13-13", 200), tt.options)
			f, ok := fault.From(err)
			if !ok || f.Code != tt.code || f.Where.Field != tt.field {
				t.Fatalf("got %v, want %s in %s", err, tt.code, tt.field)
			}
			if !reflect.DeepEqual(sheet, agronomy.Sheet{}) {
				t.Error("half a sheet came back with the fault")
			}
		})
	}
}

func TestAPlotTooSmallProposesTheHandSpreader(t *testing.T) {
	_, err := agronomy.Prepare(acres(t, 0.002), machine(), oatsAnd("13-13-13", 200), agronomy.Options{Date: "2026-08-29"})
	f, ok := fault.From(err)
	if !ok || !strings.Contains(f.Remedy, "hand spreader") {
		t.Fatalf("got %v", err)
	}
}

func TestEverySheetCarriesTheCautions(t *testing.T) {
	sheet := prepare(t, acres(t, 0.5), machine(), oatsAnd("46-0-0", 90), agronomy.Options{})
	var all strings.Builder
	for _, c := range sheet.Cautions {
		all.WriteString(c.Says + "\n")
		if c.Mark.Kind == "" {
			t.Errorf("%q has no mark", c.Says)
		}
	}
	for _, word := range []string{"Gloves", "dust", "label", "safety data sheet", "water", "Treated seed", "at once", "slope", "load", "laboratory", "extension", "licensed"} {
		if !strings.Contains(all.String(), word) {
			t.Errorf("no caution speaks of %q", word)
		}
	}
	for _, e := range sheet.Sources {
		if e.Mark.Kind == "" || e.Says == "" {
			t.Errorf("a source says nothing: %+v", e)
		}
	}
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

func benchmarkPrepare(b *testing.B, acre float64, o agronomy.Options) {
	plot, goods := sixtyCorners(b, acre), oatsAnd("13-13-13", 250)
	o.Date = "2026-08-29"
	b.ReportAllocs()
	for b.Loop() {
		if _, err := agronomy.Prepare(plot, machine(), goods, o); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPrepareHabitQuarterAcre(b *testing.B) {
	benchmarkPrepare(b, 0.25, agronomy.Options{Habit: true})
}

func BenchmarkPrepareHabitOneAcre(b *testing.B) {
	benchmarkPrepare(b, 1, agronomy.Options{Habit: true})
}

func BenchmarkPrepareQuickQuarterAcre(b *testing.B) {
	benchmarkPrepare(b, 0.25, agronomy.Options{Quick: true, Room: passes.RoomAllRound})
}

func BenchmarkPrepareSearchQuarterAcre(b *testing.B) {
	benchmarkPrepare(b, 0.25, agronomy.Options{Room: passes.RoomAllRound})
}
