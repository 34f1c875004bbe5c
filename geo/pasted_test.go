package geo_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo"
	"evenfall/geo/fault"
)

func TestParseCoordinates(t *testing.T) {
	want := orb.Ring{{-95.5, 44.25}, {-95.25, 44.5}}
	for _, c := range []struct {
		name, text string
		latFirst   bool
	}{
		{"longitude first", "-95.5, 44.25\n-95.25, 44.5\n", false},
		{"latitude first", "44.25 -95.5\n44.5\t-95.25", true},
		{"one line", "-95.5 44.25; -95.25 44.5", false},
		{"letters win over the order", "44.25 N 95.5 W\nW95.25, N44.5", false},
		{"degrees and minutes", "44° 15' N, 95° 30' W\n44°30'N 95°15'W", true},
		{"letters before, nothing between", "W 95.5 N 44.25\nw95.25 n44.5", true},
		{"brackets", "[-95.5, 44.25]\r\n[-95.25, 44.5]\r\n", false},
		{"a real minus sign", "−95.5 44.25\n−95.25 44.5", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := geo.ParseCoordinates(c.text, c.latFirst)
			if err != nil {
				t.Fatal(err)
			}
			if len(got) != len(want) {
				t.Fatalf("got %v", got)
			}
			for i := range want {
				if math.Abs(got[i][0]-want[i][0])+math.Abs(got[i][1]-want[i][1]) > 1e-12 {
					t.Errorf("corner %d is %v, want %v", i+1, got[i], want[i])
				}
			}
		})
	}
}

func TestParseCoordinatesSeconds(t *testing.T) {
	got, err := geo.ParseCoordinates(`44°01'12.36"N 95°00'36"W`, false)
	if err != nil || math.Abs(got[0][0]+95.01) > 1e-12 || math.Abs(got[0][1]-44.0201) > 1e-12 {
		t.Errorf("got %v, %v", got, err)
	}
}

func TestParseCoordinatesFaults(t *testing.T) {
	for _, c := range []struct {
		name, text string
		line       int
	}{
		{"a word", "-95 44\nnorth gate", 2},
		{"one number", "-95 44\n\n44.5", 3},
		{"three numbers", "-95 44 300", 1},
		{"two latitudes", "44 N 45 N", 1},
		{"two letters", "N 44 S, 95 W", 1},
		{"no end to the digits", "1" + strings.Repeat("0", 400) + " 44", 1},
		{"sixty seconds", "95°29'60\"W 44°15'0\"N", 1},
		{"nothing", " \n ", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := geo.ParseCoordinates(c.text, false)
			var found *fault.Error
			if !errors.As(err, &found) || found.Where.Line != c.line || found.Remedy == "" {
				t.Errorf("got %v, want a fault on line %d", err, c.line)
			}
		})
	}
}

func TestTheExampleHasTheAskedOrder(t *testing.T) {
	for latFirst, example := range map[bool]string{false: "such as -95.0012, 44.0031", true: "such as 44.0031, -95.0012"} {
		_, err := geo.ParseCoordinates("hello", latFirst)
		if found, ok := fault.From(err); !ok || !strings.HasSuffix(found.Remedy, example) {
			t.Errorf("latitude first %v: %v", latFirst, err)
		}
	}
}

func FuzzParseCoordinates(f *testing.F) {
	f.Add("-95.5, 44.25\n-95.25, 44.5", false)
	f.Add(`44°01'12.36"N 95°00'36"W`, true)
	f.Fuzz(func(t *testing.T, text string, latFirst bool) {
		ring, err := geo.ParseCoordinates(text, latFirst)
		if (err == nil) == (len(ring) == 0) {
			t.Fatalf("%d corners and %v", len(ring), err)
		}
		for _, p := range ring {
			if math.IsNaN(p[0] + p[1]) {
				t.Fatalf("%q gave %v", text, p)
			}
		}
	})
}
