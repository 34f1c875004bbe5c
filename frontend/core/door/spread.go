package door

import (
	"strings"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/frontend/core/wire"
)

type patternRequest struct {
	Pattern   spreader.Pattern `json:"pattern"`
	Limit     float64          `json:"limit"`
	Way       spreader.Way     `json:"way"`
	SteeringM units.Length     `json:"steeringM"`
	Units     units.System     `json:"units"`
}

type patternLook struct {
	ThrowM         units.Length            `json:"throw_m"`
	AcrossM        wire.Floats             `json:"acrossM"`
	PerMetre       wire.Floats             `json:"perMetre"`
	Balance        spreader.Balance        `json:"balance"`
	Recommendation spreader.Recommendation `json:"recommendation"`
	SpacingM       wire.Floats             `json:"spacingM"`
	SameWay        wire.Floats             `json:"sameWayCV"`
	BackAndForth   wire.Floats             `json:"backAndForthCV"`
}

// How finely a pattern and its curve are drawn, and where the curve starts
// over the throw: as fine as a phone's screen shows.
const (
	patternBins = 120
	curvePoints = 61
	curveFrom   = 0.2
)

// pattern is everything that the page shows of one pattern.
func pattern(c *wire.Call) (any, error) {
	var q patternRequest
	if err := wire.Decode(c.Request, &q); err != nil {
		return nil, err
	}
	if q.Limit == 0 {
		q.Limit = spreader.CVLimitNitrogen
	}
	if q.Way == "" {
		q.Way = spreader.BackAndForth
	}
	advice, err := spreader.Recommend(q.Pattern, q.Limit, q.Way, q.SteeringM, q.Units)
	if err != nil {
		return nil, err
	}
	throw := q.Pattern.Width()
	curve, err := spreader.CVCurve(q.Pattern, curveFrom*throw, throw, curvePoints)
	if err != nil {
		return nil, err
	}
	look := patternLook{ThrowM: throw, Balance: advice.Balance, Recommendation: advice,
		SpacingM: c.Out.Row(curve.SpacingM), SameWay: c.Out.Row(curve.SameWay), BackAndForth: c.Out.Row(curve.BackAndForth)}
	step := float64(throw) / patternBins
	profile, err := q.Pattern.Profile(step)
	if err != nil {
		return nil, err
	}
	var across, share []float64
	for i, s := range profile.Share {
		across = append(across, profile.StartM+(float64(i)+0.5)*profile.StepM)
		share = append(share, s/profile.StepM)
	}
	look.AcrossM, look.PerMetre = c.Out.Row(across), c.Out.Row(share)
	return look, nil
}

type textRequest struct {
	Text string `json:"text"`
}

func readPanTest(q textRequest) (spreader.PanTest, error) {
	return spreader.ReadPanTest(strings.NewReader(q.Text))
}

type curveRequest struct {
	Spreader spreader.Spreader `json:"spreader"`
	Material string            `json:"material"`
}

func flowCurve(q curveRequest) (spreader.FlowCurve, error) { return q.Spreader.FlowCurve(q.Material) }

// throwsAnswer is how wide each pattern of a machine throws; zero where there
// is none of its own for a class of material.
type throwsAnswer struct {
	Usual      units.Length `json:"usual"`
	Seed       units.Length `json:"seed"`
	Fertilizer units.Length `json:"fertilizer"`
}

func throws(q spreader.Patterns) (a throwsAnswer, err error) {
	a.Usual = q.Usual.Width()
	if q.Seed != nil {
		a.Seed = q.Seed.Width()
	}
	if q.Fertilizer != nil {
		a.Fertilizer = q.Fertilizer.Width()
	}
	return a, nil
}
