package geo

import (
	"fmt"
	"math"
	"slices"
	"time"

	"evenfall/geo/fault"
)

// Method is how a survey got its area.
type Method string

// The methods, from the least to the most trustworthy in common practice.
const (
	Guessed  Method = "guessed"
	Paced    Method = "paced"
	Taped    Method = "taped"
	Drawn    Method = "drawn"
	Walked   Method = "walked"
	Uploaded Method = "uploaded"
)

// Survey is one measurement of a plot. UncertaintyM2 is one standard deviation
// of the area; zero means that nothing is known about it, not that it is exact.
type Survey struct {
	Method        Method  `json:"method"`
	Date          string  `json:"date"` // YYYY-MM-DD
	AreaM2        float64 `json:"area_m2"`
	PerimeterM    float64 `json:"perimeter_m,omitempty"`
	UncertaintyM2 float64 `json:"uncertainty_m2,omitempty"`
	Note          string  `json:"note,omitempty"`
}

// methods lists every Method, for checking.
var methods = []Method{Guessed, Paced, Taped, Drawn, Walked, Uploaded}

// DateForm is how a survey's date is written, in the notation of package time.
const DateForm = "2006-01-02"

// Survey is the measurement of the plot as it is drawn, on a date written
// YYYY-MM-DD, its corners placed with a standard deviation of sigmaM metres in
// east and in north; zero when nothing is known about that.
func (p Plot) Survey(method Method, date string, sigmaM float64) Survey {
	return Survey{
		Method:        method,
		Date:          date,
		AreaM2:        p.AreaM2(),
		PerimeterM:    p.PerimeterM(),
		UncertaintyM2: p.DrawnUncertaintyM2(sigmaM),
	}
}

// Check refuses a survey of an unknown method, without a real date, or with
// figures that no plot has. The fault names the field.
func (s Survey) Check() error {
	if !slices.Contains(methods, s.Method) {
		return fault.New("unknown_method", fmt.Sprintf("%q is not a way of measuring that is known", s.Method),
			fmt.Sprintf("use one of %v", methods)).In("method")
	}
	if _, err := time.Parse(DateForm, s.Date); err != nil {
		return fault.New("bad_date", fmt.Sprintf("%q is not a date", s.Date),
			"write it as year-month-day, such as 2026-04-30").In("date")
	}
	for _, figure := range []struct {
		field          string
		value, atLeast float64
	}{{"area_m2", s.AreaM2, minAreaM2}, {"perimeter_m", s.PerimeterM, 0}, {"uncertainty_m2", s.UncertaintyM2, 0}} {
		if math.IsNaN(figure.value) || math.IsInf(figure.value, 0) || figure.value < figure.atLeast {
			return fault.New("range", fmt.Sprintf("%g is out of range", figure.value),
				fmt.Sprintf("give a finite number of at least %g", figure.atLeast)).In(figure.field)
		}
	}
	return nil
}
