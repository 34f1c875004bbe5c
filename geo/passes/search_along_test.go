package passes

import (
	"math"
	"testing"
)

func TestPassesRunAlongTheBearingThatIsWanted(t *testing.T) {
	for _, room := range []Room{{}, RoomAllRound} {
		for _, degrees := range []float64{0, 35, 120, 180, 300} {
			along := degrees * math.Pi / 180
			for _, quick := range []bool{true, false} {
				r := searched(t, made(t, "half-acre ell"), tri(), SearchOptions{Room: room, AlongRad: &along, Quick: quick, Runs: 2, Budget: 300})
				got, straight := r.Options[0].Plan.BearingRad()
				if off := math.Abs(math.Remainder(got-along, math.Pi)); !straight || off > 1e-4 {
					t.Errorf("room %v, quick %v: %s runs along %.4f degrees, wanted %g", room.Any(), quick, r.Options[0].Plan.Name, got*180/math.Pi, degrees)
				}
			}
		}
	}
	bad := math.NaN()
	if _, err := made(t, "half-acre ell").Search(tri(), SearchOptions{TurnRadiusM: radius, AlongRad: &bad}); err == nil {
		t.Error("a bearing that is no number is taken")
	}
}
