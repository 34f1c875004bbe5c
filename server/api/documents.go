package api

import (
	"encoding/json"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/geo/fault"
	"evenfall/server/record"
)

// nameSpreader takes only a document that agronomy can read, and keeps it under
// the name that stands in it.
func nameSpreader(s *record.Spreader) error {
	read, err := readDocument[spreader.Spreader](s.Document, "document")
	s.Name = read.Name
	return err
}

// nameMix does the same for a mix.
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
