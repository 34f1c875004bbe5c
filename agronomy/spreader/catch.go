package spreader

import (
	"math"
	"strings"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// CatchTest is one weighing of what left the gate: caught over a time with the
// machine standing, or used over a course driven at a speed or in a time. Gate
// is the mark on the machine's own scale.
type CatchTest struct {
	Material string         `json:"material"`
	Gate     float64        `json:"gate"`
	Mass     units.Mass     `json:"mass_kg"`
	Time     units.Duration `json:"time_s,omitempty"`
	Course   units.Length   `json:"course_m,omitempty"`
	Speed    units.Speed    `json:"speed_mps,omitempty"`
}

// Validate returns a fault that names the field, or nil.
func (t CatchTest) Validate() error {
	switch {
	case strings.TrimSpace(t.Material) == "":
		return fault.New("missing", "the test does not say of what", "name the material").In("material")
	case !(math.Abs(t.Gate) <= 1e4):
		return fault.New("range", "the gate mark is not a number", "write it as the scale reads").In("gate")
	case !(t.Mass > 0 && t.Mass <= 5000):
		return fault.New("range", "the catch must weigh more than nothing", "weigh it less the bag or pail").In("mass_kg")
	case !(t.Time >= 0 && t.Time <= units.Hour*24):
		return fault.New("range", "the time must lie between zero and a day", "time the catch in seconds").In("time_s")
	case !(t.Course >= 0 && t.Course <= 1e5):
		return fault.New("range", "the course must lie between zero and 60 miles", "measure it in feet or metres").In("course_m")
	case !(t.Speed >= 0 && t.Speed <= 20):
		return fault.New("range", "the speed must lie between zero and 45 mph", "time it over 88 ft: 10 s is 6 mph").In("speed_mps")
	case t.Time == 0 && (t.Course == 0 || t.Speed == 0):
		return fault.New("missing", "the test has no time", "give the seconds, or the course and the speed driven over it").In("time_s")
	}
	if flow := t.Flow(); !(flow >= leastFlow && flow <= mostFlow) {
		return fault.New("range", "so much in that time is no flow that a gate gives", "check the weight and the seconds").In("time_s")
	}
	return nil
}

// Flows that a gate may give, kilograms per second: from a gram in ten minutes
// to a lorry load in a second. Our own choice; what lies beyond is a slip.
const (
	leastFlow units.Flow = 1e-6
	mostFlow  units.Flow = 1e4
)

// Flow is the mass over the time; the time of a driven course follows from its
// speed unless it was taken.
func (t CatchTest) Flow() units.Flow {
	if t.Time > 0 {
		return t.Mass.Within(t.Time)
	}
	return t.Mass.Within(t.Speed.Over(t.Course))
}

// CourseRate is the rate that a mass makes over a strip: the known-distance
// test, where the width is the spacing of the passes and not the throw.
func CourseRate(used units.Mass, course, spacing units.Length) (units.MassPerArea, error) {
	if !(used > 0 && course > 0 && spacing > 0) {
		return 0, fault.New("range", "a known-distance test needs a weight, a length and a width above zero", "measure all three")
	}
	return used.Over(course.By(spacing)), nil
}

// CourseLength is how far a strip of a width runs to cover an area, such as
// 1/128 of an acre.
func CourseLength(a units.Area, spacing units.Length) (units.Length, error) {
	if !(a > 0 && spacing > 0) {
		return 0, fault.New("range", "a course needs an area and a width above zero", "measure the width of the strip")
	}
	return units.Length(float64(a) / float64(spacing)), nil
}
