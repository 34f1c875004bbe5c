package coverage

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
)

// drop is one crumb of material of the slow coverage.
type drop struct{ x, y, mass float64 }

// crumbs is the slow, obvious coverage: walk the line in 2 cm steps, and at
// each step drop the profile in 2 cm slices, each crumb where it falls.
// Heading at a place is the segment's own, save within a metre (or half a
// segment) of a corner, where it turns evenly from the one to the other.
func crumbs(s Stroke, p Profile, o DepositOptions, do func(drop)) {
	const step = 0.02
	left, right := p.Reach()
	slices := int(math.Ceil((right - left) / step))
	du := (right - left) / float64(slices)
	share := make([]float64, slices)
	for i := range share {
		for k := range p.Share {
			lo, hi := p.StartM+float64(k)*p.StepM, p.StartM+float64(k+1)*p.StepM
			share[i] += p.Share[k] / p.StepM * math.Max(0, math.Min(hi, left+float64(i+1)*du)-math.Max(lo, left+float64(i)*du))
		}
	}
	for i := 1; i < len(s.Line); i++ {
		a, b := s.Line[i-1], s.Line[i]
		length := math.Hypot(b[0]-a[0], b[1]-a[1])
		n := int(math.Ceil(length / step))
		for k := range n {
			f := (float64(k) + 0.5) / float64(n)
			h := headingAt(s.Line, i, f*length, length)
			x, y := a[0]+f*(b[0]-a[0]), a[1]+f*(b[1]-a[1])
			x, y = x-o.BehindM*math.Cos(h), y-o.BehindM*math.Sin(h)
			for j, v := range share {
				u := left + (float64(j)+0.5)*du
				do(drop{x + u*math.Sin(h), y - u*math.Cos(h), v * s.Flow * length / float64(n)})
			}
		}
	}
}

func headingAt(line orb.LineString, segment int, at, length float64) float64 {
	own := math.Atan2(line[segment][1]-line[segment-1][1], line[segment][0]-line[segment-1][0])
	turn := func(other int, distance float64) float64 {
		last := len(line) - 1
		if line[0] == line[last] {
			other = (other-1+last)%last + 1
		}
		if other < 1 || other > last {
			return 0
		}
		dx, dy := line[other][0]-line[other-1][0], line[other][1]-line[other-1][1]
		bend := math.Remainder(math.Atan2(dy, dx)-own, 2*math.Pi)
		over := math.Min(1, math.Min(length, math.Hypot(dx, dy))/2)
		return bend / 2 * math.Max(0, 1-distance/over)
	}
	return own + turn(segment-1, at) + turn(segment+1, length-at)
}

// plans are twenty: parallel passes, rounded laps, spirals and zigzags.
func plans() (all [][]Stroke, profiles []Profile, options []DepositOptions) {
	rng := rand.New(rand.NewPCG(20, 3))
	for i := range 20 {
		var strokes []Stroke
		switch i % 4 {
		case 0:
			a := 3 * rng.Float64()
			for k := range 4 {
				x, y := -float64(k)*3*math.Sin(a), float64(k)*3*math.Cos(a)
				strokes = append(strokes, line(x, y, x+18*math.Cos(a), y+18*math.Sin(a)))
			}
		case 1:
			strokes = append(strokes, roundedLap(12+4*rng.Float64(), 9, 2.5), roundedLap(6, 4, 2.4))
		case 2:
			var spiral Stroke
			for k := range 90 {
				a := float64(k) * 0.15
				spiral.Line = append(spiral.Line, orb.Point{(3 + 0.6*a) * math.Cos(a), (3 + 0.6*a) * math.Sin(a)})
			}
			spiral.Flow = 0.7
			strokes = append(strokes, spiral)
		case 3:
			strokes = append(strokes, line(0, 0, 9, 2, 11, 12, 4*rng.Float64(), 9))
		}
		all = append(all, strokes)
		profiles = append(profiles, []Profile{triangle(-4, 4), lopsided(-2.5, 0.3, 4), shaped(-3, 3, func(u float64) float64 { return math.Exp(-u * u / 2) })}[i%3])
		options = append(options, DepositOptions{BehindM: float64(i%2) * 1.2})
	}
	return all, profiles, options
}

// roundedLap is a closed rectangle with round corners, anticlockwise.
func roundedLap(halfX, halfY, radius float64) Stroke {
	s := Stroke{Flow: 1}
	for corner, c := range [4][2]float64{{1, -1}, {1, 1}, {-1, 1}, {-1, -1}} {
		for k := range 10 {
			a := math.Pi/2*(float64(corner)-1) + float64(k)*math.Pi/18
			s.Line = append(s.Line, orb.Point{c[0]*(halfX-radius) + radius*math.Cos(a), c[1]*(halfY-radius) + radius*math.Sin(a)})
		}
	}
	s.Line = append(s.Line, s.Line[0])
	return s
}

// TestFastAgreesWithSlowCoverage lays each plan on cells of 0.1 m and compares
// squares of half a metre, which the crumbs fill without noise of their own.
// The mean difference stays below 1 % of the mean density; its root mean square, which
// the focus inside a bend dominates, below 2 %.
func TestFastAgreesWithSlowCoverage(t *testing.T) {
	all, profiles, options := plans()
	worst, worstRMS := 0.0, 0.0
	for i, strokes := range all {
		fine := NewRaster(BoundsOf(strokes, profiles[i], options[i], 0.1), 0.1)
		Deposit(fine, strokes, profiles[i], options[i])
		fast := fine.Downsample(5, 1)
		slow := NewRaster(fast.Bound(), fast.CellM)
		for _, s := range strokes {
			crumbs(s, profiles[i], options[i], func(d drop) {
				col, row := int((d.x-slow.OriginM[0])/slow.CellM), int((d.y-slow.OriginM[1])/slow.CellM)
				slow.Density[row*slow.Cols+col] += d.mass / (slow.CellM * slow.CellM)
			})
		}
		off, rms := apart(fast, slow)
		worst, worstRMS = math.Max(worst, off), math.Max(worstRMS, rms)
		if off > 0.01 || rms > 0.02 {
			t.Errorf("plan %d: the two differ by %.2f %% of the mean, root mean square %.2f %%", i, 100*off, 100*rms)
		}
	}
	t.Logf("the two differ by at most %.2f %% of the mean, root mean square %.2f %%", 100*worst, 100*worstRMS)
}

// apart is the mean difference and its root mean square over the covered
// ground, against the mean density there.
func apart(a, b *Raster) (mean, rms float64) {
	sum, off, squares, covered := 0.0, 0.0, 0.0, 0.0
	for k, v := range b.Density {
		if v > 0 || a.Density[k] > 0 {
			covered++
			sum += v
			off += math.Abs(v - a.Density[k])
			squares += (v - a.Density[k]) * (v - a.Density[k])
		}
	}
	return off / sum, math.Sqrt(squares/covered) / (sum / covered)
}
