package door_test

import (
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/geo"
)

// The small picture of every plan has the mean and the unevenness that the plan
// is listed with: flows that differ from pass to pass are painted as they are.
func TestPlansArePaintedAsTheyAreListed(t *testing.T) {
	type listed struct {
		Name    string    `json:"name"`
		CV      float64   `json:"cv"`
		Outside float64   `json:"outside_share"`
		Flows   []float64 `json:"flows"`
	}
	half := orb.Polygon{geo.NewFrame(orb.Point{-95, 44}).LonLatRing(orb.Ring{{0, 0}, {55, 0}, {62, 36}, {5, 40}, {0, 0}})}
	p, raw := asked[struct {
		Sheet struct{ Plans []listed }
		Plans []struct {
			Evenness struct{ Ratio row }
		}
	}](t, "prepare", `{"plot":{"name":"p","outline":{"type":"Polygon","coordinates":`+text(t, half)+`}},
		"spreader":{"name":"x","patterns":{"usual":{"shape":"triangle","throw_m":8}},"hopper_kg":45,"turn_radius_m":2.4},
		"mix":{"name":"m","items":[{"material":"oats","rate":{"mass_kg_per_m2":0.009}}]},
		"options":{"date":"2026-04-30","units":"us"}}`, nil)
	differ := 0
	for i, plan := range p.Sheet.Plans {
		at := *p.Plans[i].Evenness.Ratio.F32
		mean, cv := meanAndCV(raw.Singles[at[0]:][:at[1]])
		if math.Abs(mean-(1-plan.Outside)) > 0.02 || cv > 1.02*plan.CV || cv < 0.7*plan.CV {
			t.Errorf("%s: painted with a mean of %.3f and a CV of %.3f, listed with %.3f outside and %.3f", plan.Name, mean, cv, plan.Outside, plan.CV)
		}
		if slices.Max(plan.Flows) > slices.Min(plan.Flows) {
			differ++
		}
	}
	if differ == 0 {
		t.Error("no plan has flows that differ")
	}
}

func meanAndCV(ratios []float32) (mean, cv float64) {
	n, sum, squares := 0.0, 0.0, 0.0
	for _, r := range ratios {
		if v := float64(r); !math.IsNaN(v) {
			n, sum, squares = n+1, sum+v, squares+v*v
		}
	}
	mean = sum / n
	return mean, math.Sqrt(squares/n-mean*mean) / mean
}
