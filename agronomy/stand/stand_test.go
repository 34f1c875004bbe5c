package stand

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/catalog/printed"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func reference(file string) printed.Table {
	return printed.Table{Folder: os.DirFS("../../testdata/reference"), File: file}
}

func TestReference(t *testing.T) {
	perAcre := func(hoop units.Length) float64 {
		return float64(units.Acre / Hoop(hoop*units.Inch))
	}
	row := func(in units.Length) float64 { return RowFor(units.Acre/1000, in*units.Inch).Feet() }
	// The table allows 0.1 % for a printed pi of 3.14; the exact values beside
	// the printed ones are met to a tenth of a plant.
	printed.Check(t, reference("agronomy.csv"), "HOOP", 0.05, perAcre(18), perAcre(24), perAcre(30), perAcre(36))
	printed.Check(t, reference("agronomy.csv"), "HOOP10K", 0.01, HoopFor(units.Acre/10000).Inches())
	printed.Check(t, reference("agronomy.csv"), "ROW", 0.001, row(7.5), row(15), row(30), row(36))
	j, err := Judge(Counts{Found: []int{180, 169, 163, 175, 150, 162}, Sample: units.Acre / 1000},
		Target{Density: 166500 * units.PerAcre}, units.US)
	if err != nil {
		t.Fatal(err)
	}
	printed.Check(t, reference("agronomy.csv"), "STAND", 1e-6, j.Mean.PerAcre())
	if j.Verdict != OnTarget || !j.Sure {
		t.Errorf("%+v", j)
	}
}

// EFC: acres an hour of a width at a speed and an efficiency.
func TestDiscReferenceEFC(t *testing.T) {
	acresPerHour := func(width units.Length) float64 {
		rate, err := Disc{Width: width * units.Foot, Speed: 6 * units.MPH, Efficiency: 0.7}.PerSecond()
		if err != nil {
			t.Fatal(err)
		}
		return units.Area(rate * float64(units.Hour)).Acres()
	}
	printed.Check(t, reference("spread.csv"), "EFC", 0.001, acresPerHour(40), acresPerHour(50))
}

func TestDisc(t *testing.T) {
	d := Disc{Width: 5 * units.Foot, Speed: 4 * units.MPH, Times: 2}
	got, err := d.Time(units.Acre / 4)
	if want := 2 * 0.25 * 8.25 / (5 * 4 * usualEfficiency) * 3600; err != nil || math.Abs(got.Seconds()-want) > 1e-6 {
		t.Errorf("%v s, want %v s (%v)", got.Seconds(), want, err)
	}
	if n, err := d.Passes(104 * units.Foot); err != nil || n != 42 {
		t.Errorf("%d passes, %v", n, err)
	}
	if n, err := d.Passes(100 * units.Foot); err != nil || n != 40 {
		t.Errorf("%d passes, %v", n, err)
	}
	for _, bad := range []Disc{{}, {Width: 1}, {Width: 1, Speed: 1, Efficiency: 2}, {Width: 1, Speed: 1, Times: -1}, {Width: units.Length(math.NaN()), Speed: 1}} {
		if _, err := bad.Time(1); err == nil {
			t.Errorf("%+v passes", bad)
		}
		if _, err := bad.Passes(1); err == nil {
			t.Errorf("%+v passes", bad)
		}
	}
	if _, err := d.Passes(units.Length(math.Inf(1))); err == nil {
		t.Error("an endless plot has passes")
	}
	if EfficiencyMark().Kind != source.Published {
		t.Error("the efficiency has no source")
	}
}

func TestExpect(t *testing.T) {
	c, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	clover, err := c.Crop("red-clover")
	if err != nil {
		t.Fatal(err)
	}
	lot := seed.Lot{PerMass: clover.SeedsPerMass(), Tag: seed.Tag{Purity: 0.98, Germination: 0.8, Hard: 0.1}, Emergence: 0.5}
	sown, err := lot.Sow(seed.Rate{Of: catalog.OfProduct, Mass: 12 * units.PoundPerAcre})
	if err != nil {
		t.Fatal(err)
	}
	e := Expect(clover, sown, 30*units.Inch)
	perSquareFoot := 12 * 275000 * 0.98 / 43560
	hoop := math.Pi / 4 * 2.5 * 2.5
	for name, pair := range map[string][2]float64{
		"seeds per square foot":  {e.SeedsPerArea.PerSquareFoot(), perSquareFoot},
		"seeds per hoop":         {e.SeedsPerHoop, perSquareFoot * hoop},
		"plants per square foot": {e.PlantsPerArea.PerSquareFoot(), perSquareFoot * 0.8 * 0.5},
		"depth":                  {e.DepthMax.Inches(), 0.5},
	} {
		if math.Abs(pair[0]/pair[1]-1) > 1e-12 {
			t.Errorf("%s: %v, want %v", name, pair[0], pair[1])
		}
	}
}

func TestVerdicts(t *testing.T) {
	target := Target{What: "plants", Density: 10 * units.PerSquareFoot, ReseedBy: "2026-09-25"}
	tests := []struct {
		name    string
		found   []int
		verdict Verdict
		sure    bool
		says    string
	}{
		{"just right", []int{11, 9, 10, 12, 8, 10, 11, 9}, OnTarget, true, "On target: 10 plants/sq ft found"},
		{"a little thin", []int{8, 7, 9, 8, 7, 8, 9, 8, 7, 8, 8, 8}, ThinButEnough, true, "Thin but enough"},
		{"bare", []int{0, 0, 0, 0, 0}, Thin, true, "Thin: reseed by 25 September 2026"},
		{"thin", []int{3, 2, 4, 3, 1, 2, 3, 2}, Thin, true, "Thin: reseed by 25 September 2026"},
		{"a carpet", []int{30, 34, 28, 31, 27, 33}, TooThick, true, "Too thick"},
		{"patchy", []int{0, 14, 1, 9, 0, 5}, Thin, false, "more times before you act"},
		{"patchy around the target", []int{2, 25, 4, 18, 1, 12}, OnTarget, false, "scatter too much"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			j, err := Judge(Counts{Found: tt.found, Sample: units.SquareFoot}, target, units.US)
			if err != nil {
				t.Fatal(err)
			}
			if j.Verdict != tt.verdict || j.Sure != tt.sure || !strings.Contains(j.Says, tt.says) {
				t.Errorf("%+v", j)
			}
			if j.Low > j.Mean || j.High < j.Mean || j.Dispersion < 1 || (j.MoreCounts > 0) == j.Sure || j.Mark.Kind != source.Memory {
				t.Errorf("%+v", j)
			}
		})
	}
}

func TestOwnLimitsAreStated(t *testing.T) {
	j, err := Judge(Counts{Found: []int{3, 3, 3, 3, 3, 3}, Sample: 1}, Target{Density: 10, EnoughShare: 0.1, ThickShare: 2}, units.Metric)
	if err != nil || j.Verdict != ThinButEnough || j.Mark.Kind != source.Stated || !strings.Contains(j.Says, "plants/m²") {
		t.Errorf("%+v, %v", j, err)
	}
}

func TestJudgeRefuses(t *testing.T) {
	good := Counts{Found: []int{1, 2, 3}, Sample: 1}
	tests := []struct {
		field  string
		counts Counts
		target Target
	}{
		{"found", Counts{Found: []int{1, 2}, Sample: 1}, Target{Density: 1}},
		{"found", Counts{Found: []int{1, 2, -1}, Sample: 1}, Target{Density: 1}},
		{"found", Counts{Found: make([]int, 1001), Sample: 1}, Target{Density: 1}},
		{"sample_m2", Counts{Found: []int{1, 2, 3}}, Target{Density: 1}},
		{"sample_m2", Counts{Found: []int{1, 2, 3}, Sample: units.Area(math.NaN())}, Target{Density: 1}},
		{"density_per_m2", good, Target{}},
		{"enough_share", good, Target{Density: 1, EnoughShare: 60}},
		{"thick_share", good, Target{Density: 1, ThickShare: 0.5}},
	}
	for _, tt := range tests {
		_, err := Judge(tt.counts, tt.target, units.US)
		if f, ok := fault.From(err); !ok || f.Where.Field != tt.field {
			t.Errorf("%+v: %v, want a fault in %s", tt, err, tt.field)
		}
	}
}

func TestStudentQuantiles(t *testing.T) {
	f, err := os.Open("testdata/student_t.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != 1+33 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		p, _ := strconv.ParseFloat(row[0], 64)
		df, _ := strconv.Atoi(row[1])
		want, _ := strconv.ParseFloat(row[2], 64)
		if got := tQuantile(p, df); math.Abs(got/want-1) > 1e-10 {
			t.Errorf("t(%s, %s) is %.12f, want %.12f", row[0], row[1], got, want)
		}
	}
}

// The interval must hold the true mean about as often as it says, for stands
// scattered by chance alone and for clumped ones (negative binomial with size
// k, variance mean + mean^2/k).
func TestIntervalCoversClumpedStands(t *testing.T) {
	const trials = 1500
	for _, mean := range []float64{2, 8, 30} {
		for _, k := range []float64{2, 5, math.Inf(1)} {
			for _, n := range []int{5, 10} {
				r := rand.New(rand.NewPCG(uint64(mean), uint64(n)))
				held := 0
				for range trials {
					found := make([]int, n)
					for i := range found {
						found[i] = clumped(r, mean, k)
					}
					s, err := Counts{Found: found, Sample: 1}.summarize()
					if err != nil {
						t.Fatal(err)
					}
					if low, high := s.interval(); low <= mean && mean <= high {
						held++
					}
				}
				share := float64(held) / trials
				t.Logf("mean %v, size %v, %d samples: %.3f", mean, k, n, share)
				if share < 0.90 {
					t.Errorf("mean %v, size %v, %d samples: held in %.3f of the trials", mean, k, n, share)
				}
			}
		}
	}
}

// clumped draws from a negative binomial as a Poisson of a gamma; k is its
// size, infinite for a plain Poisson.
func clumped(r *rand.Rand, mean, k float64) int {
	if !math.IsInf(k, 1) {
		rate := 0.0
		for range int(k) { // a gamma of whole shape is a sum of exponentials
			rate += r.ExpFloat64()
		}
		mean *= rate / k
	}
	count, sum := 0, r.ExpFloat64()
	for sum < mean {
		count++
		sum += r.ExpFloat64()
	}
	return count
}

func TestDepths(t *testing.T) {
	in := func(species string, low, high units.Length) Sowing {
		return Sowing{Species: species, Min: low * units.Inch, Max: high * units.Inch, Mark: source.Mark{Kind: source.Memory}}
	}
	oats, pea, rye := in("oats", 0.75, 1.5), in("winter pea", 1.5, 3), in("cereal rye", 0.75, 1.5)
	clover, chicory := in("red clover", 0.25, 0.5), in("chicory", 0.25, 0.5)
	tests := []struct {
		name        string
		mix         []Sowing
		max         float64
		restrictive string
		after       []string
		says        string
	}{
		{"one", []Sowing{oats}, 1.5, "oats", nil, "Disc no deeper than 1 1/2 in for oats"},
		{"agreed", []Sowing{pea, rye}, 1.5, "cereal rye", nil, "Disc no deeper than 1 1/2 in: cereal rye bears the least soil"},
		{"small seed", []Sowing{oats, clover, chicory}, 1.5, "red clover", []string{"red clover", "chicory"}, "then sow red clover and chicory on top"},
		{"small seed alone", []Sowing{clover}, 0.5, "red clover", nil, "Disc first, then sow red clover on top and press it in: it bears no more than 1/2 in"},
		{"small seed only", []Sowing{chicory, clover}, 0.5, "chicory", nil, "Disc first, then sow on top and press it in: chicory bears no more than 1/2 in"},
		{"four small seeds", []Sowing{oats, clover, chicory, in("turnip", 0.25, 0.5)}, 1.5, "red clover", []string{"red clover", "chicory", "turnip"}, "sow red clover, chicory and turnip on top"},
		{"three depths", []Sowing{clover, oats, pea}, 1.5, "red clover", []string{"red clover"}, "no deeper than 1 1/2 in for oats"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			before := fmt.Sprint(tt.mix)
			a, ok := Depths(tt.mix, units.US)
			if !ok || math.Abs(a.Max.Inches()-tt.max) > 1e-9 || a.Min > a.Max || a.Restrictive != tt.restrictive || !reflect.DeepEqual(a.After, tt.after) {
				t.Errorf("%+v", a)
			}
			if !strings.Contains(strings.Join(a.Says, ". "), tt.says) || fmt.Sprint(tt.mix) != before {
				t.Errorf("%q", a.Says)
			}
		})
	}
	if _, ok := Depths(nil, units.US); ok {
		t.Error("a depth for nothing")
	}
	if s, ok := SowingOf(catalog.Crop{ID: "x", Name: "x"}); ok {
		t.Errorf("%+v", s)
	}
}

func TestTreatedSeedIsNotLeftOnTop(t *testing.T) {
	oats := Sowing{Species: "oats", Min: 0.75 * units.Inch, Max: 1.5 * units.Inch, Treated: true}
	turnip := Sowing{Species: "turnip", Min: units.Inch / 4, Max: units.Inch / 2}
	const rake = "rake or drag turnip in"
	for _, mix := range [][]Sowing{{oats, turnip}, {turnip}} {
		a, _ := Depths(mix, units.US)
		if says := strings.Join(a.Says, ". "); strings.Contains(says, "rake") {
			t.Errorf("raw turnip, and oats that the disc covers: %q", says)
		}
		mix[len(mix)-1].Treated = true
		a, _ = Depths(mix, units.US)
		if says := strings.Join(a.Says, ". "); !strings.Contains(says, rake) || strings.Contains(says, "drag oats") {
			t.Errorf("treated turnip: %q", says)
		}
	}
}

func BenchmarkJudge(b *testing.B) {
	c := Counts{Found: []int{11, 9, 10, 12, 8, 10, 11, 9}, Sample: units.SquareFoot}
	for b.Loop() {
		if _, err := Judge(c, Target{Density: 100}, units.US); err != nil {
			b.Fatal(err)
		}
	}
}
