package agronomy_test

import (
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// A 5-ft disc at 4 mph and 70 % works 5 x 4 x 0.7 / 8.25 acres an hour. The plot
// is 60 m by 30 m and lies aslant on the map.
func TestDiscTimeStandsOnTheSheet(t *testing.T) {
	plot := plotOf(t, "aslant", orb.Point{0, 0}, orb.Point{48, 36}, orb.Point{30, 60}, orb.Point{-18, 24})
	disc := stand.Disc{Width: 5 * units.Foot, Speed: 4 * units.MPH}
	sheet := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{Habit: true, Disc: &disc})
	hours := units.Area(sheet.Ground.AreaM2).Acres() * 8.25 / (5 * 4 * 0.7)
	near(t, "seconds", sheet.Afterwards.DiscTime.Seconds(), 3600*hours, 1e-6)
	says := strings.Join(sheet.Afterwards.Says, ". ")
	if !strings.Contains(says, "at 4 mph: 20 runs of 5 ft along the long side") {
		t.Errorf("30 m in runs of 5 ft: %q", says)
	}
	last := sheet.Sources[len(sheet.Sources)-1]
	if last.Figure != "afterwards.disc_time_s" || last.Mark != stand.EfficiencyMark() {
		t.Errorf("the efficiency has no source: %+v", last)
	}
	if free := prepare(t, plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{Habit: true}); free.Afterwards.DiscTime != 0 {
		t.Error("a disc out of nowhere")
	}
	_, err := agronomy.Prepare(plot, machine(), oatsAnd("13-13-13", 200), agronomy.Options{Date: "2026-08-29", Habit: true, Disc: &stand.Disc{Width: 2}})
	if f, ok := fault.From(err); !ok || f.Where.Field != "disc.speed_mps" {
		t.Errorf("a disc without a speed: %v", err)
	}
}
