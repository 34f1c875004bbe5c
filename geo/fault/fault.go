// Package fault is the one way Evenfall says that an input is wrong: what is
// wrong, where it is and what to do about it. Every decoder, validator and
// calculator below the server returns these, and every output renders them.
package fault

import (
	"errors"
	"fmt"
	"strings"
)

// Kind sorts faults by who has to act; the server maps each to one status.
type Kind string

const (
	Invalid  Kind = "invalid"   // the input breaks a rule; the user changes it
	Unread   Kind = "unread"    // the bytes are not in a format that is known
	TooLarge Kind = "too_large" // the input passes a stated limit
	Missing  Kind = "missing"   // what was asked for is not there
	Conflict Kind = "conflict"  // it changed since it was read
	Refused  Kind = "refused"   // feasible to say, wrong to do (limits, safety)
)

// Place says where in the input a fault lies. Counts start at one; zero means
// that the figure does not apply.
type Place struct {
	Feature int       `json:"feature,omitempty"` // which feature, track or placemark
	Ring    int       `json:"ring,omitempty"`    // 1 is the outer ring, 2 the first hole
	Vertex  int       `json:"vertex,omitempty"`  // corner within the ring
	Corners []int     `json:"corners,omitempty"` // of the ring: every corner that the sentence names, each once
	Line    int       `json:"line,omitempty"`    // line of the file
	LonLat  []float64 `json:"lon_lat,omitempty"` // degrees, longitude first
	Field   string    `json:"field,omitempty"`   // name of the offending field
}

// Error is one fault. Code is a short stable word for programs; What and
// Remedy are sentences for people, with no full stop at the end.
type Error struct {
	Kind   Kind   `json:"kind"`
	Code   string `json:"code"`
	What   string `json:"what"`
	Where  Place  `json:"where,omitzero"`
	Remedy string `json:"remedy,omitempty"`
}

// New makes a fault of the invalid kind, the commonest.
func New(code, what, remedy string) *Error {
	return &Error{Kind: Invalid, Code: code, What: what, Remedy: remedy}
}

// Of sets the kind and returns the same fault, for chaining.
func (e *Error) Of(k Kind) *Error { e.Kind = k; return e }

// At sets the place and returns the same fault, for chaining.
func (e *Error) At(p Place) *Error { e.Where = p; return e }

// In names the offending field and returns the same fault, for chaining.
func (e *Error) In(field string) *Error { e.Where.Field = field; return e }

// Error is the sentence a terminal shows: where, what, remedy.
func (e *Error) Error() string {
	var b strings.Builder
	if place := e.Where.String(); place != "" {
		b.WriteString(place + ": ")
	}
	b.WriteString(e.What)
	if e.Remedy != "" {
		b.WriteString("; " + e.Remedy)
	}
	return b.String()
}

// String lists the parts of the place that are known, coarse to fine.
func (p Place) String() string {
	var parts []string
	add := func(name string, n int) {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%s %d", name, n))
		}
	}
	add("line", p.Line)
	add("feature", p.Feature)
	add("ring", p.Ring)
	add("corner", p.Vertex)
	if p.Field != "" {
		parts = append(parts, p.Field)
	}
	if len(p.LonLat) == 2 {
		parts = append(parts, fmt.Sprintf("at longitude %.6f latitude %.6f", p.LonLat[0], p.LonLat[1]))
	}
	return strings.Join(parts, ", ")
}

// From finds a fault in an error chain; ok is false when there is none.
func From(err error) (found *Error, ok bool) {
	ok = errors.As(err, &found)
	return found, ok
}
