package walk_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"evenfall/geo"
	"evenfall/geo/walk"

	"github.com/paulmach/orb"
)

// home is the origin of the walks drawn by hand, in degrees.
var home = geo.NewFrame(orb.Point{-90.2, 40.1})

// paced goes along a line of local metres at 1 m/s with a fix a second and no
// error but what trembleM adds, independently.
func paced(line orb.LineString, trembleM float64) []walk.Fix {
	rng := rand.New(rand.NewPCG(9, 9))
	var fixes []walk.Fix
	now := 0.0
	for i := 0; i+1 < len(line); i++ {
		a, b := line[i], line[i+1]
		length := math.Hypot(b[0]-a[0], b[1]-a[1])
		for s := 0.0; s < length; s++ {
			t := s / length
			at := orb.Point{a[0] + t*(b[0]-a[0]) + trembleM*rng.NormFloat64(), a[1] + t*(b[1]-a[1]) + trembleM*rng.NormFloat64()}
			fixes = append(fixes, walk.Fix{LonLat: home.ToLonLat(at), TimeS: now})
			now++
		}
	}
	return fixes
}

// block is 40 by 30 m, begun in the middle of a side and walked on 6 m past
// that.
var block = orb.LineString{{15, 0}, {40, 0}, {40, 30}, {0, 30}, {0, 0}, {15, 0}, {21, 0}}

const blockM2 = 1200.0

func traced(t *testing.T, fixes []walk.Fix, o walk.Options) walk.Result {
	t.Helper()
	result, err := walk.Trace("block", fixes, o)
	if err != nil {
		t.Fatal(err)
	}
	return result
}

// sharp is a receiver that knows its place to 3 cm.
var sharp = walk.Options{SigmaM: 0.03}

func TestSharpWalkIsItsOutline(t *testing.T) {
	r := traced(t, paced(block, 0.01), sharp)
	if math.Abs(r.AreaM2-blockM2) > 2 || math.Abs(r.PerimeterM-140) > 1 {
		t.Errorf("area %.2f m2, perimeter %.2f m", r.AreaM2, r.PerimeterM)
	}
	if n := r.Plot.CornerCount(); n > 12 {
		t.Errorf("%d corners for a rectangle", n)
	}
	if r.AreaM2 != r.Plot.AreaM2() {
		t.Error("the area is not that of the plot")
	}
	if r.Laps != 1 || r.Dropped.Overlap < 4 || r.Dropped.Overlap > 8 {
		t.Errorf("%d laps, %d fixes of overlap", r.Laps, r.Dropped.Overlap)
	}
}

func TestWhatIsDropped(t *testing.T) {
	clean := paced(block, 0.2)
	o := walk.Options{SigmaM: 0.5}
	base := traced(t, clean, o)
	tests := []struct {
		name  string
		spoil func([]walk.Fix) []walk.Fix
		count func(walk.Dropped) int
		want  int
		note  string
	}{
		{"a spike", func(f []walk.Fix) []walk.Fix { return thrown(f, 40, 1, 60) },
			func(d walk.Dropped) int { return d.Spikes }, 1, "1 fix was dropped because nobody"},
		{"a run of spikes", func(f []walk.Fix) []walk.Fix { return thrown(f, 70, 4, -35) },
			func(d walk.Dropped) int { return d.Spikes }, 4, "4 fixes were dropped because nobody"},
		{"a spike at the start", func(f []walk.Fix) []walk.Fix { return thrown(f, 0, 1, 40) },
			func(d walk.Dropped) int { return d.Spikes }, 1, "1 fix was"},
		{"a poor fix", func(f []walk.Fix) []walk.Fix { f[30].AccuracyM = 40; return f },
			func(d walk.Dropped) int { return d.Inaccurate }, 1, "worse than 15 m"},
		{"a pause", func(f []walk.Fix) []walk.Fix { return stood(f, 50, 45) },
			func(d walk.Dropped) int { return d.Standing }, 45, "stood still"},
		{"repeats", func(f []walk.Fix) []walk.Fix { return append(f, f[10], f[60]) },
			func(d walk.Dropped) int { return d.Repeated }, 2, "less than a second"},
		{"fixes without time", func(f []walk.Fix) []walk.Fix { f[9].TimeS = math.NaN(); return f },
			func(d walk.Dropped) int { return d.Repeated }, 1, "no time"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := traced(t, tt.spoil(slices.Clone(clean)), o)
			if got := tt.count(r.Dropped); math.Abs(float64(got-tt.want)) > 0.15*float64(tt.want) {
				t.Errorf("dropped %d, want about %d (%+v)", got, tt.want, r.Dropped)
			}
			if notes := strings.Join(r.Notes, " "); !strings.Contains(notes, tt.note) {
				t.Errorf("notes %q lack %q", notes, tt.note)
			}
			if math.Abs(r.AreaM2-base.AreaM2) > base.UncertaintyM2 {
				t.Errorf("area %.1f m2, without %.1f m2 +- %.1f", r.AreaM2, base.AreaM2, base.UncertaintyM2)
			}
		})
	}
}

// thrown moves a run of fixes north.
func thrown(fixes []walk.Fix, first, count int, northM float64) []walk.Fix {
	for i := first; i < first+count; i++ {
		p := home.ToLocal(fixes[i].LonLat)
		fixes[i].LonLat = home.ToLonLat(orb.Point{p[0], p[1] + northM})
	}
	return fixes
}

// stood stays at a fix for some seconds, trembling.
func stood(fixes []walk.Fix, at, seconds int) []walk.Fix {
	rng := rand.New(rand.NewPCG(8, 8))
	here := home.ToLocal(fixes[at].LonLat)
	out := slices.Clone(fixes[:at+1])
	for i := range seconds {
		p := orb.Point{here[0] + 0.3*rng.NormFloat64(), here[1] + 0.3*rng.NormFloat64()}
		out = append(out, walk.Fix{LonLat: home.ToLonLat(p), TimeS: fixes[at].TimeS + float64(i+1)})
	}
	for _, f := range fixes[at+1:] {
		f.TimeS += float64(seconds)
		out = append(out, f)
	}
	return out
}

func TestSpeedLimitOfTheUser(t *testing.T) {
	fixes := thrown(paced(block, 0.1), 40, 1, 2.2)
	if r := traced(t, fixes, walk.Options{SigmaM: 0.5, MaxSpeedMPS: 1.8}); r.Dropped.Spikes != 1 {
		t.Errorf("%d spikes at 1.8 m/s", r.Dropped.Spikes)
	}
}

func TestOffsetMovesTheEdge(t *testing.T) {
	for _, tt := range []struct {
		offsetM, wantM2 float64
		note            string
	}{
		{2, 44 * 34, "2.0 m inside the edge"},
		{-2, 36 * 26, "2.0 m outside the edge"},
	} {
		o := sharp
		o.OffsetM = tt.offsetM
		r := traced(t, paced(block, 0.01), o)
		if math.Abs(r.AreaM2-tt.wantM2) > 3 {
			t.Errorf("offset %g m: %.1f m2, want %.0f m2", tt.offsetM, r.AreaM2, tt.wantM2)
		}
		if !strings.Contains(strings.Join(r.Notes, " "), tt.note) {
			t.Errorf("notes %q lack %q", r.Notes, tt.note)
		}
	}
}

func TestLapsAreFoundAndAveraged(t *testing.T) {
	once := block[:6]
	twice := append(append(orb.LineString{}, once...), once[1:]...)
	o := walk.Options{SigmaM: 1}
	one := traced(t, paced(append(once, orb.Point{21, 0}), 0.3), o)
	two := traced(t, paced(append(twice, orb.Point{21, 0}), 0.3), o)
	three := traced(t, paced(append(append(twice[:len(twice):len(twice)], once[1:]...), orb.Point{21, 0}), 0.3), o)
	if one.Laps != 1 || two.Laps != 2 || three.Laps != 3 {
		t.Fatalf("laps %d, %d and %d", one.Laps, two.Laps, three.Laps)
	}
	if !(one.UncertaintyM2 > two.UncertaintyM2 && two.UncertaintyM2 > three.UncertaintyM2) {
		t.Errorf("uncertainties %.1f, %.1f and %.1f m2", one.UncertaintyM2, two.UncertaintyM2, three.UncertaintyM2)
	}
	for _, r := range []walk.Result{one, two, three} {
		if math.Abs(r.AreaM2-blockM2) > r.UncertaintyM2 {
			t.Errorf("%d laps: %.1f m2", r.Laps, r.AreaM2)
		}
	}
}

// TestWayRoundDoesNotMatter walks the block backwards: the same area, the same
// uncertainty but for the trembling, which differs.
func TestWayRoundDoesNotMatter(t *testing.T) {
	there := slices.Clone(block)
	back := make(orb.LineString, len(there))
	for i, p := range there {
		back[i] = orb.Point{30 - p[0], p[1]} // mirrored, so walked clockwise
	}
	a, b := traced(t, paced(there, 0.01), sharp), traced(t, paced(back, 0.01), sharp)
	if math.Abs(a.AreaM2-b.AreaM2) > 1 || math.Abs(a.UncertaintyM2-b.UncertaintyM2) > 0.1*a.UncertaintyM2 {
		t.Errorf("%.2f +- %.3f and %.2f +- %.3f m2", a.AreaM2, a.UncertaintyM2, b.AreaM2, b.UncertaintyM2)
	}
}

// TestFarSideOfAStripIsNoReturn starts in the middle of the long side of a
// strip 9 m wide and passes the start on the far side.
func TestFarSideOfAStripIsNoReturn(t *testing.T) {
	strip := orb.LineString{{30, 0}, {60, 0}, {60, 9}, {0, 9}, {0, 0}, {30, 0}, {38, 0}}
	r := traced(t, paced(strip, 0.3), walk.Options{})
	if math.Abs(r.AreaM2-540) > 30 || r.Laps != 1 {
		t.Errorf("%.0f m2 in %d laps", r.AreaM2, r.Laps)
	}
}

// TestStatedErrorCounts checks where sigma comes from, and what each source
// makes of the uncertainty.
func TestStatedErrorCounts(t *testing.T) {
	fixes := paced(block, 0.3)
	unknown := traced(t, fixes, walk.Options{})
	if unknown.SigmaM != 3 {
		t.Errorf("sigma %.2f m where nothing is stated", unknown.SigmaM)
	}
	for i := range fixes {
		fixes[i].AccuracyM = 1.5096 * 1.5
	}
	stated := traced(t, fixes, walk.Options{})
	if math.Abs(stated.SigmaM-1.5) > 1e-3 {
		t.Errorf("sigma %.3f m from the accuracy", stated.SigmaM)
	}
	if ratio := unknown.UncertaintyM2 / stated.UncertaintyM2; ratio < 1.8 || ratio > 2.2 {
		t.Errorf("half the error makes the uncertainty %.2f times smaller", ratio)
	}
	if !unknown.Lasting {
		t.Error("at a fix a second errors that last weigh more")
	}
	if mid := (unknown.Interval95.LowM2 + unknown.Interval95.HighM2) / 2; math.Abs(mid-unknown.AreaM2) > 1e-6 {
		t.Errorf("the interval is about %.1f m2, the area %.1f m2", mid, unknown.AreaM2)
	}
}

// TestUnsureWalkSaysSo expects a warning where the uncertainty is a good part
// of the area.
func TestUnsureWalkSaysSo(t *testing.T) {
	r := traced(t, paced(block, 0.3), walk.Options{SigmaM: 4})
	if r.UncertaintyM2 < 0.15*r.AreaM2 || !strings.Contains(strings.Join(r.Notes, " "), "uncertain by") {
		t.Errorf("%.0f of %.0f m2: %q", r.UncertaintyM2, r.AreaM2, r.Notes)
	}
}

func TestLostSignalIsTold(t *testing.T) {
	fixes := paced(block, 0.1)
	r := traced(t, append(slices.Clone(fixes[:30]), fixes[55:]...), walk.Options{SigmaM: 0.5})
	if !strings.Contains(strings.Join(r.Notes, " "), "No fixes for 26 s") {
		t.Errorf("notes %q", r.Notes)
	}
}

// TestCornersBetweenFixes drives a square so fast that nearly every corner
// falls between two fixes: what the straight steps cut off must be won back.
func TestCornersBetweenFixes(t *testing.T) {
	const sideM, stepM = 60.0, 9.0
	mean := 0.0
	starts := 30
	for i := range starts {
		var fixes []walk.Fix
		for k := 0.0; k*stepM < 4*sideM+12; k++ {
			way := math.Mod(k*stepM+float64(i)*7.3, 4*sideM)
			leg, rest := int(way/sideM), math.Mod(way, sideM)
			at := [...]orb.Point{{rest, 0}, {sideM, rest}, {sideM - rest, sideM}, {0, sideM - rest}}[leg]
			fixes = append(fixes, walk.Fix{LonLat: home.ToLonLat(at), TimeS: 2 * k})
		}
		mean += traced(t, fixes, walk.Options{SigmaM: 0.3}).AreaM2 / float64(starts)
	}
	// Uncorrected, four square corners would lose 4 L^2/12 = 27 m2.
	if math.Abs(mean-sideM*sideM) > 10 {
		t.Errorf("mean area %.1f m2 of %.0f m2", mean, sideM*sideM)
	}
}

func TestSameFixesSameResult(t *testing.T) {
	fixes := paced(block, 1)
	a := traced(t, fixes, walk.Options{})
	shuffled := slices.Clone(fixes)
	slices.Reverse(shuffled)
	if b := traced(t, shuffled, walk.Options{}); !reflect.DeepEqual(a, b) {
		t.Error("the order in which fixes are given changes the result")
	}
}

// TestAcrossTheAntimeridian walks the block on the line where longitudes jump.
func TestAcrossTheAntimeridian(t *testing.T) {
	fixes := paced(block, 0.01)
	there := geo.NewFrame(orb.Point{179.9998, -16.5})
	for i := range fixes {
		p := there.ToLonLat(home.ToLocal(fixes[i].LonLat))
		fixes[i].LonLat = orb.Point{math.Remainder(p[0], 360), p[1]}
	}
	if r := traced(t, fixes, sharp); math.Abs(r.AreaM2-blockM2) > 2 {
		t.Errorf("area %.2f m2", r.AreaM2)
	}
}

// TestRestlessLongWalk gives a receiver far worse than it claims on a long
// edge: thousands of corners at the claimed error, still an outline.
func TestRestlessLongWalk(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	const n, radiusM = 9000, 1400.0
	fixes := make([]walk.Fix, n)
	for i := range fixes {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / (n - 10))
		p := orb.Point{radiusM*cos + 4*rng.NormFloat64(), radiusM*sin + 4*rng.NormFloat64()}
		fixes[i] = walk.Fix{LonLat: home.ToLonLat(p), TimeS: float64(i)}
	}
	r := traced(t, fixes, walk.Options{SigmaM: 2})
	if math.Abs(r.AreaM2/(math.Pi*radiusM*radiusM)-1) > 0.002 || r.Plot.CornerCount() > 2000 {
		t.Errorf("%.0f m2, %d corners", r.AreaM2, r.Plot.CornerCount())
	}
}
