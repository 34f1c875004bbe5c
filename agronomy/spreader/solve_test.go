package spreader

import (
	"math"
	"testing"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Whichever of the three is left out, the other two lead back to it.
func TestSolveGoesRoundTheThree(t *testing.T) {
	machine := Spreader{Name: "any", CatchTests: []CatchTest{
		{Material: "oats", Gate: 3, Mass: 2, Time: 30}, {Material: "oats", Gate: 5, Mass: 4, Time: 30},
	}}
	whole := Job{Material: "oats", Rate: 90 * units.PoundPerAcre, Spacing: 12 * units.Foot, Speed: 5 * units.MPH}
	found, err := machine.Solve(whole, nil)
	if err != nil {
		t.Fatal(err)
	}
	noSpeed, noRate := whole, whole
	noSpeed.Speed, noRate.Rate = 0, 0
	for name, job := range map[string]Job{"speed": noSpeed, "rate": noRate} {
		back, err := machine.Solve(job, &found.GateMark)
		if err != nil {
			t.Fatal(name, err)
		}
		if !near(float64(back.Speed), float64(whole.Speed), 0.01) || !near(float64(back.ActualRate), float64(whole.Rate), 0.01) {
			t.Errorf("without the %s: %s at %s", name, back.ActualRate.Format(units.US), back.Speed.Format(units.US))
		}
	}
	for name, ask := range map[string]struct {
		job  Job
		gate *float64
	}{"all three": {whole, &found.GateMark}, "one": {noSpeed, nil}, "none": {Job{Material: "oats"}, nil}} {
		if _, err := machine.Solve(ask.job, ask.gate); !coded(err, "two_of_three") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestTestedMaterial(t *testing.T) {
	one := []CatchTest{{Material: "oats"}, {Material: "oats"}}
	two := append(one, CatchTest{Material: "rye"})
	if name, err := TestedMaterial("", one); name != "oats" || err != nil {
		t.Errorf("the only one: %q, %v", name, err)
	}
	if name, err := TestedMaterial("rye", one); name != "rye" || err != nil {
		t.Errorf("a named one: %q, %v", name, err)
	}
	_, err := TestedMaterial("", two)
	if found, ok := fault.From(err); !ok || found.Remedy != "name one of oats, rye" {
		t.Errorf("two: %v", err)
	}
}

func near(got, want, share float64) bool { return math.Abs(got-want) <= share*want }

func coded(err error, code string) bool {
	found, ok := fault.From(err)
	return ok && found.Code == code
}
