package walk

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// hectare is a square of one hectare walked at a fix a second and 1.2 m/s.
func hectare(sigmaM float64) []lap {
	return []lap{squareLap(10_000, 333, 1.2, sigmaM)}
}

// TestWalkedHectareAgainstField compares with walked hectares measured in the
// field (row GPS-OPEN). With the error that is taken for a receiver that says
// nothing, the published bias lies within the stated interval, and the stated
// deviation is no smaller than the published spread.
func TestWalkedHectareAgainstField(t *testing.T) {
	field := figures(t, published(t, "GPS-OPEN")) // bias and spread, %
	b := budgetOf(hectare(defaultSigmaM), Options{})
	stated := 100 * b.deviationM2 / 10_000
	t.Logf("field %+.1f %% +/- %.1f %%, stated %.1f %%", field[0], field[1], stated)
	if math.Abs(field[0]) > normal95*stated || stated < field[1] {
		t.Errorf("field %+.1f %% +/- %.1f %%, stated %.1f %%", field[0], field[1], stated)
	}
}

// TestCanopyNeedsItsAccuracy does the same under canopy (row GPS-CANOPY): with
// the poorest accuracy that is let through, the stated deviation reaches the
// published spread. With the error of open sky it does not, which is why the
// accuracy of the fixes is used where there is one.
func TestCanopyNeedsItsAccuracy(t *testing.T) {
	field := figures(t, published(t, "GPS-CANOPY"))
	poor := 100 * budgetOf(hectare(DefaultAccuracyM/radiiPerSigma), Options{}).deviationM2 / 10_000
	open := 100 * budgetOf(hectare(defaultSigmaM), Options{}).deviationM2 / 10_000
	t.Logf("field %+.1f %% +/- %.1f %%, stated %.1f %% at 15 m accuracy, %.1f %% for open sky", field[0], field[1], poor, open)
	if poor < field[1] || open > field[1] {
		t.Errorf("stated %.1f %% and %.1f %%, field %.1f %%", poor, open, field[1])
	}
}

// TestBufferWithinReceiverClasses expresses the uncertainty as area error over
// perimeter, the way area-measuring receivers are classed (row GPS-BUFFER):
// what is stated for a phone must not claim the best class, and must be within
// the widest one that passes.
func TestBufferWithinReceiverClasses(t *testing.T) {
	classes := figures(t, published(t, "GPS-BUFFER")) // m: A, B, C
	if len(classes) != 3 {
		t.Fatalf("classes %v", classes)
	}
	for _, areaM2 := range []float64{acreM2 / 4, acreM2, 2 * acreM2} {
		perimeterM := 4 * math.Sqrt(areaM2)
		l := squareLap(areaM2, int(perimeterM/1.3), 1.3, defaultSigmaM)
		buffer := budgetOf([]lap{l}, Options{}).deviationM2 / perimeterM
		t.Logf("%.0f m2: %.2f m", areaM2, buffer)
		if buffer < classes[0] || buffer > classes[2] {
			t.Errorf("%.0f m2: area error over perimeter %.2f m, classes %v m", areaM2, buffer, classes)
		}
	}
}

// TestSimplifyingKeepsTheArea holds the drawn outline against the area of all
// readings: the line may move it by a tenth of the deviation before scaling,
// the result not at all.
func TestSimplifyingKeepsTheArea(t *testing.T) {
	rng := newRand(11)
	for range 40 {
		l := shaken(squareLap(acreM2, 196, 1.3, 2.5), 60, rng)
		b := budgetOf([]lap{l}, Options{})
		outline, shiftM2, err := outlined([]lap{l}, b, homeFrame)
		if err != nil {
			t.Fatal(err)
		}
		drawn := enclosed(outline[:len(outline)-1])
		if relative(drawn, b.areaM2) > 1e-9 {
			t.Errorf("drawn %.3f m2 of %.3f m2", drawn, b.areaM2)
		}
		if shiftM2 > 0 && shiftM2 <= areaShare*b.deviationM2 {
			t.Errorf("a shift of %.1f m2 counts beside %.1f m2", shiftM2, b.deviationM2)
		}
		if n := len(outline); n < 5 || n > 80 {
			t.Errorf("%d corners", n-1)
		}
	}
}

// TestKnotsAreUntied checks the loop cutter on lines with known knots.
func TestKnotsAreUntied(t *testing.T) {
	tests := []struct {
		name         string
		ring         orb.Ring
		leftM2, knot float64
	}{
		{"none", orb.Ring{{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}}, 100, 0},
		{"small loop on an edge", orb.Ring{{0, 0}, {6, 0}, {6, 1}, {5, 1}, {5, -1}, {10, 0}, {10, 10}, {0, 10}, {0, 0}}, 102.5, 1},
		{"bow tie", orb.Ring{{0, 0}, {10, 10}, {10, 0}, {0, 10}, {0, 0}}, 25, 25},
		{"large loop last", orb.Ring{{0, 0}, {2, 0}, {2, 2}, {0, 12}, {-12, 12}, {-12, 1}, {1, 1}, {1, -1}, {0, 0}}, 0, 0},
	}
	for _, tt := range tests {
		ring, k := untied(tt.ring)
		if ring[0] != ring[len(ring)-1] {
			t.Errorf("%s: not closed", tt.name)
		}
		if again, none := untied(ring); none.areaM2 > 1e-9 || len(again) != len(ring) {
			t.Errorf("%s: still tied", tt.name)
		}
		if tt.leftM2 > 0 && (math.Abs(enclosed(ring[:len(ring)-1])-tt.leftM2) > 1e-9 || math.Abs(k.areaM2-tt.knot) > 1e-9) {
			t.Errorf("%s: left %.3f m2, knot %.3f m2", tt.name, enclosed(ring[:len(ring)-1]), k.areaM2)
		}
	}
}
