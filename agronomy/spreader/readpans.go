package spreader

import (
	"io"
	"math"
	"slices"
	"strings"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

const panExample = "position (ft),run 1 (g)"

// ReadPanTest reads a pan test from CSV. The first column is where each pan
// stood, left negative, the track at zero, in equal steps from left to right;
// one to ten columns follow with what each run caught. Units stand in the
// header: ft, in, m or cm; oz, lb, g or kg. An empty cell is a missing pan, and
// is empty in every run.
//
//	position (ft),run 1 (g),run 2 (g)
//	-4,11,12
//	-2,,
//	0,30,28
func ReadPanTest(r io.Reader) (PanTest, error) {
	t, err := readTable(r, panExample)
	if err != nil {
		return PanTest{}, err
	}
	positions, err := t.positions()
	if err != nil {
		return PanTest{}, err
	}
	test := PanTest{PanDistance: units.Length(positions[1] - positions[0])}
	if err := t.equalSteps(positions); err != nil {
		return PanTest{}, err
	}
	test.CentrePan = tidied(1 - positions[0]/float64(test.PanDistance))
	if err := t.readRuns(&test); err != nil {
		return PanTest{}, err
	}
	return test, test.Validate()
}

// tidied takes off the rounding of a quotient that is meant to be short.
func tidied(v float64) float64 {
	if near := math.Round(v*1e6) / 1e6; math.Abs(near-v) < 1e-9 {
		return near
	}
	return v
}

func (t table) positions() ([]float64, error) {
	if words, _ := splitUnit(t.header.cells[0]); words != "position" {
		return nil, t.header.fault(0, "header", "the first column must be the position of the pans", "start the table with "+panExample).Of(fault.Unread)
	}
	unit, err := per(t.header, 0, units.ParseLength)
	if err != nil {
		return nil, err
	}
	if len(t.lines) < fewestPans || len(t.lines) > mostPans {
		return nil, fault.New("range", "a pan test needs 3 to 200 pans", "give each pan a line")
	}
	positions := make([]float64, len(t.lines))
	for i, l := range t.lines {
		at, err := l.figure(0)
		if err != nil {
			return nil, err
		}
		positions[i] = at * unit
	}
	return positions, nil
}

func (t table) equalSteps(positions []float64) error {
	step := positions[1] - positions[0]
	for i := 1; i < len(positions); i++ {
		if got := positions[i] - positions[i-1]; !(got > 0) || math.Abs(got-step) > 0.01*step {
			return t.lines[i].fault(0, "uneven_steps", "the pans must stand at equal distances, left to right", "list a pan left out for the wheels with an empty catch")
		}
	}
	return nil
}

func (t table) readRuns(test *PanTest) error {
	for column := 1; column < len(t.header.cells); column++ {
		if words, _ := splitUnit(t.header.cells[column]); !strings.HasPrefix(words, "run") {
			return t.header.fault(column, "header", "the column is not a run", "name it such as run 1 (g)").Of(fault.Unread)
		}
		if len(test.Runs) == mostRuns {
			return fault.New("too_many_runs", "a pan test holds up to ten runs", "leave out the odd ones").Of(fault.TooLarge)
		}
		run, missing, err := t.readRun(column)
		if err != nil {
			return err
		}
		if column > 1 {
			if err := t.sameMissing(test.MissingPans, missing, column); err != nil {
				return err
			}
		}
		test.Runs, test.MissingPans = append(test.Runs, run), missing
	}
	return nil
}

func (t table) readRun(column int) (run []float64, missing []int, err error) {
	unit, err := per(t.header, column, units.ParseMass)
	if err != nil {
		return nil, nil, err
	}
	for i, l := range t.lines {
		if l.cells[column] == "" {
			run, missing = append(run, 0), append(missing, i+1)
			continue
		}
		caught, err := l.figure(column)
		if err != nil {
			return nil, nil, err
		}
		if caught < 0 {
			return nil, nil, l.fault(column, "negative", "a pan cannot catch less than nothing", "weigh it less the empty pan")
		}
		run = append(run, caught*unit)
	}
	return run, missing, nil
}

// sameMissing refuses a pan that is empty in one run only: averaging the rest
// would mix runs that put on different amounts.
func (t table) sameMissing(first, now []int, column int) error {
	for pan := range t.lines {
		if slices.Contains(first, pan+1) != slices.Contains(now, pan+1) {
			return t.lines[pan].fault(column, "missing_in_one", "the cell is empty in one run and not in another", "enter 0 if the pan caught nothing, or empty it in every run")
		}
	}
	return nil
}
