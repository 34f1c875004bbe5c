package api

import (
	"io"
	"net/url"
	"strconv"
	"strings"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// patternRequest is a pattern, or a pan test in its place, and how it is to be
// driven.
type patternRequest struct {
	spoken
	Pattern       *spreader.Pattern `json:"pattern,omitempty"`
	PanTest       *spreader.PanTest `json:"pan_test,omitempty"`
	Limit         float64           `json:"cv_limit,omitempty"`         // zero for that of nitrogen
	Way           spreader.Way      `json:"way,omitempty"`              // same way if left out
	Spacing       units.Length      `json:"spacing_m,omitempty"`        // to look at; zero for none
	SteeringError units.Length      `json:"steering_error_m,omitempty"` // zero for the usual one
}

// patternAnswer is the spacing that a pattern bears and the curve behind it.
type patternAnswer struct {
	Pattern        spreader.Pattern        `json:"pattern"`
	Throw          units.Length            `json:"throw_m"`
	Recommendation spreader.Recommendation `json:"recommendation"`
	Curve          spreader.Curve          `json:"curve"`
	AtSpacing      *spacingAnswer          `json:"at_spacing,omitempty"`
}

// spacingAnswer is what the spacing that was asked for gives; half the rate
// twice is at right angles or side by side. Fold and the rate are of a pan
// test.
type spacingAnswer struct {
	spreader.Choice
	RightAnglesCV float64           `json:"right_angles_cv"`
	SideBySideCV  float64           `json:"side_by_side_cv"`
	Fold          *spreader.Fold    `json:"fold,omitempty"`
	Rate          units.MassPerArea `json:"rate_kg_per_m2,omitempty"` // when the area of a pan is known
}

func (q *patternRequest) parameters() []string {
	return []string{"units", "cv_limit", "way", "spacing", "steering_error"}
}

func (q *patternRequest) readTable(body io.Reader) error {
	test, err := spreader.ReadPanTest(body)
	q.PanTest = &test
	return err
}

func (q *patternRequest) choose(values url.Values) error {
	return firstFault(
		parameter(values, "units", &q.Units, parseWord[units.System]),
		parameter(values, "way", &q.Way, parseWord[spreader.Way]),
		parameter(values, "cv_limit", &q.Limit, parseShare),
		parameter(values, "spacing", &q.Spacing, units.ParseLength),
		parameter(values, "steering_error", &q.SteeringError, units.ParseLength),
	)
}

func parseWord[W ~string](text string) (W, error) { return W(text), nil }

// parseShare reads 15 %, or the same as 0.15.
func parseShare(text string) (float64, error) {
	digits, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	share, err := strconv.ParseFloat(strings.TrimSpace(digits), 64)
	if err != nil {
		return 0, fault.New("share", strconv.Quote(text)+" is no share", "write it such as 15 % or 0.15")
	}
	if percent {
		share /= 100
	}
	return share, nil
}

// curvePoints is how many spacings the curve has, from a quarter of the throw
// to all of it: enough for a smooth line on a page.
const curvePoints = 61

func weighPattern(q patternRequest) (a patternAnswer, err error) {
	if err := q.complete(); err != nil {
		return a, err
	}
	a.Pattern, a.Throw = *q.Pattern, q.Pattern.Width()
	if a.Recommendation, err = spreader.Recommend(a.Pattern, q.Limit, q.Way, q.SteeringError, q.Units); err != nil {
		return a, err
	}
	if a.Curve, err = spreader.CVCurve(a.Pattern, a.Throw/4, a.Throw, curvePoints); err != nil {
		return a, err
	}
	if q.Spacing != 0 {
		a.AtSpacing, err = q.atSpacing()
	}
	return a, err
}

// complete fills in what was left out.
func (q *patternRequest) complete() error {
	if (q.Pattern == nil) == (q.PanTest == nil) {
		return fault.New("pattern", "a pattern or a pan test is needed, and only one of them", "send the one that you have").In("pattern")
	}
	if q.PanTest != nil {
		q.Pattern = &spreader.Pattern{Shape: spreader.Pans, PanTest: q.PanTest}
	}
	if q.Limit == 0 {
		q.Limit = spreader.CVLimitNitrogen
	}
	if q.Way == "" {
		q.Way = spreader.SameWay
	}
	if q.SteeringError == 0 {
		q.SteeringError = spreader.DefaultSteeringError
	}
	return below("pattern", q.Pattern.Validate())
}

func (q patternRequest) atSpacing() (*spacingAnswer, error) {
	a := spacingAnswer{Choice: spreader.Choice{Name: "as asked", Spacing: q.Spacing}}
	var err error
	if a.SameWayCV, err = spreader.Overlap(*q.Pattern, q.Spacing, spreader.SameWay); err != nil {
		return nil, err
	}
	if a.BackAndForthCV, err = spreader.Overlap(*q.Pattern, q.Spacing, spreader.BackAndForth); err != nil {
		return nil, err
	}
	if a.RightAnglesCV, a.SideBySideCV, err = spreader.HalfRateTwice(*q.Pattern, q.Spacing, q.Way); err != nil {
		return nil, err
	}
	if q.Pattern.PanTest != nil {
		fold, err := q.Pattern.PanTest.Fold(q.Spacing, q.Way)
		if err != nil {
			return nil, err
		}
		a.Fold, a.Rate = &fold, q.Pattern.PanTest.Rate(q.Spacing)
	}
	return &a, nil
}
