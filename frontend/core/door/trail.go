package door

import (
	"math"

	"github.com/paulmach/orb"

	"evenfall/agronomy/units"
	"evenfall/frontend/core/wire"
	"evenfall/geo"
	"evenfall/geo/walk"
)

type trailRequest struct {
	Units units.System `json:"units"`
}

// trailSoFar is a walk while it is recorded, in metres about its first
// position.
type trailSoFar struct {
	LineM        wire.Floats `json:"lineM"` // east, north
	BoundM       [4]float64  `json:"boundM"`
	WalkedText   string      `json:"walkedText"`
	ToStartText  string      `json:"toStartText"`
	AccuracyText string      `json:"accuracyText"` // of the newest position
	Vague        bool        `json:"vague"`        // the newest position will not count
}

// trail says how far a walk has come. Its positions are the call's data, see
// wire.Fixes; without any it is empty.
func trail(c *wire.Call) (any, error) {
	var q trailRequest
	if err := wire.Decode(c.Request, &q); err != nil {
		return nil, err
	}
	fixes := wire.Fixes(c.Data)
	if len(fixes) == 0 {
		return trailSoFar{LineM: c.Out.Row(nil)}, nil
	}
	first, last := fixes[0], fixes[len(fixes)-1]
	frame := geo.NewFrame(first.LonLat)
	line, walkedM := make(orb.LineString, len(fixes)), 0.0
	for i, f := range fixes {
		line[i] = frame.ToLocal(f.LonLat)
		if i > 0 {
			walkedM += geo.DistanceM(fixes[i-1].LonLat, f.LonLat)
		}
	}
	say := func(metres float64) string { return wholeLength(metres, q.Units) }
	b := line.Bound()
	return trailSoFar{
		LineM: c.Out.Row(metres(line)), BoundM: [4]float64{b.Min[0], b.Min[1], b.Max[0], b.Max[1]},
		WalkedText: say(walkedM), ToStartText: say(geo.DistanceM(last.LonLat, first.LonLat)),
		AccuracyText: say(last.AccuracyM), Vague: last.AccuracyM > walk.DefaultAccuracyM,
	}, nil
}

// wholeLength writes a length as a receiver knows it: to the foot or the metre.
func wholeLength(metres float64, system units.System) string {
	one := units.Foot
	if system == units.Metric {
		one = 1 // metre
	}
	return (one * units.Length(math.Round(metres/one.Metres()))).Format(system)
}
