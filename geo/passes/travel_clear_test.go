package passes

import (
	"testing"

	"github.com/paulmach/orb"
)

// A long straight stretch is drawn with two points: both may lie on the ground
// while the machine would cross a bay between them.
func TestAWayAcrossABayIsNotClear(t *testing.T) {
	bay, err := NewGround(orb.Polygon{{{0, 0}, {40, 0}, {40, 20}, {25, 20}, {25, 5}, {15, 5}, {15, 20}, {0, 20}, {0, 0}}})
	if err != nil {
		t.Fatal(err)
	}
	across := orb.LineString{{5, 10}, {7, 10}, {33, 10}, {35, 10}}
	round := orb.LineString{{5, 10}, {7, 3}, {33, 3}, {35, 10}}
	if bay.clear(across, 0.5, false) {
		t.Error("a way across the bay passes for one on the ground")
	}
	if !bay.clear(round, 0.5, false) || !bay.clear(across, 0.5, true) {
		t.Error("a way that keeps to the ground, or may leave it, is not clear")
	}
}
