package main

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo/passes"
)

func TestTheSetIsSixtyPlots(t *testing.T) {
	plots, err := readPlots("../../../testdata/plots")
	if err != nil {
		t.Fatal(err)
	}
	if len(plots) != 60 || len(sizes(plots)) != 6 {
		t.Errorf("%d plots of %d sizes", len(plots), len(sizes(plots)))
	}
	if _, err := readPlots(t.TempDir()); err == nil {
		t.Error("an empty folder passes")
	}
}

func TestRowsAreMedians(t *testing.T) {
	var b bytes.Buffer
	printRow(&b, 0.25, []figures{{best: 0.1, outside: 0.05}, {best: 0.4, outside: 0.01}, {best: 0.2, outside: 0.03}})
	if got := b.String(); !strings.Contains(got, "\t0.200\t") || !strings.Contains(got, "\t3.0 %\t") {
		t.Errorf("got %q", got)
	}
}

func TestOnePlotIsSearched(t *testing.T) {
	ground := orb.Polygon{{{0, 0}, {40, 0}, {40, 25}, {0, 25}, {0, 0}}}
	rows, err := searchAll([]plot{{"field", 0.25, ground}}, 0.25, passes.SearchOptions{TurnRadiusM: turn, Room: passes.RoomAllRound, Budget: 200, Runs: 2})
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 1 || !(rows[0].best < rows[0].habit) || math.IsNaN(rows[0].wander) {
		t.Errorf("%+v", rows)
	}
}
