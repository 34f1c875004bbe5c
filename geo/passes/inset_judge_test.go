package passes

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/paulmach/orb"
	"github.com/peterstace/simplefeatures/geom"
)

// randomPlot invents a plot: a star, a walked outline, a strip, a comb of
// right angles or a sliver, with or without holes, of a tenth of an acre to
// five acres. Some have corners that nearly coincide or nearly line up.
func randomPlot(r *rand.Rand) orb.Polygon {
	var outer orb.Ring
	switch r.IntN(6) {
	case 0:
		outer = starRing(r, orb.Point{}, 3+r.IntN(40), 0.2+0.6*r.Float64())
	case 1:
		outer = starRing(r, orb.Point{}, 20+r.IntN(60), 0.1)
	case 2:
		outer = stripRing(r)
	case 3:
		outer = combRing(r)
	case 4:
		outer = starRing(r, orb.Point{}, 3+r.IntN(8), 0.9)
	default:
		outer = fussyRing(r)
	}
	scale := math.Sqrt((400 + 20000*r.Float64()*r.Float64()) / math.Abs(signedArea(outer)))
	if scale > 200 {
		scale = 200
	}
	angle := 2 * math.Pi * r.Float64()
	if r.IntN(3) == 0 {
		angle = 0
	}
	sin, cos := math.Sincos(angle)
	for i, p := range outer {
		outer[i] = orb.Point{scale * (p[0]*cos - p[1]*sin), scale * (p[0]*sin + p[1]*cos)}
	}
	return withHoles(r, outer)
}

func starRing(r *rand.Rand, centre orb.Point, n int, rough float64) orb.Ring {
	var out orb.Ring
	for i := range n {
		a := 2 * math.Pi * (float64(i) + 0.8*(r.Float64()-0.5)) / float64(n)
		d := 1 - rough*r.Float64()
		out = append(out, orb.Point{centre[0] + d*math.Cos(a), centre[1] + d*math.Sin(a)})
	}
	return append(out, out[0])
}

func stripRing(r *rand.Rand) orb.Ring {
	n, width := 3+r.IntN(12), 0.05+0.3*r.Float64()
	var left, right orb.Ring
	bend := 0.4 * r.Float64()
	for i := range n {
		x := float64(i) / float64(n-1) * 3
		y := bend * math.Sin(2*x)
		left = append(left, orb.Point{x, y + width*(0.8+0.4*r.Float64())})
		right = append(right, orb.Point{x, y - width*(0.8+0.4*r.Float64())})
	}
	right.Reverse()
	out := append(left, right...)
	return append(out, out[0])
}

// combRing has right angles and equal steps only, so that many fronts meet in
// one point.
func combRing(r *rand.Rand) orb.Ring {
	teeth := 1 + r.IntN(5)
	depth := float64(1 + r.IntN(3))
	out := orb.Ring{{0, 0}, {float64(2*teeth + 1), 0}}
	for i := teeth; i >= 0; i-- {
		x := float64(2 * i)
		out = append(out, orb.Point{x + 1, 1 + depth}, orb.Point{x, 1 + depth})
		if i > 0 {
			out = append(out, orb.Point{x, 1}, orb.Point{x - 1, 1})
		}
	}
	return append(out, out[0])
}

// fussyRing is a star with corners added on its edges: some exactly in line,
// some a hair off it, some a hair from their neighbour.
func fussyRing(r *rand.Rand) orb.Ring {
	base := starRing(r, orb.Point{}, 4+r.IntN(12), 0.5)
	var out orb.Ring
	for i := 1; i < len(base); i++ {
		a, b := base[i-1], base[i]
		out = append(out, a)
		t := []float64{0.5, 1e-4, 1 - 1e-4, r.Float64()}[r.IntN(4)]
		off := []float64{0, 1e-12, -1e-9, 1e-6, -1e-4}[r.IntN(5)]
		out = append(out, orb.Point{
			a[0] + t*(b[0]-a[0]) - off*(b[1]-a[1]),
			a[1] + t*(b[1]-a[1]) + off*(b[0]-a[0]),
		})
	}
	return append(out, out[0])
}

// withHoles puts up to four small holes into a ring where they fit.
func withHoles(r *rand.Rand, outer orb.Ring) orb.Polygon {
	plot := orb.Polygon{outer}
	bound := outer.Bound()
	for range r.IntN(3) * r.IntN(3) {
		at := orb.Point{
			bound.Min[0] + r.Float64()*(bound.Max[0]-bound.Min[0]),
			bound.Min[1] + r.Float64()*(bound.Max[1]-bound.Min[1]),
		}
		size := 0.5 + 2.5*r.Float64()
		room := within(outer, at) && lineGap(outer, at) > size*1.05
		for _, hole := range plot[1:] {
			room = room && lineGap(hole, at) > size*1.05 && !within(hole, at)
		}
		if !room {
			continue
		}
		hole := starRing(r, orb.Point{}, 3+r.IntN(9), 0.5)
		for i, p := range hole {
			hole[i] = orb.Point{at[0] + size*p[0], at[1] + size*p[1]}
		}
		plot = append(plot, hole)
	}
	return plot
}

// judgedPlots is how many random plots the library judges; EVENFALL_PLOTS asks
// for another number; the full check takes 10000.
func judgedPlots() int {
	if n, err := strconv.Atoi(os.Getenv("EVENFALL_PLOTS")); err == nil {
		return n
	}
	return 1000
}

// mostRefuges is how many of a thousand insets the library may have to stand
// in for before the fast way is not worth its name.
const mostRefuges = 1

func TestInsetsAgreeWithTheLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	refuges, rings, worst := 0, 0, 0.0
	for i := range judgedPlots() {
		g, err := NewGround(randomPlot(r))
		if err != nil {
			t.Fatalf("plot %d: %v", i, err)
		}
		f := newFront(g.polygon, 0, 0)
		depths := []float64{0.3 + r.Float64(), 2 + r.Float64(), 4 + 3*r.Float64(), 7.5 + 5*r.Float64()}
		judged := r.IntN(len(depths))
		var got orb.MultiPolygon
		for _, depth := range depths[:judged+1] {
			if got, err = f.reach(depth, 0); err != nil {
				t.Fatalf("plot %d: %v", i, err)
			}
		}
		refuges += f.refuges
		want := byLibrary(t, g, depths[judged])
		share := difference(t, got, want) / g.areaM2
		worst = math.Max(worst, share)
		if share > 0.001 {
			t.Errorf("plot %d at %.6f m: %.4f %% of the area differs", i, depths[judged], 100*share)
		}
		if n := ringCount(got); n != ringCount(want) && !pinched(t, g, depths[judged], n) {
			t.Errorf("plot %d at %.6f m: %d rings, the library has %d", i, depths[judged], n, ringCount(want))
		}
		rings += ringCount(want)
	}
	if refuges*1000 > mostRefuges*judgedPlots() {
		t.Errorf("the library had to stand in %d times", refuges)
	}
	t.Logf("%d insets with %d rings, the library stood in for %d, worst difference %.5f %% of a plot's area",
		judgedPlots(), rings, refuges, 100*worst)
}

// byLibrary is the library's inset, its arcs a little finer than ours.
func byLibrary(t *testing.T, g *Ground, depth float64) orb.MultiPolygon {
	t.Helper()
	inset, err := geom.Buffer(libraryPolygon(g.polygon), -depth, geom.BufferQuadSegments(32))
	if err != nil {
		t.Fatal(err)
	}
	return fromLibrary(inset)
}

// difference is the area that only one of the two covers, square metres.
// Of two outlines that all but coincide the library's overlay now and then
// takes the whole for the difference; the sum of the parts then cannot be, and
// the answer for the outlines rounded to a micrometre is taken instead.
func difference(t *testing.T, a, b orb.MultiPolygon) float64 {
	t.Helper()
	first, second := libraryPolygons(a), libraryPolygons(b)
	least := math.Inf(1)
	for _, round := range []func(geom.Geometry) geom.Geometry{
		func(g geom.Geometry) geom.Geometry { return g },
		func(g geom.Geometry) geom.Geometry { return g.SnapToGrid(6) },
	} {
		diff, err := geom.SymmetricDifference(round(first), round(second))
		if err != nil {
			t.Fatalf("symmetric difference: %v", err)
		}
		if least = math.Min(least, diff.Area()); least <= 0.001*first.Area() {
			break
		}
	}
	return least
}

func libraryPolygons(m orb.MultiPolygon) geom.Geometry {
	parts := make([]geom.Polygon, len(m))
	for i, p := range m {
		parts[i] = libraryPolygon(p).MustAsPolygon()
	}
	return geom.NewMultiPolygon(parts).AsGeometry()
}

// ringCount counts rings of more than a hundred square centimetres.
func ringCount(m orb.MultiPolygon) int {
	n := 0
	for _, p := range m {
		for _, ring := range p {
			if math.Abs(signedArea(ring)) > 0.01 {
				n++
			}
		}
	}
	return n
}

// pinched says whether the library's own count a centimetre shallower or deeper
// is n: the ground is then just splitting or closing, and either count is
// right.
func pinched(t *testing.T, g *Ground, depth float64, n int) bool {
	return ringCount(byLibrary(t, g, depth-0.01)) == n || ringCount(byLibrary(t, g, depth+0.01)) == n
}

func TestTheRefugeGivesWhatTheFrontGives(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for i := range 20 {
		g, err := NewGround(randomPlot(r))
		if err != nil {
			t.Fatal(err)
		}
		for _, radius := range []float64{0, 2.4} {
			f := newFront(g.polygon, 0, 0)
			const depth = 5 // more than twice the radius, so that no bend is widened
			fast, err := f.reach(depth, radius)
			if err != nil {
				t.Fatal(err)
			}
			slow, err := f.refuge(depth, radius)
			if err != nil {
				t.Fatal(err)
			}
			// where tracks of neighbouring islands overlap the library joins them
			if share := difference(t, fast, slow) / g.areaM2; share > 0.002 && len(fast) == len(slow) {
				t.Errorf("plot %d, radius %g: %.4f %% differs", i, radius, 100*share)
			}
		}
	}
}

func TestInsetsRefuseDepthsThatTurnBack(t *testing.T) {
	g, err := NewGround(benchPlot())
	if err != nil {
		t.Fatal(err)
	}
	for _, depths := range [][]float64{{2, 1}, {-1}, {math.NaN()}} {
		if _, err := g.Insets(depths); err == nil {
			t.Errorf("depths %v were taken", depths)
		}
	}
}

func TestVeryManyCornersAreThinned(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	var ring orb.Ring
	for i := range 20000 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 20000)
		d := 40 + 0.004*r.Float64()
		ring = append(ring, orb.Point{d * cos, d * sin})
	}
	plot := orb.Polygon{append(ring, ring[0])}
	g, err := NewGround(plot)
	if err != nil {
		t.Fatal(err)
	}
	if n := corners(g.polygon); n > mostCorners {
		t.Errorf("%d corners are left", n)
	}
	whole := 0.0
	for _, ring := range g.polygon {
		whole += signedArea(ring)
	}
	if math.Abs(whole-g.AreaM2()) > 0.001*whole || math.Abs(g.AreaM2()-signedArea(plot[0])) > 1e-6 {
		t.Errorf("the drawing has %.2f m2, the ground says %.2f, the plot has %.2f", whole, g.AreaM2(), signedArea(plot[0]))
	}
}
