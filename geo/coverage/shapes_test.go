package coverage

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
)

// shaped cuts a density given over [left, right] into bins of about a
// centimetre.
func shaped(left, right float64, density func(u float64) float64) Profile {
	n := int(math.Round((right - left) / 0.01))
	p := Profile{StartM: left, StepM: (right - left) / float64(n), Share: make([]float64, n)}
	sum := 0.0
	for i := range p.Share {
		p.Share[i] = density(left + (float64(i)+0.5)*p.StepM)
		sum += p.Share[i]
	}
	for i := range p.Share {
		p.Share[i] /= sum
	}
	return p
}

func triangle(left, right float64) Profile {
	peak := (left + right) / 2
	return lopsided(left, peak, right)
}

func lopsided(left, peak, right float64) Profile {
	return shaped(left, right, func(u float64) float64 {
		if u < peak {
			return (u - left) / (peak - left)
		}
		return (right - u) / (right - peak)
	})
}

// line is a stroke from its corners, at full flow.
func line(xy ...float64) Stroke {
	s := Stroke{Flow: 1}
	for i := 0; i < len(xy); i += 2 {
		s.Line = append(s.Line, orb.Point{xy[i], xy[i+1]})
	}
	return s
}

func box(x0, y0, x1, y1 float64) orb.Polygon {
	return orb.Polygon{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}}
}

// reference is a row of the published and derived values: inputs and expected.
func reference(t *testing.T, id string) (inputs, expected string) {
	t.Helper()
	f, err := os.Open("../../testdata/reference/spread.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if row[0] == id {
			return row[2], row[3]
		}
	}
	t.Fatalf("no row %s in spread.csv", id)
	return "", ""
}

// numbers reads every number of a list such as "s/w = 1, 1.1, 4/3".
func numbers(t *testing.T, list string) []float64 {
	t.Helper()
	list, _, _ = strings.Cut(list, "; formula")
	if _, after, ok := strings.Cut(list, "="); ok {
		list = after
	}
	var out []float64
	for _, word := range strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == ';' }) {
		over, under, ratio := strings.Cut(strings.TrimSpace(word), "/")
		v, err := strconv.ParseFloat(over, 64)
		if err != nil {
			t.Fatalf("%q in %q: %v", word, list, err)
		}
		if ratio {
			d, err := strconv.ParseFloat(under, 64)
			if err != nil {
				t.Fatal(err)
			}
			v /= d
		}
		out = append(out, v)
	}
	return out
}
