package coverage

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
)

// parallelCV lays a plan of parallel passes without end at a spacing and
// measures a whole number of periods in its middle, on so many cells a spacing:
// a pattern that jumps needs many, for each jump is smeared over one cell.
func parallelCV(t *testing.T, p Profile, spacing float64, cells int, backAndForth bool) float64 {
	t.Helper()
	cell := spacing / float64(cells)
	around := int(math.Ceil(p.ThrowM()/spacing)) + 1
	var strokes []Stroke
	for i := -around; i <= around+2; i++ {
		y := float64(i) * spacing
		if backAndForth && i%2 != 0 {
			strokes = append(strokes, line(20*cell, y, -20*cell, y))
		} else {
			strokes = append(strokes, line(-20*cell, y, 20*cell, y))
		}
	}
	far := float64(2*around+2) * spacing
	r := NewRaster(orb.Bound{Min: orb.Point{-30 * cell, -far}, Max: orb.Point{30 * cell, far + 2*spacing}}, cell)
	if missed := Deposit(r, strokes, p, DepositOptions{}); missed != 0 {
		t.Fatalf("%g fell beyond the raster", missed)
	}
	m := NewMask(r, box(-10*cell, 0, 10*cell, 2*spacing))
	return 100 * m.Spread(r).CV
}

func TestParallelPassesReproduceClosedForms(t *testing.T) {
	flat := shaped(-1, 1, func(float64) float64 { return 1 })
	cases := []struct {
		id      string
		profile Profile
		cells   int
	}{
		{"TRI", triangle(-1, 1), 50},
		{"RECT", flat, 250},
		{"TRAP", shaped(-1, 1, func(u float64) float64 { return math.Min(1, (1-math.Abs(u))/0.6) }), 50},
		{"GAUSS", shaped(-6, 6, func(u float64) float64 { return math.Exp(-u * u / 2) }), 50},
		{"PARAB", shaped(-1, 1, func(u float64) float64 { return 1 - u*u }), 50},
		{"OVAL", shaped(-1, 1, func(u float64) float64 { return math.Sqrt(1 - u*u) }), 50},
	}
	for _, c := range cases {
		inputs, expected := reference(t, c.id)
		spacings, want := numbers(t, inputs), numbers(t, expected)
		if len(spacings) != len(want) || len(want) == 0 {
			t.Fatalf("%s: %d spacings, %d values", c.id, len(spacings), len(want))
		}
		for i, s := range spacings {
			t.Run(fmt.Sprintf("%s/%.4g", c.id, s), func(t *testing.T) {
				t.Parallel()
				for _, both := range []bool{false, true} {
					if got := parallelCV(t, c.profile, s, c.cells, both); math.Abs(got-want[i]) > 0.5 {
						t.Errorf("CV %.3f %%, closed form %.3f %%", got, want[i])
					}
				}
			})
		}
	}
}

func TestLopsidedPatternsTellDirectionsApart(t *testing.T) {
	for id, p := range map[string]Profile{"SKEW": lopsided(-0.8, 0, 1.2), "OFFAIM": lopsided(-0.9, 0.1, 1.1)} {
		_, expected := reference(t, id)
		for i, pair := range strings.Split(expected, ";") {
			want := numbers(t, pair)
			s := []float64{1, 1.2}[i]
			if got := parallelCV(t, p, s, 50, false); math.Abs(got-want[0]) > 0.5 {
				t.Errorf("%s at %g, same direction: CV %.3f %%, closed form %.3f %%", id, s, got, want[0])
			}
			if got := parallelCV(t, p, s, 50, true); math.Abs(got-want[1]) > 0.5 {
				t.Errorf("%s at %g, back and forth: CV %.3f %%, closed form %.3f %%", id, s, got, want[1])
			}
		}
	}
}
