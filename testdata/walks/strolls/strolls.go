// Package strolls makes up recorded walks round plots whose area is known:
// errors that last, spikes, a pause, an end that overlaps the beginning. It
// stands in for a receiver in the checks of evenfall/geo/walk; nothing that
// ships imports it. Same generator state, same walk.
package strolls

import (
	"math"
	"math/rand/v2"

	"evenfall/geo"
	"evenfall/geo/walk"
	"evenfall/testdata/plots/shapes"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
	"github.com/peterstace/simplefeatures/geom"
)

// Stroll is what was really done: nothing of it is told to the reader of the
// trace but what a person would know (OffsetM).
type Stroll struct {
	Shape        string  `json:"shape"`
	TrueAreaM2   float64 `json:"true_area_m2"`
	Drive        string  `json:"drive"` // walking or ATV
	SpeedMPS     float64 `json:"speed_mps"`
	SigmaM       float64 `json:"sigma_m"`       // receiver error per axis, one standard deviation
	CorrelationS float64 `json:"correlation_s"` // over which it fades to 1/e
	EveryS       float64 `json:"every_s"`       // between fixes
	Laps         int     `json:"laps"`
	OffsetM      float64 `json:"offset_m"` // inside the edge
	OverlapM     float64 `json:"overlap_m"`
	PauseS       float64 `json:"pause_s"`
	Spikes       int     `json:"spikes"`        // runs of bad fixes
	SaysAccuracy bool    `json:"says_accuracy"` // each fix carries one
}

func between(rng *rand.Rand, low, high float64) float64 { return low + (high-low)*rng.Float64() }

// Draw picks a stroll over the whole range: 0.1 to 5 acres (evenly in the
// logarithm), 1 to 4 m of error lasting 20 to 120 s, on foot or by ATV.
func Draw(rng *rand.Rand) (Stroll, orb.Ring) {
	s := Stroll{
		Drive: "walking", SpeedMPS: between(rng, 1, 1.6), EveryS: 1, Laps: 1,
		SigmaM: between(rng, 1, 4), CorrelationS: between(rng, 20, 120),
		TrueAreaM2: shapes.SquareMetresPerAcre * 0.1 * math.Pow(50, rng.Float64()),
		OverlapM:   between(rng, 2, 20), SaysAccuracy: rng.Float64() < 0.7,
	}
	if rng.Float64() < 0.4 {
		s.Drive, s.SpeedMPS = "ATV", between(rng, 2, 4.5)
	}
	if rng.Float64() < 0.2 {
		s.EveryS = 2
	}
	if rng.Float64() < 0.2 {
		s.Laps = 2 + rng.IntN(2)
	}
	if rng.Float64() < 0.5 {
		s.PauseS = between(rng, 15, 60)
	}
	s.Spikes = rng.IntN(4)
	if rng.Float64() < 0.2 {
		s.OffsetM = between(rng, 0.5, 2.5)
	}
	return s, s.Outline(rng, shapes.Kinds()...)
}

// Outline draws the line to walk: that of a plot of the true area, of one of
// the kinds but without holes, or inside it at the offset. A shape whose
// inside line falls apart is drawn again.
func (s *Stroll) Outline(rng *rand.Rand, kinds ...shapes.Kind) orb.Ring {
	for {
		kind := kinds[rng.IntN(len(kinds))]
		kind.Holes = 0
		polygon, err := shapes.Draw(kind, s.TrueAreaM2, rng)
		if err != nil {
			continue
		}
		s.Shape = kind.Name
		if line := inside(polygon[0], s.OffsetM); line != nil {
			return line
		}
	}
}

// inside is the ring that runs a distance inside another, nil where that is
// not one ring.
func inside(ring orb.Ring, distanceM float64) orb.Ring {
	if distanceM == 0 {
		return ring
	}
	flat := make([]float64, 0, 2*len(ring))
	for _, p := range ring {
		flat = append(flat, p[0], p[1])
	}
	line := geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	moved, err := geom.Buffer(geom.NewPolygon([]geom.LineString{line}).AsGeometry(), -distanceM)
	p, ok := moved.AsPolygon()
	if err != nil || !ok || p.IsEmpty() || p.NumInteriorRings() > 0 {
		return nil
	}
	sequence := p.ExteriorRing().Coordinates()
	out := make(orb.Ring, sequence.Length())
	for i := range out {
		xy := sequence.GetXY(i)
		out[i] = orb.Point{xy.X, xy.Y}
	}
	return out
}

// swayM is how far a person strays from the line that is meant, in metres, and
// swayS how long. An ATV's track is smoother but cuts corners.
const (
	swayM, swayS = 0.25, 4.0
	cornerCutM   = 1.5 // half of the way over which an ATV rounds a corner
)

// Record goes round the ring and takes fixes.
func (s Stroll) Record(ring orb.Ring, rng *rand.Rand) []walk.Fix {
	frame := geo.NewFrame(orb.Point{-88.4 + 2*rng.Float64(), 35 + 10*rng.Float64()})
	length := planar.Length(ring)
	begin, total := rng.Float64()*length, float64(s.Laps)*length+s.OverlapM
	if rng.Float64() < 0.5 {
		ring = ring.Clone()
		ring.Reverse()
	}
	pauseAt := total * between(rng, 0.1, 0.9)
	sway, noise := newDrift(swayM, swayS), newDrift(s.SigmaM, s.CorrelationS)
	claims := math.Exp(0.15 * rng.NormFloat64()) // the receiver over- or underrates itself
	var fixes []walk.Fix
	rested := 0.0
	for gone, now := 0.0, 0.0; gone <= total; now += s.EveryS {
		at := s.along(ring, begin+gone)
		off, err := sway.next(s.EveryS, rng), noise.next(s.EveryS, rng)
		if s.Drive == "ATV" {
			off = orb.Point{off[0] / 2, off[1] / 2}
		}
		fix := walk.Fix{TimeS: now, LonLat: frame.ToLonLat(orb.Point{at[0] + off[0] + err[0], at[1] + off[1] + err[1]})}
		if s.SaysAccuracy {
			fix.AccuracyM = radius68 * s.SigmaM * claims * math.Exp(0.15*rng.NormFloat64())
		}
		fixes = append(fixes, fix)
		if gone >= pauseAt && rested < s.PauseS {
			rested += s.EveryS
			continue
		}
		gone += s.SpeedMPS * s.EveryS * between(rng, 0.85, 1.15)
	}
	s.spoil(fixes, frame, rng)
	return fixes
}

// radius68 is the radius of 68 % in standard deviations per axis.
const radius68 = 1.5096

// along is the place after a way round the ring. An ATV rounds corners: its
// place is the mean over a short way.
func (s Stroll) along(ring orb.Ring, way float64) orb.Point {
	if s.Drive != "ATV" {
		return pointAt(ring, way)
	}
	const parts = 5
	var mean orb.Point
	for i := range parts {
		p := pointAt(ring, way+cornerCutM*(2*float64(i)/(parts-1)-1))
		mean[0] += p[0] / parts
		mean[1] += p[1] / parts
	}
	return mean
}

// pointAt is the place after a way along a closed ring, round and round.
func pointAt(ring orb.Ring, way float64) orb.Point {
	length := planar.Length(ring)
	way = math.Mod(math.Mod(way, length)+length, length)
	for i := 0; i+1 < len(ring); i++ {
		step := planar.Distance(ring[i], ring[i+1])
		if way <= step && step > 0 {
			t := way / step
			return orb.Point{ring[i][0] + t*(ring[i+1][0]-ring[i][0]), ring[i][1] + t*(ring[i+1][1]-ring[i][1])}
		}
		way -= step
	}
	return ring[len(ring)-1]
}

// drift is an error per axis that fades over a time: a first-order
// autoregression, stationary from the start.
type drift struct {
	sigmaM, lastsS float64
	now            orb.Point
	begun          bool
}

func newDrift(sigmaM, lastsS float64) *drift { return &drift{sigmaM: sigmaM, lastsS: lastsS} }

func (d *drift) next(afterS float64, rng *rand.Rand) orb.Point {
	kept := math.Exp(-afterS / d.lastsS)
	if !d.begun {
		kept, d.begun = 0, true
	}
	fresh := d.sigmaM * math.Sqrt(1-kept*kept)
	d.now = orb.Point{kept*d.now[0] + fresh*rng.NormFloat64(), kept*d.now[1] + fresh*rng.NormFloat64()}
	return d.now
}

// spoil throws runs of one to three fixes 25 to 80 m off. Half of the runs own
// up to it in their accuracy.
func (s Stroll) spoil(fixes []walk.Fix, frame geo.Frame, rng *rand.Rand) {
	for range s.Spikes {
		first, run := rng.IntN(len(fixes)), 1+rng.IntN(3)
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		throw, owns := between(rng, 25, 80), rng.Float64() < 0.5
		for i := first; i < min(first+run, len(fixes)); i++ {
			p := frame.ToLocal(fixes[i].LonLat)
			fixes[i].LonLat = frame.ToLonLat(orb.Point{p[0] + throw*cos, p[1] + throw*sin})
			if s.SaysAccuracy && owns {
				fixes[i].AccuracyM = throw
			}
		}
	}
}
