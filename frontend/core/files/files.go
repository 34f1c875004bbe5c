// Package files reads the outlines and walks that people have in files, and the
// walks that the page recorded. It is apart from door so that only who brings
// one loads what reads it.
package files

import (
	"bytes"

	"evenfall/agronomy/units"
	"evenfall/frontend/core/wire"
	"evenfall/geo/exchange"
	"evenfall/geo/intake"
	"evenfall/geo/walk"
)

// Call answers one request; see wire.Operations.
func Call(name string, request, data []byte) wire.Answer {
	return wire.Operations{"readFile": readFile, "walked": walked}.Answer(name, request, data)
}

type readRequest struct {
	Date    string       `json:"date"`
	Units   units.System `json:"units"`
	Split   bool         `json:"split"`
	OffsetM float64      `json:"offsetM"`
}

// readFile reads the plots of the file that is the call's data.
func readFile(c *wire.Call) (any, error) {
	var q readRequest
	if err := wire.Decode(c.Request, &q); err != nil {
		return nil, err
	}
	found, err := intake.Read(bytes.NewReader(c.Data), intake.Options{
		ReadOptions: exchange.ReadOptions{Split: q.Split}, Walk: walk.Options{OffsetM: q.OffsetM}, Date: q.Date,
	})
	if err != nil {
		return nil, err
	}
	plots := make([]wire.ReadPlot, len(found))
	for i, m := range found {
		plots[i] = wire.NewReadPlot(m.Plot, m.Survey, m.Notes, q.Units)
	}
	return plots, nil
}

type walkedRequest struct {
	Name    string       `json:"name"`
	Date    string       `json:"date"`
	Units   units.System `json:"units"`
	OffsetM float64      `json:"offsetM"`
}

// walked makes a plot of the positions that are the call's data, see
// wire.Fixes.
func walked(c *wire.Call) (any, error) {
	var q walkedRequest
	if err := wire.Decode(c.Request, &q); err != nil {
		return nil, err
	}
	m, err := intake.OfWalk(q.Name, wire.Fixes(c.Data), q.Date, walk.Options{OffsetM: q.OffsetM})
	if err != nil {
		return nil, err
	}
	return wire.NewReadPlot(m.Plot, m.Survey, m.Notes, q.Units), nil
}
