package door_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"

	"evenfall/frontend/core/door"
	"evenfall/geo"
)

// acreM2 is the international acre in square metres.
const acreM2 = 4046.8564224

// bayed is a quarter acre of forty corners with bays, in degrees, as the page's
// own measurement drags it; corner 3 lies aside by some metres.
func bayed(asideM float64) orb.Ring {
	const corners = 40
	local := make(orb.Ring, 0, corners+1)
	for i := range corners {
		turn := 2 * math.Pi * float64(i) / corners
		reach := 1 + 0.15*math.Sin(6*turn) + 0.05*math.Cos(7*turn)
		local = append(local, orb.Point{reach * math.Cos(turn), reach * math.Sin(turn)})
	}
	twice := 0.0
	for i, a := range local {
		b := local[(i+1)%corners]
		twice += a[0]*b[1] - b[0]*a[1]
	}
	size := math.Sqrt(acreM2 / 4 / (twice / 2))
	for i := range local {
		local[i][0], local[i][1] = local[i][0]*size, local[i][1]*size
	}
	local[3][0], local[3][1] = local[3][0]+asideM, local[3][1]+asideM/2
	return geo.NewFrame(orb.Point{-95.1, 44.2}).LonLatRing(append(local, local[0]))
}

// dragSteps are as many places of a corner on its way to and fro.
const dragSteps = 44

type dragStep struct {
	measure, prepare []byte
	corners          []byte
}

func dragged(b *testing.B, room string) []dragStep {
	steps := make([]dragStep, dragSteps)
	for i := range steps {
		ring := bayed(2 * math.Sin(2*math.Pi*float64(i)/dragSteps))
		steps[i] = dragStep{
			measure: fmt.Appendf(nil, `{"corners":[%d],"units":"us"}`, len(ring)),
			prepare: fmt.Appendf(nil, `{"plot":{"name":"p","outline":{"type":"Polygon","coordinates":%s}},
				"spreader":{"name":"x","patterns":{"usual":{"shape":"triangle","throw_m":7.9248}},"hopper_kg":45.36,"turn_radius_m":2.4384},
				"mix":{"name":"m","items":[{"material":"oats","rate":{"mass_kg_per_m2":0.01}}]},
				"options":{"date":"2026-04-30","units":"us","quick":true,"room":%s}}`, text(b, orb.Polygon{ring}), room),
			corners: bytesOf(ring),
		}
	}
	return steps
}

// BenchmarkDragFrame is what the core does for one frame of a drag: it measures
// the plot, and works out the quick sheet with its passes and its picture.
func BenchmarkDragFrame(b *testing.B) {
	for name, room := range map[string]string{"room": `{"north":true,"east":true,"south":true,"west":true}`, "no room": `{}`} {
		b.Run(name, func(b *testing.B) {
			steps := dragged(b, room)
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				step := steps[i%dragSteps]
				for _, a := range []struct {
					name          string
					request, data []byte
				}{{"measure", step.measure, step.corners}, {"prepare", step.prepare, nil}} {
					if answer := door.Call(a.name, a.request, a.data); answer.JSON[2] == 'f' {
						b.Fatal(string(answer.JSON))
					}
				}
			}
		})
	}
}
