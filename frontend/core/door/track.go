package door

import (
	"math"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/frontend/core/wire"
)

// track is the whole drive in time, for playing it; every row has one entry
// per station but LonLat, which has two.
type track struct {
	LonLat   wire.Floats `json:"lonLat"`
	Seconds  wire.Floats `json:"seconds"`
	HopperKg wire.Floats `json:"hopperKg"`
	Load     wire.Ints   `json:"load"`
	Pass     wire.Ints   `json:"pass"`
}

// tracker drives the plan and notes its stations.
type tracker struct {
	flat            plane
	secondsPerMetre float64
	loads           []mix.Load // of the hopper group that is driven
	openM           float64    // driven with the gate open in this group
	now             float64    // seconds
	last            orb.Point

	lonLat, seconds, hopper []float64
	load, pass              []int32
}

// trackOf drives the plan once for every hopper group. Time passes evenly with
// distance, so that each group's drive ends when the sheet says.
func trackOf(s agronomy.Sheet, flat plane, out *wire.Answer) track {
	t := tracker{flat: flat}
	if length := s.Drive.LengthM + s.Drive.TravelM; length > 0 {
		t.secondsPerMetre = float64(s.Drive.Time) / length
	}
	for from := 0; from < len(s.Loads); {
		to := from + 1
		for to < len(s.Loads) && s.Loads[to].Group == s.Loads[from].Group {
			to++
		}
		t.loads, t.openM = s.Loads[from:to], 0
		t.drive(s)
		from = to
	}
	return track{out.Row(t.lonLat), out.Row(t.seconds), out.Row(t.hopper), out.IntRow(t.load), out.IntRow(t.pass)}
}

func (t *tracker) drive(s agronomy.Sheet) {
	t.last = s.Drive.Start
	t.note(0)
	for i, p := range s.Drive.Passes {
		if i < len(s.Drive.Travel) {
			for _, at := range s.Drive.Travel[i] {
				t.move(at)
				t.note(0)
			}
		}
		for _, at := range p.Line {
			t.spread(at, p.Order)
		}
	}
}

// move goes to a point with the gate closed.
func (t *tracker) move(to orb.Point) {
	t.now += math.Hypot(to[0]-t.last[0], to[1]-t.last[1]) * t.secondsPerMetre
	t.last = to
}

// spread goes to a point with the gate open, and refills wherever a load ends
// on the way: two stations at one time.
func (t *tracker) spread(to orb.Point, order int) {
	for {
		left := math.Hypot(to[0]-t.last[0], to[1]-t.last[1])
		reach := t.loads[0].ToM - t.openM
		if len(t.loads) == 1 || reach >= left {
			t.openM += left
			t.move(to)
			t.note(order)
			return
		}
		share := math.Max(0, reach) / left
		t.openM = t.loads[0].ToM
		t.move(orb.Point{t.last[0] + share*(to[0]-t.last[0]), t.last[1] + share*(to[1]-t.last[1])})
		t.note(order)
		t.loads = t.loads[1:]
		t.note(order)
	}
}

// note keeps where the machine is and what is in the hopper.
func (t *tracker) note(order int) {
	at := t.flat.toLonLat(t.last)
	l := t.loads[0]
	t.lonLat = append(t.lonLat, at[0], at[1])
	t.seconds = append(t.seconds, t.now)
	t.load, t.pass = append(t.load, int32(l.Number)), append(t.pass, int32(order))
	left := 0.0
	if span := l.ToM - l.FromM; span > 0 {
		left = float64(l.Mass) * math.Min(1, math.Max(0, (l.ToM-t.openM)/span))
	}
	t.hopper = append(t.hopper, left)
}
