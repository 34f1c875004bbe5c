// Package calendar writes what falls due on the plots as an iCalendar file
// (RFC 5545), which any calendar program reads. Own code, some hundred lines,
// because the libraries for it weigh more than that in the browser's core.
package calendar

import (
	"fmt"
	"hash/fnv"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"evenfall/agronomy/source"
	"evenfall/geo/fault"
)

// Event is one thing that is due on whole days, From to To, both included and
// written YYYY-MM-DD.
type Event struct {
	Plot string      `json:"plot"`
	What string      `json:"what"`
	From string      `json:"from"`
	To   string      `json:"to"`
	Says string      `json:"says,omitempty"`
	Mark source.Mark `json:"mark"`
}

// Calendar is one file. Key tells one season's calendar from another's: events
// of the same key, plot and What are the same event to a calendar program, so
// that a file written again after a change moves them instead of adding more.
type Calendar struct {
	Name   string  `json:"name"`
	Key    string  `json:"key"`
	Events []Event `json:"events"`
}

// mostEvents bounds a file; a person has a few dozen plots.
const mostEvents = 10000

// Write writes the calendar. Stamp is when it was made (DTSTAMP): the caller's,
// since the file is otherwise a pure function of its inputs. Nothing is written
// when an event is wrong.
func Write(w io.Writer, c Calendar, stamp time.Time) error {
	if stamp.IsZero() || stamp.UTC().Year() < 1 || stamp.UTC().Year() > lastYear {
		return fault.New("stamp", "the time of writing is missing", "give the time at which the file is made").In("stamp")
	}
	if len(c.Events) > mostEvents {
		return fault.New("events", fmt.Sprintf("%d events are more than the %d that fit a file", len(c.Events), mostEvents), "write one file per property").Of(fault.TooLarge).In("events")
	}
	var out strings.Builder
	line(&out, "BEGIN", "VCALENDAR")
	line(&out, "VERSION", "2.0")
	line(&out, "PRODID", "-//Evenfall//Evenfall//EN")
	line(&out, "CALSCALE", "GREGORIAN")
	if c.Name != "" {
		line(&out, "NAME", text(c.Name)) // RFC 7986
	}
	seen := map[string]int{}
	for i, e := range c.Events {
		key := strings.Join([]string{c.Key, e.Plot, e.What}, "\x00")
		seen[key]++
		if err := e.write(&out, uid(key, seen[key]), stamp); err != nil {
			return err.At(fault.Place{Feature: i + 1, Field: err.Where.Field})
		}
	}
	line(&out, "END", "VCALENDAR")
	_, err := io.WriteString(w, out.String())
	return err
}

func (e Event) write(out *strings.Builder, uid string, stamp time.Time) *fault.Error {
	from, err := day(e.From, "from")
	if err != nil {
		found, _ := fault.From(err)
		return found
	}
	to, err := day(e.To, "to")
	if err != nil {
		found, _ := fault.From(err)
		return found
	}
	if to.Before(from) {
		return fault.New("span", fmt.Sprintf("%s ends before it begins", e.What), "exchange the days").In("to")
	}
	line(out, "BEGIN", "VEVENT")
	line(out, "UID", uid)
	line(out, "DTSTAMP", stamp.UTC().Format("20060102T150405Z"))
	line(out, "DTSTART;VALUE=DATE", from.Format("20060102"))
	line(out, "DTEND;VALUE=DATE", to.AddDate(0, 0, 1).Format("20060102")) // the first day after
	line(out, "SUMMARY", text(e.summary()))
	if says := e.description(); says != "" {
		line(out, "DESCRIPTION", text(says))
	}
	line(out, "TRANSP", "TRANSPARENT") // the person stays free on these days
	line(out, "END", "VEVENT")
	return nil
}

func (e Event) summary() string {
	if e.Plot == "" {
		return e.What
	}
	return e.What + ": " + e.Plot
}

func (e Event) description() string {
	if e.Mark.Kind == "" {
		return e.Says
	}
	return strings.TrimSpace(e.Says + " (" + e.Mark.String() + ")")
}

// uid is the same for the same key, and different for a second event under it.
func uid(key string, count int) string {
	h := fnv.New128a()
	fmt.Fprintf(h, "%s\x00%d", key, count)
	return fmt.Sprintf("%x@evenfall", h.Sum(nil))
}

// text escapes a TEXT value (RFC 5545, 3.3.11) and drops what it cannot hold:
// control characters and bytes that are no UTF-8.
func text(s string) string {
	s = strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\r\n", "\n")
	var out strings.Builder
	for _, r := range s {
		switch {
		case r == '\n' || r == '\r':
			out.WriteString(`\n`)
		case r == '\\' || r == ';' || r == ',':
			out.WriteByte('\\')
			out.WriteRune(r)
		case r < ' ' && r != '\t' || r == 0x7f:
			// not allowed in a value
		default:
			out.WriteRune(r)
		}
	}
	return out.String()
}

// most is the octets of a line without its break (RFC 5545, 3.1).
const most = 75

// line writes one content line, folded between characters, ended by CRLF.
func line(out *strings.Builder, name, value string) {
	rest := name + ":" + value
	room := most
	for len(rest) > room {
		cut := room
		for cut > 0 && !utf8.RuneStart(rest[cut]) {
			cut--
		}
		out.WriteString(rest[:cut] + "\r\n ")
		rest, room = rest[cut:], most-1 // the space counts
	}
	out.WriteString(rest + "\r\n")
}
