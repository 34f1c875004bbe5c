package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"evenfall/geo/fault"
)

// Limits that keep a record readable on one line or one page; our own choice.
const (
	nameRunes = 120
	noteRunes = 4000
)

func checkName(name string) error {
	switch {
	case strings.TrimSpace(name) == "":
		return fault.New("name_empty", "the name is empty", "give it a name").In("name")
	case name != strings.TrimSpace(name):
		return fault.New("name_spaces", "the name begins or ends with a space", "remove the space").In("name")
	}
	return checkText(name, "name", nameRunes, "")
}

// lineSigns are the control characters that text of several lines may hold.
const lineSigns = "\n\t\r"

func checkNote(note string) error { return checkText(note, "note", noteRunes, lineSigns) }

func checkText(text, field string, limit int, allowed string) error {
	if !utf8.ValidString(text) {
		return fault.New("text_encoding", "the "+field+" is not valid UTF-8", "save it as UTF-8").In(field)
	}
	if n := utf8.RuneCountInString(text); n > limit {
		return fault.New("text_long",
			fmt.Sprintf("the %s has %d characters and at most %d are kept", field, n, limit), "shorten it").In(field)
	}
	for _, r := range text {
		if unicode.IsControl(r) && !strings.ContainsRune(allowed, r) {
			return fault.New("text_control", "the "+field+" holds a control character", "remove it").In(field)
		}
	}
	return nil
}

// CheckDay accepts a calendar day as YYYY-MM-DD.
func CheckDay(day, field string) error {
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		return fault.New("date", fmt.Sprintf("%q is not a date", day), "write it as 2026-11-25").In(field)
	}
	return nil
}

// checkObject accepts one JSON object, or nothing where it is optional.
func checkObject(document json.RawMessage, field string, optional bool) error {
	trimmed := bytes.TrimSpace(document)
	if len(trimmed) == 0 && optional {
		return nil
	}
	if !json.Valid(trimmed) || trimmed[0] != '{' {
		return fault.New("not_an_object", "the "+field+" is not a JSON object", "send it as { ... }").In(field)
	}
	return nil
}

func checkReference(id, field string) error {
	if id == "" {
		return fault.New("reference_empty", "the "+field+" is missing", "name the record it belongs to").In(field)
	}
	return nil
}

// first is the first fault of several checks.
func first(checks ...error) error {
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	return nil
}
