package passes

import (
	"math"

	"github.com/paulmach/orb"

	"evenfall/geo/coverage"
)

// heaps is what a line's bends add to the square of the density, summed over the
// ground, beyond what the search sees.
//
// Where a bend is tighter than the throw is wide, the inner side of the throw
// turns about a point and heaps up there, without bound on ever smaller cells.
// The search's cells are too coarse to see all of it, so what they miss of the
// figures' cells is added: an arc of radius r through an angle lays r p(r)/s at a
// distance s from its middle, p being the throw's density there, on both sides
// of it; the square of that, over the ring between the two cells, is
// 2 angle (r p(r))^2 ln(cell ratio).
func (pl *planner) heaps(line orb.LineString, flow float64) float64 {
	sum := 0.0
	pl.eachHeap(line, func(_, heap float64) { sum += heap })
	return sum * flow * flow
}

// eachHeap hands over the heap of every bend of a line at full flow, with its
// place along the line.
func (pl *planner) eachHeap(line orb.LineString, take func(alongM, heap float64)) {
	n := len(line) - 1
	closed := n > 2 && line[0] == line[n]
	along := 0.0
	for i := 1; i < n || closed && i == n; i++ {
		next := i + 1
		if next > n {
			next = 1
		}
		a, b, c := line[i-1], line[i], line[next]
		ux, uy, vx, vy := b[0]-a[0], b[1]-a[1], c[0]-b[0], c[1]-b[1]
		along += math.Sqrt(ux*ux + uy*uy)
		cross, dot := ux*vy-uy*vx, ux*vx+uy*vy
		reach := math.Min(ux*ux+uy*uy, vx*vx+vy*vy)
		// The chord of a wide arc, or hardly a bend: no heap within the throw.
		if cross*cross*pl.reachM*pl.reachM < reach*dot*dot || dot < 0 {
			continue
		}
		turn := math.Atan2(cross, dot)
		r := math.Min(math.Sqrt(reach), cornerM) / math.Abs(turn)
		rp := r * pl.throwAt(math.Copysign(r, -turn))
		take(along, 2*pl.finer*math.Abs(turn)*rp*rp*pl.covered(middleOf(a, b, r, turn)))
	}
}

// cornerM is over how many metres the coverage swings round a lone corner.
const cornerM = 2.0

// middleOf is the middle of the arc that turns at b, coming from a.
func middleOf(a, b orb.Point, radiusM, turn float64) orb.Point {
	h := poseAlong(a, b, b).heading
	r := math.Copysign(radiusM, turn)
	return orb.Point{b[0] - r*h[1], b[1] + r*h[0]}
}

// covered is how much of the cell at a place is ground to be covered.
func (pl *planner) covered(at orb.Point) float64 {
	r := pl.raster
	col, row := int((at[0]-r.OriginM[0])/r.CellM), int((at[1]-r.OriginM[1])/r.CellM)
	if col < 0 || row < 0 || col >= r.Cols || row >= r.Rows {
		return 0
	}
	return pl.mask.Share(col, row)
}

// uneven is the CV of what lies on the search's raster, heaps included.
func (pl *planner) uneven(s coverage.Spread, heaps float64) float64 {
	return math.Sqrt(s.CV*s.CV + heaps/(pl.mask.AreaM2()*s.Mean*s.Mean))
}

// throwAt is the throw's density so far right of the machine, per metre.
func (pl *planner) throwAt(u float64) float64 {
	k := int(math.Floor((u - pl.profile.StartM) / pl.profile.StepM))
	if k < 0 || k >= len(pl.profile.Share) {
		return 0
	}
	return pl.profile.Share[k] / pl.profile.StepM
}
