package api

import (
	"fmt"
	"io"
	"net/url"
	"slices"
	"strconv"

	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// gateRequest is a machine, or only its catch tests, and a job of which two of
// rate, speed and gate are given.
type gateRequest struct {
	spoken
	Spreader   *spreader.Spreader   `json:"spreader,omitempty"`
	CatchTests []spreader.CatchTest `json:"catch_tests,omitempty"` // beside the spreader's own
	Job        gateJob              `json:"job"`
}

// gateJob is what the machine is set for. Material may be left out where only
// one was tested.
type gateJob struct {
	Material string            `json:"material,omitempty"`
	Rate     units.MassPerArea `json:"rate_kg_per_m2,omitempty"`
	Spacing  units.Length      `json:"spacing_m"`
	Speed    units.Speed       `json:"speed_mps,omitempty"`
	Gate     *float64          `json:"gate,omitempty"` // as the machine's scale reads
	Times    int               `json:"times,omitempty"`
}

func (q *gateRequest) parameters() []string {
	return []string{"units", "material", "rate", "spacing", "speed", "gate", "times"}
}

func (q *gateRequest) readTable(body io.Reader) (err error) {
	q.CatchTests, err = spreader.ReadCatchTests(body)
	return err
}

func (q *gateRequest) choose(values url.Values) error {
	return firstFault(
		parameter(values, "units", &q.Units, parseWord[units.System]),
		parameter(values, "material", &q.Job.Material, parseWord[string]),
		parameter(values, "rate", &q.Job.Rate, units.ParseMassPerArea),
		parameter(values, "spacing", &q.Job.Spacing, units.ParseLength),
		parameter(values, "speed", &q.Job.Speed, units.ParseSpeed),
		parameter(values, "gate", &q.Job.Gate, parseMark),
		parameter(values, "times", &q.Job.Times, parseCount),
	)
}

func parseMark(text string) (*float64, error) {
	mark, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return nil, fault.New("gate", strconv.Quote(text)+" is no mark of a gate", "write the number that the scale reads")
	}
	return &mark, nil
}

// setGate works out whichever of gate, speed and rate was left out.
func setGate(q gateRequest) (spreader.Setting, error) {
	machine, err := q.machine()
	if err != nil {
		return spreader.Setting{}, err
	}
	if q.Job.Material, err = spreader.TestedMaterial(q.Job.Material, machine.CatchTests); err != nil {
		return spreader.Setting{}, below("job", err)
	}
	job := spreader.Job{Material: q.Job.Material, Rate: q.Job.Rate, Spacing: q.Job.Spacing, Speed: q.Job.Speed, Times: q.Job.Times, System: q.Units}
	set, err := machine.Solve(job, q.Job.Gate)
	return set, below("job", err)
}

func (q gateRequest) machine() (spreader.Spreader, error) {
	var m spreader.Spreader
	if q.Spreader != nil {
		m = *q.Spreader
		if err := m.Validate(); err != nil {
			return m, below("spreader", err)
		}
	}
	for i, test := range q.CatchTests {
		if err := test.Validate(); err != nil {
			return m, below(fmt.Sprintf("catch_tests[%d]", i), err)
		}
	}
	m.CatchTests = append(slices.Clone(m.CatchTests), q.CatchTests...)
	return m, nil
}
