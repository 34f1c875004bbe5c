package spreader

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// FlowCurve is the flow of one material against the gate, through the mean of
// the catch tests at each mark. Gates ascend; flows rise or fall throughout.
type FlowCurve struct {
	Material   string    `json:"material"`
	Gate       []float64 `json:"gate"`
	Flow       []float64 `json:"flow_kg_per_s"`
	Correction float64   `json:"correction"` // already in Flow; 1 when no job has taught one
	Scatter    Scatter   `json:"scatter"`
	slope      []float64
	scale      GateScale
}

// FlowCurve makes the curve of a material from its catch tests. Without any it
// returns a fault of the missing kind.
func (s Spreader) FlowCurve(material string) (FlowCurve, error) {
	marks := s.marks(material)
	if len(marks) == 0 {
		return FlowCurve{}, fault.New("no_catch_test", "there is no catch test of "+material+" with this spreader", "catch and weigh what leaves the gate").Of(fault.Missing)
	}
	curve := FlowCurve{Material: material, Correction: s.correction(material), Scatter: scatter(marks), scale: s.Gate}
	for _, m := range marks {
		curve.Gate = append(curve.Gate, m.gate)
		curve.Flow = append(curve.Flow, m.mean()*curve.Correction)
	}
	if err := curve.checkMonotone(); err != nil {
		return FlowCurve{}, err
	}
	curve.slope = monotoneSlopes(curve.Gate, curve.Flow)
	return curve, nil
}

// mark is the catch tests at one gate mark.
type mark struct {
	gate  float64
	flows []float64
}

func (m mark) mean() float64 { return sum(m.flows) / float64(len(m.flows)) }

func (s Spreader) marks(material string) []mark {
	var tests []CatchTest
	for _, test := range s.CatchTests {
		if sameMaterial(test.Material, material) && test.Validate() == nil {
			tests = append(tests, test)
		}
	}
	slices.SortStableFunc(tests, func(a, b CatchTest) int { return cmp.Compare(a.Gate, b.Gate) })
	var marks []mark
	for _, test := range tests {
		if n := len(marks); n == 0 || test.Gate > marks[n-1].gate {
			marks = append(marks, mark{gate: test.Gate})
		}
		last := &marks[len(marks)-1]
		last.flows = append(last.flows, float64(test.Flow()))
	}
	return marks
}

func sameMaterial(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// checkMonotone refuses tests that contradict each other: an opening gate
// cannot give less.
func (c FlowCurve) checkMonotone() error {
	for i := 1; i < len(c.Gate); i++ {
		rising := c.Flow[len(c.Flow)-1] > c.Flow[0]
		if c.Flow[i] != c.Flow[i-1] && rising == (c.Flow[i] > c.Flow[i-1]) {
			continue
		}
		return fault.New("not_monotone", fmt.Sprintf("the catch tests of %s contradict each other: %s gave %s, %s gave %s",
			c.Material, c.scale.Format(c.Gate[i-1]), units.Flow(c.Flow[i-1]).Format(units.US),
			c.scale.Format(c.Gate[i]), units.Flow(c.Flow[i]).Format(units.US)),
			"repeat both").In("catch_tests")
	}
	return nil
}

// At is the flow at a gate mark within the tested range; beyond it is refused,
// because nothing is known there.
func (c FlowCurve) At(gate float64) (units.Flow, error) {
	first, last := c.Gate[0], c.Gate[len(c.Gate)-1]
	if !(gate >= first && gate <= last) {
		nearest := first
		if gate > last {
			nearest = last
		}
		return 0, fault.New("beyond_tests", fmt.Sprintf("the catch tests of %s reach from %s to %s; %s lies outside",
			c.Material, c.scale.Format(first), c.scale.Format(last), c.scale.Format(gate)),
			fmt.Sprintf("use %s, or test %s too", c.scale.Format(nearest), c.scale.Format(gate))).Of(fault.Refused).In("gate")
	}
	return units.Flow(c.interpolate(gate)), nil
}

// interpolate is the cubic Hermite curve between the two marks around a gate.
func (c FlowCurve) interpolate(gate float64) float64 {
	i := min(sort.SearchFloat64s(c.Gate, gate), len(c.Gate)-1)
	if c.Gate[i] == gate {
		return c.Flow[i]
	}
	h := c.Gate[i] - c.Gate[i-1]
	t := (gate - c.Gate[i-1]) / h
	rest := 1 - t
	return c.Flow[i-1]*(1+2*t)*rest*rest + h*c.slope[i-1]*t*rest*rest +
		c.Flow[i]*t*t*(3-2*t) - h*c.slope[i]*t*t*rest
}

// endSlack is how far past the last test a flow may be asked for and still get
// the gate of that test, relative to the flow: less than any scale weighs.
const endSlack = 0.02

// GateFor is the gate mark that gives a flow, before rounding to the scale.
// A flow beyond the tested ones is refused, but for the slack at the ends.
func (c FlowCurve) GateFor(flow units.Flow, system units.System) (float64, error) {
	least, most := c.Range()
	if !(flow >= least*(1-endSlack) && flow <= most*(1+endSlack)) {
		nearest, gate := least, c.gateOf(float64(least))
		if flow > most {
			nearest, gate = most, c.gateOf(float64(most))
		}
		return 0, fault.New("beyond_tests", fmt.Sprintf("the catch tests of %s reach from %s to %s; %s lies outside",
			c.Material, least.Format(system), most.Format(system), flow.Format(system)),
			fmt.Sprintf("the nearest is %s at %s", nearest.Format(system), c.scale.Format(gate))).Of(fault.Refused).In("flow_kg_per_s")
	}
	return c.gateOf(float64(min(max(flow, least), most))), nil
}

// Range is the least and the most flow that was tested.
func (c FlowCurve) Range() (least, most units.Flow) {
	first, last := c.Flow[0], c.Flow[len(c.Flow)-1]
	return units.Flow(min(first, last)), units.Flow(max(first, last))
}

// gateOf halves the interval in which a flow within the range lies.
func (c FlowCurve) gateOf(flow float64) float64 {
	rising := c.Flow[len(c.Flow)-1] > c.Flow[0]
	low, high := c.Gate[0], c.Gate[len(c.Gate)-1]
	for _, i := range []int{0, len(c.Gate) - 1} {
		if c.Flow[i] == flow {
			return c.Gate[i]
		}
	}
	for range 60 {
		if mid := (low + high) / 2; (c.interpolate(mid) < flow) == rising {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// monotoneSlopes are the tangents of Fritsch and Carlson (SIAM J. Numer. Anal.
// 17, 1980), in the weighted harmonic mean of Fritsch and Butland (1984), so
// that the curve never turns between tests.
func monotoneSlopes(x, y []float64) []float64 {
	n := len(x)
	slope := make([]float64, n)
	if n < 2 {
		return slope
	}
	secant := func(i int) float64 { return (y[i+1] - y[i]) / (x[i+1] - x[i]) }
	slope[0], slope[n-1] = secant(0), secant(n-2)
	for i := 1; i < n-1; i++ {
		before, after := x[i]-x[i-1], x[i+1]-x[i]
		w1, w2 := 2*after+before, after+2*before
		slope[i] = (w1 + w2) / (w1/secant(i-1) + w2/secant(i))
	}
	return slope
}
