package passes

import (
	"slices"
	"strings"
	"testing"
)

func TestEachCornerIsCrossedWithinReachOfATurn(t *testing.T) {
	pl := planning(t, rectangle(t, 45, 30), SearchOptions{})
	across := pl.acrossCorners()
	if len(across) != 4 {
		t.Fatalf("%d corners", len(across))
	}
	for i, stretches := range across {
		if len(stretches) == 0 {
			t.Errorf("nothing crosses corner %d", i)
		}
		for _, s := range stretches {
			if !pl.mayLie(s) || s.LengthM() < pl.evenM/2 {
				t.Errorf("a pass of %.1f m across corner %d, may be driven: %v", s.LengthM(), i, pl.mayLie(s))
			}
		}
	}
}

func TestCornersThatPokeInAreNotCrossed(t *testing.T) {
	pl := planning(t, made(t, "quarter-acre ell"), SearchOptions{})
	if n := len(pl.sharpCorners()); n != 5 {
		t.Errorf("an L has %d corners that poke out", n)
	}
}

// The passes that are as open as the lap come before those that are not, so that
// the gate is set anew but once, and the plan's name says that it is.
func TestTheGateIsSetAnewOnce(t *testing.T) {
	found := false
	for _, name := range []string{"quarter-acre strip", "quarter-acre wedge", "quarter-acre ell"} {
		for _, o := range searched(t, made(t, name), tri(), SearchOptions{Budget: 200, NoWander: true}).Options {
			flows := make([]float64, len(o.Plan.Passes))
			for i, pass := range o.Plan.Passes {
				flows[i] = pass.Flow
			}
			changes := slices.Compact(flows)
			if len(changes) > 2 || changes[0] < changes[len(changes)-1] {
				t.Errorf("%s, %s: flows of %v", name, o.Plan.Name, changes)
			}
			if lighter := changes[len(changes)-1] < 1; lighter != strings.Contains(o.Plan.Name, "three quarters open") {
				t.Errorf("%s: %q has flows of %v", name, o.Plan.Name, changes)
			} else {
				found = found || lighter
			}
		}
	}
	if !found {
		t.Error("no plan has the gate less open inside the lap")
	}
}
