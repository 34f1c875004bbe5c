package coverage

import "math"

// bendM is how far before and after a corner of a line the machine swings from
// one heading to the next. No machine turns on the spot: half a metre to a
// metre and a half fits ATVs with a turning radius of 2 to 4 m. Common
// practice, no source. A line that is already rounded has shorter segments
// than this and swings evenly over them.
const bendM = 1.0

// straightRad is the bend below which two segments count as one heading.
const straightRad = 1e-6

// station is a place on the track: the line's own point, the unit vector to
// the right of the heading, metres along the line, flow there, metres aside.
type station struct{ x, y, nx, ny, s, flow, aside float64 }

// leg is a segment of a line with some length: from, to, heading.
type leg struct {
	from, to       int
	hx, hy, length float64
}

// track turns strokes into stations; its slices are reused between strokes.
type track struct {
	stations []station
	legs     []leg
	spare    []station
}

// follow lays out the stations of a stroke. Between two stations position,
// flow and aside are linear, and the heading swings evenly.
func (t *track) follow(s Stroke, o DepositOptions) {
	t.stations = t.stations[:0]
	t.findLegs(s)
	if len(t.legs) == 0 {
		return
	}
	closed := s.Line[0] == s.Line[len(s.Line)-1]
	run := 0.0
	for i := range t.legs {
		run = t.addLeg(s, i, closed, run)
	}
	if o.RampM > 0 && !closed {
		t.ramp(o.RampM)
	}
}

func (t *track) findLegs(s Stroke) {
	t.legs = t.legs[:0]
	from := 0
	for to := 1; to < len(s.Line); to++ {
		dx, dy := s.Line[to][0]-s.Line[from][0], s.Line[to][1]-s.Line[from][1]
		if l := length(dx, dy); l > 1e-9 {
			t.legs = append(t.legs, leg{from, to, dx / l, dy / l, l})
			from = to
		}
	}
}

func (t *track) addLeg(s Stroke, i int, closed bool, run float64) float64 {
	l := t.legs[i]
	before, after := i-1, i+1
	if closed {
		before, after = (i-1+len(t.legs))%len(t.legs), (i+1)%len(t.legs)
	}
	add := func(at, hx, hy float64) {
		t.stations = append(t.stations, stationOn(s, l, at, hx, hy, run+at))
	}
	if hx, hy, over := t.corner(before, i); over > 0 {
		add(0, hx, hy)
		if midX, midY, sharp := halfway(hx, hy, l); sharp {
			add(over/2, midX, midY)
		}
		add(over, l.hx, l.hy)
	} else {
		add(0, l.hx, l.hy)
	}
	if hx, hy, over := t.corner(i, after); over > 0 {
		add(l.length-over, l.hx, l.hy)
		if midX, midY, sharp := halfway(hx, hy, l); sharp {
			add(l.length-over/2, midX, midY)
		}
		add(l.length, hx, hy)
	} else {
		add(l.length, l.hx, l.hy)
	}
	return run + l.length
}

// corner is the heading half way round the bend from leg a to leg b, and the
// metres each side over which it swings; zero when there is none, or when the
// line turns right back, where the machine stops.
func (t *track) corner(a, b int) (hx, hy, over float64) {
	if a < 0 || b >= len(t.legs) || a == b {
		return 0, 0, 0
	}
	la, lb := t.legs[a], t.legs[b]
	sin, cos := la.hx*lb.hy-la.hy*lb.hx, la.hx*lb.hx+la.hy*lb.hy
	if math.Abs(sin) < straightRad || cos < -0.99 {
		return 0, 0, 0
	}
	hx, hy = la.hx+lb.hx, la.hy+lb.hy
	norm := length(hx, hy)
	return hx / norm, hy / norm, math.Min(bendM, math.Min(la.length, lb.length)/2)
}

// halfway is the heading between a corner's and the leg's. Stations swing by
// drawing their normals straight from one to the next, which is even enough
// only below 30 degrees; sharp tells that the swing is wider.
func halfway(hx, hy float64, l leg) (x, y float64, sharp bool) {
	x, y = hx+l.hx, hy+l.hy
	norm := length(x, y)
	return x / norm, y / norm, hx*l.hx+hy*l.hy < 0.866
}

func stationOn(s Stroke, l leg, at, hx, hy, run float64) station {
	f := at / l.length
	p, q := s.Line[l.from], s.Line[l.to]
	st := station{x: p[0] + f*(q[0]-p[0]), y: p[1] + f*(q[1]-p[1]), nx: hy, ny: -hx, s: run, flow: s.Flow}
	if len(s.Along) == len(s.Line) {
		st.flow *= s.Along[l.from] + f*(s.Along[l.to]-s.Along[l.from])
	}
	if len(s.AsideM) == len(s.Line) {
		st.aside = s.AsideM[l.from] + f*(s.AsideM[l.to]-s.AsideM[l.from])
	}
	return st
}

// ramp lets the flow rise over the first metres after the gate opens and die
// away over as many after it closes, so that the total stays what it was.
func (t *track) ramp(over float64) {
	last := t.stations[len(t.stations)-1]
	length, laid := last.s, t.laid()
	end := last
	end.x, end.y, end.s = end.x-over*end.ny, end.y+over*end.nx, length+over
	t.stations = append(t.stations, end)
	t.splitAt(math.Min(over, length))
	t.splitAt(math.Max(over, length))
	for i := range t.stations {
		s := t.stations[i].s
		t.stations[i].flow *= (math.Min(s, length) - math.Max(s-over, 0)) / over
	}
	// Where the flow also varies along the line the product is not linear.
	if now := t.laid(); now > 0 {
		for i := range t.stations {
			t.stations[i].flow *= laid / now
		}
	}
}

// laid is the material between the first station and the last.
func (t *track) laid() float64 {
	sum := 0.0
	for i := 1; i < len(t.stations); i++ {
		a, b := t.stations[i-1], t.stations[i]
		sum += (a.flow + b.flow) / 2 * (b.s - a.s)
	}
	return sum
}

func (t *track) splitAt(s float64) {
	for i := 1; i < len(t.stations); i++ {
		a, b := t.stations[i-1], t.stations[i]
		if a.s < s && s < b.s {
			t.spare = append(t.spare[:0], t.stations[i:]...)
			t.stations = append(append(t.stations[:i], between(&a, &b, (s-a.s)/(b.s-a.s))), t.spare...)
			return
		}
	}
}

// between is the station a fraction f of the way from a to b.
func between(a, b *station, f float64) station {
	nx, ny := a.nx+f*(b.nx-a.nx), a.ny+f*(b.ny-a.ny)
	norm := length(nx, ny)
	return station{
		x: a.x + f*(b.x-a.x), y: a.y + f*(b.y-a.y), nx: nx / norm, ny: ny / norm,
		s: a.s + f*(b.s-a.s), flow: a.flow + f*(b.flow-a.flow), aside: a.aside + f*(b.aside-a.aside),
	}
}

// length is that of a vector. Metres on a plot neither overflow nor underflow
// when squared, so the dearer care of math.Hypot is not needed.
func length(x, y float64) float64 { return math.Sqrt(x*x + y*y) }
