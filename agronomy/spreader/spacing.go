package spreader

import (
	"fmt"
	"math"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Acceptable coefficients of variation, as shares of 1; above 0.20 yield is
// lost. Source: LandWISE fertiliser spreading project; Teagasc (D. Forristal).
const (
	CVLimitNitrogen    = 0.15
	CVLimitLowAnalysis = 0.25
)

// lopsidedFrom is the excess of the heavier side over the lighter one from
// which a person is told. Common practice, no source.
const lopsidedFrom = 0.10

// Choice is one spacing and what it would give.
type Choice struct {
	Name           string       `json:"name"`
	Spacing        units.Length `json:"spacing_m"`
	SameWayCV      float64      `json:"same_way_cv"`
	BackAndForthCV float64      `json:"back_and_forth_cv"`
}

// CV is the choice's coefficient of variation for passes driven one way.
func (c Choice) CV(way Way) float64 {
	if way == BackAndForth {
		return c.BackAndForthCV
	}
	return c.SameWayCV
}

// Recommendation is the widest spacing that stays under the limit, with the
// habits of the trade beside it. HalfThrow sets the edge of the throw on the
// last tyre tracks; HalfOfCentre is the width over which at least half of what
// falls at the centre falls. Spacings never pass the throw.
type Recommendation struct {
	Limit        float64  `json:"cv_limit"`
	Way          Way      `json:"way"`
	Best         Choice   `json:"best"`
	HalfThrow    Choice   `json:"half_throw"`
	HalfOfCentre Choice   `json:"half_of_centre"`
	Balance      Balance  `json:"balance"`
	Says         []string `json:"says"`
}

// Recommend finds the recommendation for a CV limit (0.15 is 15 %) and the way
// that neighbouring passes run. Off is how far a driver misses the line; the
// person is warned when that alone breaks the limit.
func Recommend(p Pattern, limit float64, way Way, off units.Length, system units.System) (Recommendation, error) {
	c, err := p.cross()
	if err != nil {
		return Recommendation{}, err
	}
	if err := checkWay(way); err != nil {
		return Recommendation{}, err
	}
	if !(limit > 0 && limit <= 1) {
		return Recommendation{}, fault.New("range", "the limit of evenness must lie between 0 and 1", "use 0.15 for nitrogen, 0.25 for low-analysis products").In("cv_limit")
	}
	best, err := c.widest(float64(p.Width()), limit, way)
	if err != nil {
		return Recommendation{}, err
	}
	r := Recommendation{
		Limit: limit, Way: way,
		Best:         c.choice("widest under the limit", best),
		HalfThrow:    c.choice("half the throw", float64(p.Width())/2),
		HalfOfCentre: c.choice("half of the centre's drop", c.halfOfCentre()),
		Balance:      c.balance(),
	}
	r.Says = r.says(c, off, system)
	return r, nil
}

func weigh(p Pattern, spacing units.Length) (Choice, error) {
	same, err := Overlap(p, spacing, SameWay)
	if err != nil {
		return Choice{}, err
	}
	back, err := Overlap(p, spacing, BackAndForth)
	return Choice{Spacing: spacing, SameWayCV: same, BackAndForthCV: back}, err
}

func (c cross) choice(name string, spacing float64) Choice {
	return Choice{name, units.Length(spacing), c.variation(spacing, SameWay), c.variation(spacing, BackAndForth)}
}

// widest walks down from the throw and then halves the last step. Windows of
// spacing narrower than a two-hundredth of the throw are passed over: no
// driver could keep to them.
func (c cross) widest(throw, limit float64, way Way) (float64, error) {
	const steps = 200
	for i := steps; i >= steps/20; i-- {
		spacing := throw * float64(i) / steps
		if c.variation(spacing, way) > limit {
			continue
		}
		if i == steps {
			return spacing, nil
		}
		return c.between(spacing, throw*float64(i+1)/steps, limit, way), nil
	}
	return 0, fault.New("uneven", "no spacing down to a twentieth of the throw stays under the limit", "adjust the machine, or allow a higher limit").Of(fault.Refused).In("cv_limit")
}

func (c cross) between(good, bad, limit float64, way Way) float64 {
	for range 20 {
		if mid := (good + bad) / 2; c.variation(mid, way) <= limit {
			good = mid
		} else {
			bad = mid
		}
	}
	return good
}

// halfOfCentre is the width between the outermost points where at least half
// of what falls on the track falls.
func (c cross) halfOfCentre() float64 {
	return c.outermostHalf(c.hi) - c.outermostHalf(c.lo)
}

// outermostHalf walks in from one edge to where half is first met.
func (c cross) outermostHalf(edge float64) float64 {
	const steps = 400
	half := c.density(0) / 2
	met := func(share float64) bool { return c.density(edge*share) >= half*(1-1e-12) }
	low := 0.0
	for i := steps; i > 0; i-- {
		if met(float64(i) / steps) {
			low = float64(i) / steps
			break
		}
	}
	high := min(1, low+1.0/steps)
	for range 50 {
		if mid := (low + high) / 2; met(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return edge * low
}

// Balance is how the drop is shared between the two sides of the track.
type Balance struct {
	LeftShare float64 `json:"left_share"` // 0.5 when even
	Heavier   string  `json:"heavier,omitempty"`
	Excess    float64 `json:"excess"` // the heavier side over the lighter, less one
	Lopsided  bool    `json:"lopsided"`
}

// balance weighs the left of a pattern against its right.
func (c cross) balance() Balance {
	left := c.below(0)
	b := Balance{LeftShare: left, Heavier: "left", Excess: left/(1-left) - 1}
	if left < 0.5 {
		b.Heavier, b.Excess = "right", (1-left)/left-1
	}
	// One side of a pattern thrown wholly to the other gets nothing.
	b.Excess = min(b.Excess, 100)
	b.Lopsided = b.Excess >= lopsidedFrom
	if b.Excess < 1e-9 {
		b.Heavier, b.Excess = "", 0
	}
	return b
}

func (r Recommendation) says(c cross, off units.Length, system units.System) []string {
	says := []string{fmt.Sprintf("%s between tracks is the widest that stays under %s (CV %s); half the throw, %s, gives %s; the half-of-centre rule, %s, gives %s",
		r.Best.Spacing.Format(system), units.Percent(r.Limit), units.Percent(r.Best.CV(r.Way)),
		r.HalfThrow.Spacing.Format(system), units.Percent(r.HalfThrow.CV(r.Way)),
		r.HalfOfCentre.Spacing.Format(system), units.Percent(r.HalfOfCentre.CV(r.Way)))}
	if r.Balance.Lopsided {
		says = append(says, r.lopsided())
	}
	if worst := c.worstWithin(float64(r.Best.Spacing), float64(off), r.Way); worst > 1.5*r.Limit {
		says = append(says, fmt.Sprintf("this spacing forgives little: %s off the line makes it %s; a narrower one is safer",
			off.Format(system), units.Percent(worst)))
	}
	return says
}

func (r Recommendation) lopsided() string {
	text := fmt.Sprintf("heavier on the %s by %s: adjust the machine", r.Balance.Heavier, units.Percent(r.Balance.Excess))
	if r.Best.SameWayCV < r.Best.BackAndForthCV {
		text += ", or drive every pass the same way round"
	}
	return text
}

// worstWithin is the higher variation of a spacing too wide or too narrow by off.
func (c cross) worstWithin(spacing, off float64, way Way) float64 {
	if !(off > 0) || off >= spacing/2 {
		return 0
	}
	return math.Max(c.variation(spacing-off, way), c.variation(spacing+off, way))
}
