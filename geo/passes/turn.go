package passes

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// pose is where the machine is and which way it heads; heading is a unit
// vector.
type pose struct {
	at      orb.Point
	heading orb.Point
}

// sagittaM is how far a drawn arc may stray from the true one, metres. Three
// millimetres are far below what a driver or a receiver can tell.
const sagittaM = 0.003

// arcStep is the angle between points of a drawn arc of a radius, radians.
func arcStep(radiusM float64) float64 {
	if radiusM <= sagittaM {
		return math.Pi / 2
	}
	return 2 * math.Acos(1-sagittaM/radiusM)
}

// turnWord is one of the shortest-path shapes of L. E. Dubins (On curves of
// minimal length with a constraint on average curvature, Amer. J. Math. 79,
// 1957): three stretches, each a left arc (+1), a right arc (-1) or straight
// (0). Stretches are in turning radii, so that an arc's is its angle.
type turnWord struct {
	side    [3]float64
	stretch [3]float64
}

func (w turnWord) length() float64 { return w.stretch[0] + w.stretch[1] + w.stretch[2] }

// turnWords lists the shapes that join two poses, shortest first. Formulas:
// A. M. Shkel and V. Lumelsky, Classification of the Dubins set, Robotics and
// Autonomous Systems 34 (2001), with lengths in turning radii.
func turnWords(from, to pose, radiusM float64) []turnWord {
	dx, dy := (to.at[0]-from.at[0])/radiusM, (to.at[1]-from.at[1])/radiusM
	d, course := math.Hypot(dx, dy), math.Atan2(dy, dx)
	a := fullTurn(math.Atan2(from.heading[1], from.heading[0]) - course)
	b := fullTurn(math.Atan2(to.heading[1], to.heading[0]) - course)
	words := curvedWords(straightWords(make([]turnWord, 0, 6), d, a, b), d, a, b)
	slices.SortStableFunc(words, func(a, b turnWord) int { return cmp.Compare(a.length(), b.length()) })
	return words
}

// fullTurn brings an angle into [0, 2 pi), counting a hair below a full turn
// as none, so that roundoff never adds a loop.
func fullTurn(a float64) float64 {
	a = math.Mod(a, 2*math.Pi)
	if a < 0 {
		a += 2 * math.Pi
	}
	if a > 2*math.Pi-1e-9 {
		return 0
	}
	return a
}

func straightWords(words []turnWord, d, a, b float64) []turnWord {
	sa, ca, sb, cb := math.Sin(a), math.Cos(a), math.Sin(b), math.Cos(b)
	cab := math.Cos(a - b)
	add := func(first, last, t, square, q float64) {
		if square >= -1e-12 {
			p := math.Sqrt(math.Max(square, 0))
			words = append(words, turnWord{[3]float64{first, 0, last}, [3]float64{fullTurn(t), p, fullTurn(q)}})
		}
	}
	lsl := math.Atan2(cb-ca, d+sa-sb)
	add(1, 1, lsl-a, 2+d*d-2*cab+2*d*(sa-sb), b-lsl)
	rsr := math.Atan2(ca-cb, d-sa+sb)
	add(-1, -1, a-rsr, 2+d*d-2*cab+2*d*(sb-sa), rsr-b)
	square := -2 + d*d + 2*cab + 2*d*(sa+sb)
	p := math.Sqrt(math.Max(square, 0))
	lsr := math.Atan2(-ca-cb, d+sa+sb) - math.Atan2(-2, p)
	add(1, -1, lsr-a, square, lsr-b)
	square = -2 + d*d + 2*cab - 2*d*(sa+sb)
	p = math.Sqrt(math.Max(square, 0))
	rsl := math.Atan2(ca+cb, d-sa-sb) - math.Atan2(2, p)
	add(-1, 1, a-rsl, square, b-rsl)
	return words
}

func curvedWords(words []turnWord, d, a, b float64) []turnWord {
	sa, ca, sb, cb := math.Sin(a), math.Cos(a), math.Sin(b), math.Cos(b)
	c := (6 - d*d + 2*math.Cos(a-b) + 2*d*(sa-sb)) / 8
	if math.Abs(c) <= 1 {
		p := fullTurn(2*math.Pi - math.Acos(c))
		t := fullTurn(a - math.Atan2(ca-cb, d-sa+sb) + p/2)
		words = append(words, turnWord{[3]float64{-1, 1, -1}, [3]float64{t, p, fullTurn(a - b - t + p)}})
	}
	c = (6 - d*d + 2*math.Cos(a-b) + 2*d*(sb-sa)) / 8
	if math.Abs(c) <= 1 {
		p := fullTurn(2*math.Pi - math.Acos(c))
		t := fullTurn(-a + math.Atan2(cb-ca, d+sa-sb) + p/2)
		words = append(words, turnWord{[3]float64{1, -1, 1}, [3]float64{t, p, fullTurn(b - a - t + p)}})
	}
	return words
}

// strays tells of most turns that leave the ring, without drawing them, by
// looking where each arc but the last ends. Where it says no the drawn turn
// still has to be looked at.
func (w turnWord) strays(from pose, radiusM float64, ring orb.Ring) bool {
	at, angle := from.at, math.Atan2(from.heading[1], from.heading[0])
	for i, side := range w.side[:len(w.side)-1] {
		if w.stretch[i] < 1e-9 {
			continue
		}
		sin, cos := math.Sincos(angle)
		if side == 0 {
			at = orb.Point{at[0] + w.stretch[i]*radiusM*cos, at[1] + w.stretch[i]*radiusM*sin}
		} else {
			angle += side * w.stretch[i]
			endSin, endCos := math.Sincos(angle)
			at = orb.Point{at[0] + side*radiusM*(endSin-sin), at[1] - side*radiusM*(endCos-cos)}
		}
		if w.goesOn(i) && !within(ring, at) {
			return true
		}
	}
	return false
}

// goesOn tells whether anything of the word follows its i-th stretch.
func (w turnWord) goesOn(i int) bool {
	return slices.ContainsFunc(w.stretch[i+1:], func(s float64) bool { return s >= 1e-9 })
}

// trace draws a word from its start, both ends included. The last point is set
// to the exact end, because a travel must meet its pass.
func (w turnWord) trace(from, to pose, radiusM float64) orb.LineString {
	line := orb.LineString{from.at}
	at, angle := from.at, math.Atan2(from.heading[1], from.heading[0])
	for i, side := range w.side {
		if w.stretch[i] < 1e-9 {
			continue
		}
		if side == 0 {
			s, c := math.Sincos(angle)
			at = orb.Point{at[0] + w.stretch[i]*radiusM*c, at[1] + w.stretch[i]*radiusM*s}
			line = append(line, at)
			continue
		}
		line = appendTurn(line, at, angle, side, w.stretch[i], radiusM)
		angle += side * w.stretch[i]
		at = line[len(line)-1]
	}
	if len(line) > 1 {
		line[len(line)-1] = to.at
		return line
	}
	return append(line, to.at)
}

// appendTurn draws an arc that leaves a point at a heading and turns to a side
// (left +1) through an angle; the start itself is not drawn.
func appendTurn(line orb.LineString, at orb.Point, heading, side, angle, radiusM float64) orb.LineString {
	sin, cos := math.Sincos(heading)
	centre := orb.Point{at[0] - side*radiusM*sin, at[1] + side*radiusM*cos}
	n := int(math.Ceil(angle / arcStep(radiusM)))
	line = slices.Grow(line, n+1) // and what follows the arc
	// Each heading is the one before turned by the same step: an arc has too few
	// steps for the rounding to add up to anything.
	stepSin, stepCos := math.Sincos(side * angle / float64(n))
	for range n {
		sin, cos = sin*stepCos+cos*stepSin, cos*stepCos-sin*stepSin
		line = append(line, orb.Point{centre[0] + side*radiusM*sin, centre[1] - side*radiusM*cos})
	}
	return line
}
