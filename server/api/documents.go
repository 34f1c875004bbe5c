package api

import (
	"context"
	"encoding/json"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/geo/fault"
	"evenfall/server/record"
)

// checkedSpreaders is the shelf of spreaders for clients: a document is kept
// only when agronomy can read it, and under the name that stands in it.
type checkedSpreaders struct{ record.Shelf[record.Spreader] }

// Create keeps a spreader that agronomy can read.
func (c checkedSpreaders) Create(ctx context.Context, s record.Spreader) (record.Spreader, error) {
	if err := nameSpreader(&s); err != nil {
		return s, err
	}
	return c.Shelf.Create(ctx, s)
}

// Update keeps a changed spreader that agronomy can read.
func (c checkedSpreaders) Update(ctx context.Context, s record.Spreader) (record.Spreader, error) {
	if err := nameSpreader(&s); err != nil {
		return s, err
	}
	return c.Shelf.Update(ctx, s)
}

func nameSpreader(s *record.Spreader) error {
	read, err := readDocument[spreader.Spreader](s.Document, "document")
	s.Name = read.Name
	return err
}

// checkedMixes is the shelf of mixes for clients, likewise.
type checkedMixes struct{ record.Shelf[record.Mix] }

// Create keeps a mix that agronomy can read.
func (c checkedMixes) Create(ctx context.Context, m record.Mix) (record.Mix, error) {
	if err := nameMix(&m); err != nil {
		return m, err
	}
	return c.Shelf.Create(ctx, m)
}

// Update keeps a changed mix that agronomy can read.
func (c checkedMixes) Update(ctx context.Context, m record.Mix) (record.Mix, error) {
	if err := nameMix(&m); err != nil {
		return m, err
	}
	return c.Shelf.Update(ctx, m)
}

func nameMix(m *record.Mix) error {
	read, err := readDocument[mix.Mix](m.Document, "document")
	m.Name = read.Name
	return err
}

// readDocument decodes and validates a document of agronomy; faults name the
// field below the one given.
func readDocument[T interface{ Validate() error }](document json.RawMessage, field string) (T, error) {
	var read T
	if len(document) == 0 {
		return read, fault.New("document_missing", "there is no "+field, "send it as { ... }").In(field)
	}
	err := decodeJSON(document, &read)
	if err == nil {
		err = read.Validate()
	}
	return read, below(field, err)
}

// below puts a fault's field under another. The line is dropped, since it
// counts from the start of the part and not of the body.
func below(field string, err error) error {
	found, ok := fault.From(err)
	if !ok {
		return err
	}
	found.Where.Line = 0
	if found.Where.Field != "" {
		field += "." + found.Where.Field
	}
	return found.In(field)
}

// checkOptions accepts none, or options as agronomy reads them.
func checkOptions(options json.RawMessage) error {
	_, err := readOptions(options, "driver")
	return err
}

func readOptions(options json.RawMessage, field string) (read agronomy.Options, err error) {
	if len(options) > 0 {
		err = below(field, decodeJSON(options, &read))
	}
	return read, err
}
