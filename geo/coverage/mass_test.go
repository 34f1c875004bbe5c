package coverage

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
)

// randomStroke wanders with bends from gentle to sharp.
func randomStroke(rng *rand.Rand, closed bool) Stroke {
	s := Stroke{Flow: 0.5 + rng.Float64()}
	x, y, heading := 40*rng.Float64(), 40*rng.Float64(), 7*rng.Float64()
	for range 3 + rng.IntN(12) {
		s.Line = append(s.Line, orb.Point{x, y})
		s.Along = append(s.Along, 0.8+0.4*rng.Float64())
		s.AsideM = append(s.AsideM, 0.3*rng.NormFloat64())
		heading += 3 * (rng.Float64() - 0.5)
		step := math.Pow(10, 2*rng.Float64()-0.7)
		x, y = x+step*math.Cos(heading), y+step*math.Sin(heading)
	}
	if closed {
		s.Line, s.Along, s.AsideM = append(s.Line, s.Line[0]), append(s.Along, s.Along[0]), append(s.AsideM, s.AsideM[0])
	}
	return s
}

func TestMassIsConserved(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for i := range 60 {
		p := lopsided(-2-2*rng.Float64(), rng.Float64()-0.5, 2+2*rng.Float64())
		o := DepositOptions{BehindM: 2 * rng.Float64(), RampM: float64(i%3) * 1.5}
		strokes := []Stroke{randomStroke(rng, i%2 == 0), randomStroke(rng, false)}
		laid := strokes[0].Laid() + strokes[1].Laid()
		for _, cell := range []float64{0.2, 0.5, 1} {
			r := NewRaster(BoundsOf(strokes, p, o, cell), cell)
			missed := Deposit(r, strokes, p, o)
			if missed != 0 {
				t.Errorf("plan %d, cell %g: %g missed a raster made to hold it", i, cell, missed)
			}
			if rel := math.Abs(r.Mass()/laid - 1); rel > 1e-9 {
				t.Errorf("plan %d, cell %g: laid %g, on the raster %g (relative %g)", i, cell, laid, r.Mass(), rel)
			}
		}
	}
}

func TestWhatMissesTheRasterIsCounted(t *testing.T) {
	p := triangle(-4, 4)
	strokes := []Stroke{line(-20, 3, 20, 5, 30, 30)}
	r := NewRaster(orb.Bound{Min: orb.Point{0, 0}, Max: orb.Point{10, 10}}, 0.25)
	missed := Deposit(r, strokes, p, DepositOptions{})
	laid := strokes[0].Laid()
	if rel := math.Abs((r.Mass()+missed)/laid - 1); rel > 1e-9 {
		t.Errorf("laid %g, on the raster %g, missed %g", laid, r.Mass(), missed)
	}
	// By hand: the throw of 8 m lies over the raster for 10 of 40 m, less what
	// falls below row 0 (the track is 3 to 4.5 m above it: under 1 %).
	if r.Mass() < 9.5 || r.Mass() > 10.3 {
		t.Errorf("%g on the raster", r.Mass())
	}
}

func TestMassIsConservedByCoarserPictures(t *testing.T) {
	strokes := []Stroke{line(0, 0, 17, 5, 3, 11)}
	p := triangle(-3, 3)
	r := NewRaster(BoundsOf(strokes, p, DepositOptions{}, 0.3), 0.3)
	Deposit(r, strokes, p, DepositOptions{})
	for _, times := range []int{1, 3, 7} {
		if small := r.Downsample(times, 1); math.Abs(small.Mass()/r.Mass()-1) > 1e-9 {
			t.Errorf("%d times coarser: %g became %g", times, r.Mass(), small.Mass())
		}
	}
	flat := r.Float32(2)
	if len(flat) != r.Cols*r.Rows || math.Abs(float64(flat[len(flat)/2])-r.Density[len(flat)/2]/2) > 1e-6 {
		t.Error("the typed array does not hold the ratios to the target")
	}
}

func TestSidesFollowTheDirectionOfTravel(t *testing.T) {
	p := shaped(0, 2, func(float64) float64 { return 1 }) // all to the right
	for _, c := range []struct {
		s           Stroke
		thick, thin orb.Point
	}{
		{line(0, 0, 0, 20), orb.Point{1, 10}, orb.Point{-1, 10}},
		{line(0, 20, 0, 0), orb.Point{-1, 10}, orb.Point{1, 10}},
		{line(0, 0, 20, 0), orb.Point{10, -1}, orb.Point{10, 1}},
		{line(20, 20, 0, 0), orb.Point{9, 11}, orb.Point{11, 9}},
	} {
		r := NewRaster(orb.Bound{Min: orb.Point{-25, -25}, Max: orb.Point{25, 25}}, 0.25)
		Deposit(r, []Stroke{c.s}, p, DepositOptions{})
		at := func(q orb.Point) float64 {
			return r.Density[int((q[1]+25)/0.25)*r.Cols+int((q[0]+25)/0.25)]
		}
		if math.Abs(at(c.thick)-0.5) > 0.01 || at(c.thin) != 0 {
			t.Errorf("%v: %g to the right, %g to the left", c.s.Line, at(c.thick), at(c.thin))
		}
	}
}

func TestGateThrowsBehindAndRamps(t *testing.T) {
	p := shaped(-1, 1, func(float64) float64 { return 1 })
	r := NewRaster(orb.Bound{Min: orb.Point{-10, -5}, Max: orb.Point{40, 5}}, 0.1)
	Deposit(r, []Stroke{line(0, 0, 20, 0)}, p, DepositOptions{BehindM: 3, RampM: 2})
	at := func(x float64) float64 { return r.Density[50*r.Cols+int((x+10)*10)] }
	for _, c := range []struct{ x, want float64 }{
		{-3.2, 0}, {-1.95, 0.2625}, {-0.8, 0.5}, {10.05, 0.5}, {16.9, 0.5}, {18.05, 0.2375}, {19.2, 0},
	} {
		if math.Abs(at(c.x)-c.want) > 0.01 {
			t.Errorf("%g at %g m, want %g", at(c.x), c.x, c.want)
		}
	}
}

func TestBendIsThickInsideAndThinOutside(t *testing.T) {
	// A full circle of 6 m, driven anticlockwise: the density at a distance d
	// from its middle is the profile times 6/d.
	s := Stroke{Flow: 1}
	for i := range 121 {
		a := 2 * math.Pi * float64(i%120) / 120
		s.Line = append(s.Line, orb.Point{6 * math.Cos(a), 6 * math.Sin(a)})
	}
	p := shaped(-3, 3, func(float64) float64 { return 1 })
	r := NewRaster(orb.Bound{Min: orb.Point{-10, -10}, Max: orb.Point{10, 10}}, 0.1)
	Deposit(r, []Stroke{s}, p, DepositOptions{})
	for _, d := range []float64{3.5, 4.5, 6, 7.5, 8.5} {
		got, n := 0.0, 0
		for k := range 40 {
			a := float64(k) * math.Pi / 20
			got += r.Density[int((d*math.Sin(a)+10)*10)*r.Cols+int((d*math.Cos(a)+10)*10)]
			n++
		}
		if want := 6 / d / 6; math.Abs(got/float64(n)/want-1) > 0.02 {
			t.Errorf("%g m from the middle: %g, want %g", d, got/float64(n), want)
		}
	}
}

func TestProfilesAreChecked(t *testing.T) {
	good := Profile{StartM: -1, StepM: 0.5, Share: []float64{0, 0.5, 0.5, 0}}
	if err := good.Check(); err != nil {
		t.Error(err)
	}
	if l, rt := good.Reach(); l != -0.5 || rt != 0.5 || good.ThrowM() != 1 {
		t.Errorf("reach %g to %g", l, rt)
	}
	if m := lopsided(-0.8, 0, 1.2).Mirrored(); math.Abs(m.StartM+1.2) > 1e-9 || m.Share[0] >= m.Share[len(m.Share)-1]*1.2 {
		t.Errorf("mirrored starts at %g", m.StartM)
	}
	for name, p := range map[string]Profile{
		"no bins": {StepM: 1}, "no width": {Share: []float64{1}}, "negative": {StepM: 1, Share: []float64{2, -1}},
		"sum": {StepM: 1, Share: []float64{0.5}}, "not a number": {StepM: 1, Share: []float64{math.NaN()}},
		"start": {StartM: math.Inf(1), StepM: 1, Share: []float64{1}},
	} {
		if p.Check() == nil {
			t.Errorf("%s passes", name)
		}
	}
}
