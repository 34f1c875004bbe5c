package store

import (
	"database/sql/driver"
	"encoding/json"
	"fmt"
	"time"
)

// A cell stands between a field and its column, both ways: the same list of
// cells writes a row and reads it. Plain columns need none; database/sql
// follows the pointer.

// instantFormat sorts as text in the order of time.
const instantFormat = "2006-01-02T15:04:05.000Z"

// instant is a time kept as RFC 3339 text in UTC.
type instant struct{ at *time.Time }

func (c instant) Value() (driver.Value, error) { return c.at.UTC().Format(instantFormat), nil }

func (c instant) Scan(src any) (err error) {
	text, ok := src.(string)
	if !ok {
		return fmt.Errorf("a time is kept as %T", src)
	}
	*c.at, err = time.Parse(instantFormat, text)
	return err
}

// optional is text that is NULL when empty.
type optional struct{ text *string }

func (c optional) Value() (driver.Value, error) {
	if *c.text == "" {
		return nil, nil
	}
	return *c.text, nil
}

func (c optional) Scan(src any) error {
	switch text := src.(type) {
	case nil:
		*c.text = ""
	case string:
		*c.text = text
	default:
		return fmt.Errorf("text is kept as %T", src)
	}
	return nil
}

// document is a value kept as JSON text; empty ones are NULL.
type document[T any] struct {
	value *T
	empty func(T) bool
}

func (c document[T]) Value() (driver.Value, error) {
	if c.empty(*c.value) {
		return nil, nil
	}
	text, err := json.Marshal(*c.value)
	return string(text), err
}

func (c document[T]) Scan(src any) error {
	switch text := src.(type) {
	case nil:
		var none T
		*c.value = none
		return nil
	case string:
		return json.Unmarshal([]byte(text), c.value)
	default:
		return fmt.Errorf("a document is kept as %T", src)
	}
}

// list is a slice, or a raw document, kept as JSON text.
func list[S ~[]E, E any](s *S) document[S] {
	return document[S]{s, func(s S) bool { return len(s) == 0 }}
}

// maybe is a pointer's target kept as JSON text.
func maybe[T any](p **T) document[*T] {
	return document[*T]{p, func(p *T) bool { return p == nil }}
}
