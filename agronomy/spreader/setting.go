package spreader

import (
	"fmt"
	"math"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

const mostTimes = 4 // over one plot

// Job is what one hopper group asks of the spreader. Material is the name that
// the catch tests use. Times is how often the plot is gone over, each time with
// an equal part of the rate; zero means once.
type Job struct {
	Material string
	Rate     units.MassPerArea // of everything in the hopper, all times together
	Spacing  units.Length
	Speed    units.Speed
	Times    int
	System   units.System
}

// Setting is the spreader set for one job. Flow is what the gate must give
// while driving. Without catch tests the gate fields and the range are empty.
// RateLow and RateHigh say what one more run may give, see Scatter.
type Setting struct {
	Material   string            `json:"material"`
	Rate       units.MassPerArea `json:"rate_kg_per_m2"`        // asked for
	ActualRate units.MassPerArea `json:"actual_rate_kg_per_m2"` // at this gate and speed
	RateLow    units.MassPerArea `json:"rate_low_kg_per_m2,omitempty"`
	RateHigh   units.MassPerArea `json:"rate_high_kg_per_m2,omitempty"`
	Spacing    units.Length      `json:"spacing_m"`
	Speed      units.Speed       `json:"speed_mps"`
	Per88Feet  units.Duration    `json:"per_88_ft_s"`
	Flow       units.Flow        `json:"flow_kg_per_s"`
	Times      int               `json:"times"`
	Tested     bool              `json:"tested"` // the gate comes from catch tests
	GateMark   float64           `json:"gate_mark,omitempty"`
	Gate       string            `json:"gate,omitempty"` // as the machine's scale reads
	Says       []string          `json:"says,omitempty"`
}

// Set finds the gate for a rate and a speed. Without catch tests it gives the
// flow that the gate must let through and how to find it. A speed outside the
// machine's range, or a flow outside the tests', is refused with the nearest
// that can be done.
func (s Spreader) Set(job Job) (Setting, error) {
	if err := s.check(job); err != nil {
		return Setting{}, err
	}
	curve, err := s.FlowCurve(job.Material)
	if found, ok := fault.From(err); ok && found.Kind == fault.Missing {
		return job.untested(), nil
	}
	if err != nil {
		return Setting{}, err
	}
	gate, err := curve.GateFor(job.flow(), job.System)
	if found, ok := fault.From(err); ok {
		found.Remedy = s.feasible(job, curve)
		return Setting{}, found
	}
	setting, err := s.at(job, curve, curve.settable(gate))
	if err != nil {
		return Setting{}, err
	}
	if fits := s.fineSpeed(setting); fits != "" {
		setting.Says = append(setting.Says, fits)
	}
	return setting, nil
}

// SetSpeed finds the speed for a rate and a gate.
func (s Spreader) SetSpeed(job Job, gate float64) (Setting, error) {
	job.Speed = units.MPH // any will do to check the rest
	if err := job.validate(); err != nil {
		return Setting{}, err
	}
	curve, flow, err := s.flowAt(job, gate)
	if err != nil {
		return Setting{}, err
	}
	job.Speed = units.Speed(float64(flow) / float64(job.part()) / float64(job.Spacing))
	if found, ok := fault.From(s.checkSpeed(job)); ok {
		found.Remedy = s.feasible(s.withinSpeed(job), curve)
		return Setting{}, found
	}
	return s.at(job, curve, gate)
}

// SetRate finds the rate that a gate and a speed give; the job's own rate is
// not looked at.
func (s Spreader) SetRate(job Job, gate float64) (Setting, error) {
	job.Rate = units.PoundPerAcre // any will do to check the rest
	if err := s.check(job); err != nil {
		return Setting{}, err
	}
	curve, flow, err := s.flowAt(job, gate)
	if err != nil {
		return Setting{}, err
	}
	job.Rate = job.rateOf(flow)
	return s.at(job, curve, gate)
}

func (s Spreader) flowAt(job Job, gate float64) (FlowCurve, units.Flow, error) {
	curve, err := s.FlowCurve(job.Material)
	if err != nil {
		return FlowCurve{}, 0, err
	}
	flow, err := curve.At(gate)
	return curve, flow, err
}

func (j Job) times() int { return max(1, j.Times) }

// part is the rate of one time over.
func (j Job) part() units.MassPerArea { return j.Rate / units.MassPerArea(j.times()) }

func (j Job) flow() units.Flow { return units.FlowFor(j.part(), j.Spacing, j.Speed) }

// rateOf is the rate of all times together at a flow.
func (j Job) rateOf(flow units.Flow) units.MassPerArea {
	once := float64(flow) / float64(j.Spacing) / float64(j.Speed)
	return units.MassPerArea(once * float64(j.times()))
}

func (s Spreader) check(job Job) error {
	if err := job.validate(); err != nil {
		return err
	}
	return s.checkSpeed(job)
}

// leastSpacing is the narrowest that tracks may lie; less is a slip of units.
const leastSpacing = 5 * units.Inch / 2

func (j Job) validate() error {
	switch {
	case !(j.Rate > 0 && j.Rate <= 100):
		return fault.New("range", "the rate must be above zero", "say how much of the material an acre or hectare gets").In("rate_kg_per_m2")
	case !(j.Spacing >= leastSpacing && j.Spacing <= mostThrow):
		return fault.New("range", "the spacing must lie between 2 1/2 in and the widest throw", "give the distance between neighbouring tracks").In("spacing_m")
	case !(j.Speed > 0 && j.Speed <= 20):
		return fault.New("range", "the speed must lie between zero and 45 mph", "time it over 88 ft: 10 s is 6 mph").In("speed_mps")
	case j.Times < 0 || j.Times > mostTimes:
		return fault.New("range", "a plot is gone over once to four times", "use 1, or 2 for half the rate twice").In("times")
	}
	return nil
}

// checkSpeed refuses a speed that the machine is not made for and says what
// gate would go with the nearest one that it is.
func (s Spreader) checkSpeed(job Job) error {
	within := s.withinSpeed(job)
	if within.Speed == job.Speed {
		return nil
	}
	bound := "fastest"
	if within.Speed > job.Speed {
		bound = "slowest"
	}
	refusal := fault.New("speed", fmt.Sprintf("%s is outside what the machine is driven at; its %s is %s",
		job.Speed.Format(job.System), bound, within.Speed.Format(job.System)), "").Of(fault.Refused).In("speed_mps")
	refusal.Remedy = "drive at " + within.Speed.Format(job.System)
	if curve, err := s.FlowCurve(job.Material); err == nil {
		refusal.Remedy = s.feasible(within, curve)
	}
	return refusal
}

func (s Spreader) withinSpeed(job Job) Job {
	const hair = 1e-9 // a speed computed at its limit is not outside it
	if s.SpeedMin > 0 && job.Speed < s.SpeedMin*(1-hair) {
		job.Speed = s.SpeedMin
	}
	if s.SpeedMax > 0 && job.Speed > s.SpeedMax*(1+hair) {
		job.Speed = s.SpeedMax
	}
	return job
}

// feasible is the nearest thing that can be done for a job, as a remedy: the
// gate for its speed; else the end of the tests at another speed; else more
// times over; else more tests.
func (s Spreader) feasible(job Job, curve FlowCurve) string {
	if gate, err := curve.GateFor(job.flow(), job.System); err == nil {
		return fmt.Sprintf("drive at %s with %s", job.Speed.Format(job.System), curve.scale.Format(curve.settable(gate)))
	}
	least, most := curve.Range()
	limit, advice := most, "test a wider gate"
	if job.flow() < least {
		limit, advice = least, "test a narrower gate, or bulk the material up"
	}
	other := job
	other.Speed = units.Speed(float64(limit) / float64(job.part()) / float64(job.Spacing))
	if s.withinSpeed(other) == other && other.validate() == nil {
		return fmt.Sprintf("drive at %s with %s", other.Speed.Format(job.System), curve.scale.Format(curve.gateOf(float64(limit))))
	}
	if limit == most {
		for more := job.times() + 1; more <= mostTimes; more++ {
			other = job
			other.Times = more
			if other.flow() >= least && other.flow() <= most {
				return fmt.Sprintf("go over the plot %d times with an equal part each", more)
			}
		}
	}
	return advice
}

// settable is the mark of the scale nearest to a gate that lies within the
// tests; the gate itself when no mark does.
func (c FlowCurve) settable(gate float64) float64 {
	first, last := c.Gate[0], c.Gate[len(c.Gate)-1]
	marked := c.scale.Nearest(gate)
	for _, candidate := range []float64{marked, marked - c.scale.Step, marked + c.scale.Step} {
		if candidate >= first && candidate <= last {
			return candidate
		}
	}
	return gate
}

// at is the setting of a job at a gate within the tests.
func (s Spreader) at(job Job, curve FlowCurve, gate float64) (Setting, error) {
	flow, err := curve.At(gate)
	if err != nil {
		return Setting{}, err
	}
	setting := job.setting()
	setting.Tested, setting.GateMark, setting.Gate = true, gate, s.Gate.Format(gate)
	setting.ActualRate = job.rateOf(flow)
	if curve.Scatter.Known {
		setting.RateLow = setting.ActualRate * units.MassPerArea(curve.Scatter.Low)
		setting.RateHigh = setting.ActualRate * units.MassPerArea(curve.Scatter.High)
	}
	setting.Says = append(setting.Says, job.rateSays(setting, curve))
	if curve.Correction != 1 {
		setting.Says = append(setting.Says, fmt.Sprintf("the last job's correction of %s is in it", signedPercent(curve.Correction-1)))
	}
	return setting, nil
}

func (j Job) setting() Setting {
	setting := Setting{
		Material: j.Material, Rate: j.Rate, ActualRate: j.Rate, Spacing: j.Spacing,
		Speed: j.Speed, Per88Feet: j.Speed.Per88Feet(), Flow: j.flow(), Times: j.times(),
	}
	if setting.Times > 1 {
		setting.Says = append(setting.Says, fmt.Sprintf("over the plot %d times with an equal part each; set the later tracks between the first ones", setting.Times))
	}
	return setting
}

func (j Job) rateSays(set Setting, curve FlowCurve) string {
	text := fmt.Sprintf("%s at %s gives %s", set.Gate, j.Speed.Format(j.System), set.ActualRate.Format(j.System))
	switch {
	case !curve.Scatter.Known:
		return text + "; repeat a catch test to learn how far to trust it"
	case curve.Scatter.Repeats == 1:
		return fmt.Sprintf("%s; the two tests alike differ from %s to %s", text, set.RateLow.Format(j.System), set.RateHigh.Format(j.System))
	default:
		return fmt.Sprintf("%s; the tests' scatter allows %s to %s", text, set.RateLow.Format(j.System), set.RateHigh.Format(j.System))
	}
}

// fineSpeed says which speed makes up for what the steps of the gate leave,
// when that is worth a word and the machine can do it.
func (s Spreader) fineSpeed(set Setting) string {
	ratio := float64(set.ActualRate) / float64(set.Rate)
	if math.Abs(ratio-1) < 0.03 {
		return ""
	}
	exact := Job{Speed: set.Speed * units.Speed(ratio)}
	if s.withinSpeed(exact) != exact {
		return ""
	}
	return fmt.Sprintf("for the exact rate drive %s over 88 ft", exact.Speed.Per88Feet().Format())
}

// untested is what can be said before the gate is known.
func (j Job) untested() Setting {
	setting := j.setting()
	caught := setting.Flow.For(CatchTime(setting.Flow))
	setting.Says = append(setting.Says,
		fmt.Sprintf("no catch test of %s yet: the gate must give %s", j.Material, setting.Flow.Format(j.System)),
		fmt.Sprintf("to find it, with the spinner stopped or shielded, let the gate run into a bag for %s and weigh: %s is right; open it further for more",
			CatchTime(setting.Flow).Format(), caught.Format(j.System)))
	return setting
}

// CatchTime is a time that is easy to count in which a bag gets no more than
// about 10 kg, or a minute for a trickle.
func CatchTime(flow units.Flow) units.Duration {
	for _, seconds := range []units.Duration{60, 30, 20, 15, 10} {
		if flow.For(seconds) <= 10 {
			return seconds
		}
	}
	return 5
}

func signedPercent(share float64) string {
	if share < 0 {
		return "-" + units.Percent(-share)
	}
	return "+" + units.Percent(share)
}
