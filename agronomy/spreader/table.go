package spreader

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"evenfall/geo/fault"
)

// Limits of a table that a person typed.
const (
	mostBytes = 1 << 20
	mostLines = 2000
)

// table is a CSV file: a header, then lines of the same length. Blank lines
// and lines that start with # are left out.
type table struct {
	header line
	lines  []line
}

// line is the cells of one line and where it stands in the file.
type line struct {
	number int
	cells  []string
}

func readTable(r io.Reader, example string) (table, error) {
	limited := &io.LimitedReader{R: r, N: mostBytes + 1}
	reader := csv.NewReader(limited)
	reader.FieldsPerRecord, reader.TrimLeadingSpace, reader.Comment = -1, true, '#'
	var t table
	for {
		cells, err := reader.Read()
		switch {
		case limited.N <= 0 || len(t.lines) > mostLines:
			return table{}, fault.New("too_large", "the table is longer than 2,000 lines or a megabyte", "leave out what is not a test").Of(fault.TooLarge)
		case errors.Is(err, io.EOF):
			return t, t.check(example)
		case err != nil:
			return table{}, unreadable(err)
		}
		number, _ := reader.FieldPos(0)
		t.add(line{number, trimmed(cells)})
	}
}

func (t *table) add(l line) {
	switch {
	case strings.Join(l.cells, "") == "":
	case t.header.cells == nil:
		t.header = l
	default:
		t.lines = append(t.lines, l)
	}
}

func (t table) check(example string) error {
	if len(t.lines) == 0 {
		return fault.New("empty", "the table has no lines under its header", "start it with "+example).Of(fault.Unread)
	}
	for _, l := range t.lines {
		if len(l.cells) != len(t.header.cells) {
			return l.fault(-1, "ragged", fmt.Sprintf("the line has %d cells, the header %d", len(l.cells), len(t.header.cells)), "leave a cell empty rather than out")
		}
	}
	return nil
}

func unreadable(err error) error {
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		return fault.New("csv", "the line is not comma-separated text: "+parse.Err.Error(), "save the table as CSV").Of(fault.Unread).At(fault.Place{Line: parse.Line})
	}
	return fault.New("unread", "the table cannot be read: "+err.Error(), "send it again").Of(fault.Unread)
}

// trimmed takes spaces and the byte-order mark of spreadsheets off the cells.
func trimmed(cells []string) []string {
	for i := range cells {
		cells[i] = strings.TrimSpace(strings.TrimPrefix(cells[i], "\ufeff"))
	}
	return cells
}

// splitUnit parts a header such as caught (lb) into its words and its unit.
func splitUnit(header string) (words, unit string) {
	words, unit, _ = strings.Cut(header, "(")
	return strings.ToLower(strings.TrimSpace(words)), strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(unit), ")"))
}

// per is the unit that a header names, as a quantity.
func per[Q ~float64](l line, column int, parse func(string) (Q, error)) (float64, error) {
	_, unit := splitUnit(l.cells[column])
	if strings.ContainsAny(unit, "0123456789") {
		return 0, l.fault(column, "header_unit", "the header holds a number instead of a unit", "put one unit in brackets after the name")
	}
	q, err := parse("1 " + unit)
	if found, ok := fault.From(err); ok {
		return 0, l.fault(column, "header_unit", found.What, "put the unit in brackets after the name; "+found.Remedy)
	}
	return float64(q), err
}

// fault is one about a cell, or a whole line when column is below zero.
func (l line) fault(column int, code, what, remedy string) *fault.Error {
	place := fault.Place{Line: l.number}
	if column >= 0 {
		place.Field = "column " + strconv.Itoa(column+1)
	}
	return fault.New(code, what, remedy).At(place)
}

func (l line) figure(column int) (float64, error) {
	value, err := strconv.ParseFloat(strings.ReplaceAll(l.cells[column], "\u2212", "-"), 64)
	if err != nil || math.IsNaN(value) || math.IsInf(value, 0) {
		return 0, l.fault(column, "not_a_number", strconv.Quote(l.cells[column])+" is not a number", "write digits with a decimal point, the unit in the header")
	}
	return value, nil
}
