package spreader

import (
	"io"
	"slices"
	"strconv"
	"strings"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

const catchExample = "material,gate,caught (lb),time (s)"

// ReadCatchTests reads catch tests from CSV, a line each. Columns, in any
// order: material, gate, caught, and either time, or course and speed (or
// course and time). Units stand in the header; gate is the machine's own mark.
//
//	material,gate,caught (lb),time (s),course (ft),speed (mph)
//	44-0-0,4,8.5,15,,
//	44-0-0,6,10,,300,6
func ReadCatchTests(r io.Reader) ([]CatchTest, error) {
	t, err := readTable(r, catchExample)
	if err != nil {
		return nil, err
	}
	columns, err := t.catchColumns()
	if err != nil {
		return nil, err
	}
	var tests []CatchTest
	for _, l := range t.lines {
		test, err := l.catchTest(columns)
		if err != nil {
			return nil, err
		}
		tests = append(tests, test)
	}
	return tests, nil
}

// catchColumn is the figure that a column holds and its unit in SI.
type catchColumn struct {
	name string
	unit float64
}

func (t table) catchColumns() ([]catchColumn, error) {
	var columns []catchColumn
	for i, header := range t.header.cells {
		name, _ := splitUnit(header)
		unit, err := t.header.catchUnit(name, i)
		if err != nil {
			return nil, err
		}
		if holds(columns, name) {
			return nil, t.header.fault(i, "header", "the column "+name+" stands there twice", "keep one").Of(fault.Unread)
		}
		columns = append(columns, catchColumn{name, unit})
	}
	for _, needed := range []string{"material", "gate", "caught"} {
		if !holds(columns, needed) {
			return nil, t.header.fault(-1, "header", "there is no column "+needed, "start the table with "+catchExample).Of(fault.Unread)
		}
	}
	return columns, nil
}

func holds(columns []catchColumn, name string) bool {
	return slices.ContainsFunc(columns, func(c catchColumn) bool { return c.name == name })
}

func (l line) catchUnit(name string, column int) (float64, error) {
	switch name {
	case "material", "gate":
		return 1, nil
	case "caught":
		return per(l, column, units.ParseMass)
	case "time":
		return per(l, column, units.ParseDuration)
	case "course":
		return per(l, column, units.ParseLength)
	case "speed":
		return per(l, column, units.ParseSpeed)
	default:
		return 0, l.fault(column, "header", "the column "+strconv.Quote(name)+" is not known", "use material, gate, caught, time, course and speed").Of(fault.Unread)
	}
}

func (l line) catchTest(columns []catchColumn) (CatchTest, error) {
	var test CatchTest
	for i, c := range columns {
		if c.name == "material" {
			test.Material = strings.Join(strings.Fields(l.cells[i]), " ")
			continue
		}
		if l.cells[i] == "" && c.name != "gate" {
			continue
		}
		value, err := l.figure(i)
		if err != nil {
			return CatchTest{}, err
		}
		test.take(c.name, value*c.unit)
	}
	err := test.Validate()
	if found, ok := fault.From(err); ok {
		found.Where.Line = l.number
	}
	return test, err
}

func (t *CatchTest) take(name string, value float64) {
	switch name {
	case "gate":
		t.Gate = value
	case "caught":
		t.Mass = units.Mass(value)
	case "time":
		t.Time = units.Duration(value)
	case "course":
		t.Course = units.Length(value)
	case "speed":
		t.Speed = units.Speed(value)
	}
}
