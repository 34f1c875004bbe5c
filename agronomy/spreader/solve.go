package spreader

import (
	"slices"
	"strings"

	"evenfall/geo/fault"
)

// Solve works out whichever of gate, speed and rate is left out: the gate when
// nil, the speed or the rate when zero. The other two must be there.
func (s Spreader) Solve(job Job, gate *float64) (Setting, error) {
	switch {
	case gate == nil && job.Rate != 0 && job.Speed != 0:
		return s.Set(job)
	case gate != nil && job.Rate != 0 && job.Speed == 0:
		return s.SetSpeed(job, *gate)
	case gate != nil && job.Rate == 0 && job.Speed != 0:
		return s.SetRate(job, *gate)
	}
	return Setting{}, fault.New("two_of_three", "exactly two of rate, speed and gate are needed", "leave out the one that is to be worked out").In("gate")
}

// TestedMaterial is the material that was named, or the only one that was
// tested.
func TestedMaterial(named string, tests []CatchTest) (string, error) {
	if named != "" {
		return named, nil
	}
	var tested []string
	for _, t := range tests {
		if !slices.Contains(tested, t.Material) {
			tested = append(tested, t.Material)
		}
	}
	if len(tested) == 1 {
		return tested[0], nil
	}
	remedy := "name it"
	if len(tested) > 1 {
		remedy = "name one of " + strings.Join(tested, ", ")
	}
	return "", fault.New("material", "the job does not say of what material", remedy).In("material")
}
