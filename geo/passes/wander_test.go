package passes

import (
	"math"
	"math/rand/v2"
	"testing"
)

func wanderPlanner(t *testing.T, o SearchOptions) (*planner, Plan) {
	t.Helper()
	o.TurnRadiusM, o.Room = radius, RoomAllRound
	pl, err := newPlanner(rectangle(t, 45, 30), tri(), o.filled())
	if err != nil {
		t.Fatal(err)
	}
	p, err := pl.habit()
	if err != nil {
		t.Fatal(err)
	}
	return pl, p
}

func TestWanderMakesAPlanLessEven(t *testing.T) {
	pl, _ := wanderPlanner(t, SearchOptions{Runs: 20})
	looks := pl.look(noLaps, 1)
	p := pl.planOf("straight", pl.refine(looks[0], 3))
	f := pl.enter(p)
	if f.wander.ExpectedCV < f.perfect.CV+0.02 || f.wander.Runs != 20 {
		t.Errorf("perfect %g, expected %+v", f.perfect.CV, f.wander)
	}
	if !(f.wander.LowCV < f.wander.ExpectedCV && f.wander.ExpectedCV < f.wander.HighCV) {
		t.Errorf("range %+v", f.wander)
	}
	if again := pl.wandering(p, f.heaps); again != f.wander {
		t.Errorf("the same seed gave %+v, then %+v", f.wander, again)
	}
	pl.o.Seed++
	if other := pl.wandering(p, f.heaps); other == f.wander || math.Abs(other.ExpectedCV-f.wander.ExpectedCV) > 0.02 {
		t.Errorf("another seed gave %+v after %+v", other, f.wander)
	}
}

func TestNoWanderIsThePerfectLine(t *testing.T) {
	pl, p := wanderPlanner(t, SearchOptions{Runs: 3})
	pl.o.SteeringM, pl.o.SpeedShare = 0, 0
	f := pl.enter(p)
	if math.Abs(f.wander.ExpectedCV-f.perfect.CV) > 0.005 || f.wander.HighCV-f.wander.LowCV > 1e-12 {
		t.Errorf("perfect %g, without errors %+v", f.perfect.CV, f.wander)
	}
}

func TestErrorsHaveTheirSizeAndLast(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const n, step = 200000, 0.25
	v := rng.NormFloat64()
	var squares, lagged float64
	past := make([]float64, 0, n)
	for range n {
		v = follow(v, step, rng)
		squares += v * v
		past = append(past, v)
	}
	for i := 4; i < n; i++ {
		lagged += past[i] * past[i-4]
	}
	if math.Abs(squares/n-1) > 0.03 {
		t.Errorf("variance %g", squares/n)
	}
	if got := lagged / squares; math.Abs(got-math.Exp(-1)) > 0.03 {
		t.Errorf("one unit of way apart the errors correlate by %g", got)
	}
}

func TestSummedGivesPercentiles(t *testing.T) {
	w := summed([]float64{0.5, 0.1, 0.3, 0.2, 0.4, 0.6, 0.7, 0.8, 0.9, 1.0, 0})
	if math.Abs(w.ExpectedCV-0.5) > 1e-12 || math.Abs(w.LowCV-0.1) > 1e-12 || math.Abs(w.HighCV-0.9) > 1e-12 {
		t.Errorf("%+v", w)
	}
	if one := summed([]float64{0.3}); one.LowCV != 0.3 || one.HighCV != 0.3 || summed(nil).Runs != 0 {
		t.Errorf("%+v", one)
	}
}
