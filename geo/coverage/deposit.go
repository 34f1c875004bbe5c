package coverage

import (
	"math"

	"github.com/paulmach/orb"
)

// DepositOptions is how the machine drops what leaves the gate, in metres.
// BehindM is how far behind the machine the material lands. RampM is how far
// the machine drives while the gate opens or closes.
type DepositOptions struct {
	BehindM float64 `json:"behind_m,omitempty"`
	RampM   float64 `json:"ramp_m,omitempty"`
}

// Deposit adds to the raster what the strokes throw and returns the material
// that fell beyond the raster, in metres driven at full flow. What is on the
// raster plus what was missed is what the strokes let out, to rounding.
//
// At each place the profile lies across the heading. Where the heading swings
// the inner side of the throw is squeezed and the outer stretched, with the
// same material on both.
func Deposit(r *Raster, strokes []Stroke, p Profile, o DepositOptions) (missed float64) {
	b := NewBrush(p, r.CellM, o)
	for _, s := range strokes {
		missed += b.Lay(r, s)
	}
	return missed
}

// finePerCell is how many steps of the brush's table make one cell; the error
// of the nearest step is below a percent of one cell's change in density.
const finePerCell = 64

// splatPerCell is how close, in cells, the points lie by which a bend is laid.
// The bilinear splat ripples by 2 sinc^2(1/spacing): nothing at a half, below
// 1 % under it, 8 % at three quarters.
const splatPerCell = 0.5

// A Brush lays strokes of one profile on rasters of one cell size without
// allocating. It is for one goroutine at a time.
type Brush struct {
	cell, inv   float64
	o           DepositOptions
	left, right float64 // where the smoothed throw starts and ends
	table       []float64
	tableInv    float64
	points      []splatPoint
	reach       float64
	track       track
	amounts     []float64
	runs        []run
	sum         float64 // of the amounts that were gathered
	beyond      float64 // the part of it that misses the raster
	scale       float64 // to their mass
	across      across
	bySweep     bool // how the last panel was laid
	swept       swept
	tally       *Tally // when set, takes every change; else the raster alone does
	sign        float64
}

type span struct{ cell, n int }

// splatPoint is an offset to the right of the track with its share of the
// material.
type splatPoint struct{ offset, share float64 }

// swept is the last stroke if it was a single stretch with one heading: its
// amounts are still at hand.
type swept struct {
	raster   *Raster
	from, to orb.Point
	flow     float64
	missed   float64
}

// NewBrush prepares a profile that passes Check for cells of cellM metres.
func NewBrush(p Profile, cellM float64, o DepositOptions) *Brush {
	left, right := p.Reach()
	b := &Brush{cell: cellM, inv: 1 / cellM, o: o, left: left - cellM/2, right: right + cellM/2, reach: math.Max(-left, right)}
	c := newCumulative(p)
	// The shadow of a square cell on any direction varies as a box one cell
	// wide does (cell^2/12), so one smoothed table serves every heading.
	b.tableInv = finePerCell / cellM
	b.table = make([]float64, int(math.Ceil((b.right-b.left)*b.tableInv))+2) // one to spare for rounding
	for i := range b.table {
		u := b.left + (float64(i)+0.5)/b.tableInv
		b.table[i] = (c.below(u+cellM/2) - c.below(u-cellM/2)) / cellM
	}
	b.pickPoints(c, left, right)
	return b
}

func (b *Brush) pickPoints(c cumulative, left, right float64) {
	n := max(1, int(math.Ceil((right-left)/(splatPerCell*b.cell))))
	step := (right - left) / float64(n)
	for i := range n {
		lo := left + float64(i)*step
		share := c.below(lo+step) - c.below(lo)
		if share > 0 {
			b.points = append(b.points, splatPoint{lo + step/2, share})
		}
	}
}

// Lay adds one stroke to the raster, whose cells must be of the brush's size,
// and returns what fell beyond it.
func (b *Brush) Lay(r *Raster, s Stroke) (missed float64) {
	once := len(s.Line) == 2 && len(s.Along) == 0 && len(s.AsideM) == 0
	now := swept{raster: r, flow: s.Flow}
	if once {
		now.from, now.to, now.missed = s.Line[0], s.Line[1], b.swept.missed
		if now == b.swept {
			b.pour(r)
			return now.missed
		}
	}
	b.swept = swept{}
	b.track.follow(s, b.o)
	stations := b.track.stations
	for i := 1; i < len(stations); i++ {
		missed += b.panel(r, &stations[i-1], &stations[i])
	}
	if once && b.bySweep && len(stations) == 2 {
		now.missed = missed
		b.swept = now
	}
	return missed
}

// Laid is what a stroke lets out, in metres driven at full flow.
func (s Stroke) Laid() float64 {
	sum := 0.0
	even := len(s.Along) != len(s.Line)
	for i := 1; i < len(s.Line); i++ {
		d := length(s.Line[i][0]-s.Line[i-1][0], s.Line[i][1]-s.Line[i-1][1])
		if !even {
			d *= (s.Along[i-1] + s.Along[i]) / 2
		}
		sum += d
	}
	return sum * s.Flow
}

func (b *Brush) panel(r *Raster, from, to *station) (missed float64) {
	b.bySweep = false
	if to.s <= from.s {
		return 0
	}
	dx, dy := to.nx-from.nx, to.ny-from.ny
	if math.Sqrt(dx*dx+dy*dy)*b.reach < b.cell/4 {
		one, two := *from, *to
		nx, ny := from.nx+0.5*dx, from.ny+0.5*dy
		norm := length(nx, ny)
		nx, ny = nx/norm, ny/norm
		one.nx, one.ny, two.nx, two.ny = nx, ny, nx, ny
		if missed, ok := b.sweep(r, &one, &two); ok {
			b.bySweep = true
			return missed
		}
	}
	return b.splat(r, from, to)
}

// landing is the point where the middle of the throw lands.
func (b *Brush) landing(s *station) (x, y float64) {
	return s.x + s.aside*s.nx + b.o.BehindM*s.ny, s.y + s.aside*s.ny - b.o.BehindM*s.nx
}

// splat lays a stretch point by point, each shared among four cells.
func (b *Brush) splat(r *Raster, from, to *station) (missed float64) {
	steps := b.stepsBetween(from, to)
	length := (to.s - from.s) / float64(steps)
	for i := range steps {
		at := between(from, to, (float64(i)+0.5)/float64(steps))
		missed += b.splatAt(r, &at, at.flow*length)
	}
	return missed
}

// stepsBetween is enough for the faster side of the throw.
func (b *Brush) stepsBetween(from, to *station) int {
	x0, y0 := b.landing(from)
	x1, y1 := b.landing(to)
	far := 0.0
	for _, u := range [3]float64{b.left, 0, b.right} {
		dx, dy := x1+u*to.nx-x0-u*from.nx, y1+u*to.ny-y0-u*from.ny
		if square := dx*dx + dy*dy; square > far {
			far = square
		}
	}
	return max(1, int(math.Ceil(math.Sqrt(far)*b.inv/splatPerCell)))
}

func (b *Brush) splatAt(r *Raster, at *station, mass float64) (missed float64) {
	x, y := b.landing(at)
	gx, gy := (x-r.OriginM[0])*b.inv-0.5, (y-r.OriginM[1])*b.inv-0.5
	nx, ny := at.nx*b.inv, at.ny*b.inv
	mass *= b.inv * b.inv
	if contains(r, gx+b.left*nx, gy+b.left*ny) && contains(r, gx+b.right*nx, gy+b.right*ny) {
		b.crumble(r, gx, gy, nx, ny, mass, b.points)
		return 0
	}
	for i, p := range b.points {
		if contains(r, gx+p.offset*nx, gy+p.offset*ny) {
			b.crumble(r, gx, gy, nx, ny, mass, b.points[i:i+1])
		} else {
			missed += mass * p.share
		}
	}
	return missed / (b.inv * b.inv)
}

// crumble shares points that have four cells around them among those.
func (b *Brush) crumble(r *Raster, gx, gy, nx, ny, mass float64, points []splatPoint) {
	if b.tally != nil {
		b.tally.crumble(gx, gy, nx, ny, b.sign*mass, points)
		return
	}
	density, cols := r.Density, r.Cols
	for i := range points {
		p := &points[i]
		px, py, m := gx+p.offset*nx, gy+p.offset*ny, mass*p.share
		col, row := int(px), int(py)
		fx, fy := px-float64(col), py-float64(row)
		over := m * fx
		cell := row*cols + col
		low, high := density[cell:cell+2], density[cell+cols:cell+cols+2]
		low[0] += (m - over) * (1 - fy)
		low[1] += over * (1 - fy)
		high[0] += (m - over) * fy
		high[1] += over * fy
	}
}

// contains tells whether a place in cell centres has four cells around it.
func contains(r *Raster, gx, gy float64) bool {
	return gx >= 0 && gy >= 0 && gx < float64(r.Cols-1) && gy < float64(r.Rows-1)
}
