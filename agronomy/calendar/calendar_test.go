package calendar_test

import (
	"bytes"
	"encoding/csv"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"evenfall/agronomy/calendar"
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

var made = time.Date(2026, 11, 25, 9, 30, 0, 0, time.FixedZone("CST", -6*3600))

func written(t testing.TB, c calendar.Calendar) string {
	t.Helper()
	var out bytes.Buffer
	if err := calendar.Write(&out, c, made); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// property is one content line, read by the rules of RFC 5545 and not by the
// code under test.
type property struct{ name, params, value string }

// properties unfolds a file and checks what section 3.1 asks of its lines.
func properties(t testing.TB, file string) []property {
	t.Helper()
	if !strings.HasSuffix(file, "\r\n") {
		t.Fatal("the file does not end with CRLF")
	}
	for _, raw := range strings.Split(strings.TrimSuffix(file, "\r\n"), "\r\n") {
		if len(raw) > 75 {
			t.Errorf("a line of %d octets: %q", len(raw), raw)
		}
		if strings.ContainsAny(raw, "\r\n") {
			t.Errorf("a bare line break in %q", raw)
		}
		if !utf8.ValidString(raw) {
			t.Errorf("a character cut in two: %q", raw)
		}
		for _, r := range raw {
			if r < ' ' && r != '\t' || r == 0x7f {
				t.Errorf("a control character in %q", raw)
			}
		}
	}
	var all []property
	unfolded := strings.ReplaceAll(file, "\r\n ", "")
	for _, l := range strings.Split(strings.TrimSuffix(unfolded, "\r\n"), "\r\n") {
		head, value, ok := strings.Cut(l, ":")
		if !ok {
			t.Fatalf("no colon in %q", l)
		}
		name, params, _ := strings.Cut(head, ";")
		if !regexp.MustCompile(`^[A-Z-]+$`).MatchString(name) {
			t.Errorf("%q is no name", name)
		}
		all = append(all, property{name, params, value})
	}
	return all
}

// plain reads a TEXT value back (3.3.11).
func plain(t testing.TB, value string) string {
	t.Helper()
	var out strings.Builder
	for i := 0; i < len(value); i++ {
		switch c := value[i]; {
		case c == ';' || c == ',':
			t.Errorf("%q is not escaped in %q", c, value)
		case c != '\\':
			out.WriteByte(c)
		case i+1 == len(value):
			t.Errorf("a lone backslash ends %q", value)
		default:
			i++
			switch value[i] {
			case 'n', 'N':
				out.WriteByte('\n')
			case '\\', ';', ',':
				out.WriteByte(value[i])
			default:
				t.Errorf("%q escapes %q", value, value[i])
			}
		}
	}
	return out.String()
}

// events groups properties by component and checks the nesting and what 3.6.1
// asks of each event.
func events(t testing.TB, file string) []map[string]property {
	t.Helper()
	all := properties(t, file)
	if all[0] != (property{"BEGIN", "", "VCALENDAR"}) || all[len(all)-1] != (property{"END", "", "VCALENDAR"}) {
		t.Fatal("not one VCALENDAR")
	}
	head := map[string]string{}
	var list []map[string]property
	var current map[string]property
	for _, p := range all[1 : len(all)-1] {
		switch {
		case p.name == "BEGIN" && p.value == "VEVENT" && current == nil:
			current = map[string]property{}
		case p.name == "END" && p.value == "VEVENT" && current != nil:
			list = append(list, current)
			current = nil
		case current == nil:
			head[p.name] = p.value
		default:
			if _, twice := current[p.name]; twice {
				t.Errorf("%s is there twice", p.name)
			}
			current[p.name] = p
		}
	}
	if head["VERSION"] != "2.0" || head["PRODID"] == "" || current != nil {
		t.Errorf("the calendar's head is %v", head)
	}
	for _, e := range list {
		for _, name := range []string{"UID", "DTSTAMP", "DTSTART", "SUMMARY"} {
			if e[name].value == "" {
				t.Errorf("no %s in %v", name, e)
			}
		}
		for _, name := range []string{"DTSTART", "DTEND"} {
			if e[name].params != "VALUE=DATE" || !regexp.MustCompile(`^\d{8}$`).MatchString(e[name].value) {
				t.Errorf("%s is no date: %v", name, e[name])
			}
		}
	}
	return list
}

func season(t testing.TB, plot, material string) []calendar.Event {
	t.Helper()
	cat, err := catalog.Default()
	if err != nil {
		t.Fatal(err)
	}
	r, err := mix.Mix{Name: "m", Items: []mix.Item{{Material: material, Rate: mix.Rate{N: 50 * units.PoundPerAcre}}}}.Amounts(units.Acre, cat, units.US)
	if err != nil {
		t.Fatal(err)
	}
	due, err := calendar.Season(plot, "2026-04-20", r.Dressing)
	if err != nil {
		t.Fatal(err)
	}
	return due
}

func TestSeasonOfPlainUrea(t *testing.T) {
	file := written(t, calendar.Calendar{Name: "Hollow Ridge", Key: "2026", Events: season(t, "Far corner", "46-0-0")})
	got := events(t, file)
	if len(got) != 3 {
		t.Fatalf("%d events", len(got))
	}
	second := got[0]
	for name, want := range map[string]string{
		"DTSTAMP": "20261125T153000Z", "DTSTART": "20260518", "DTEND": "20260602", // 28 to 42 days, the end not included
		"SUMMARY": "Second nitrogen: Far corner", "TRANSP": "TRANSPARENT",
	} {
		if second[name].value != want {
			t.Errorf("%s is %q, want %q", name, second[name].value, want)
		}
	}
	if says := plain(t, second["DESCRIPTION"].value); !strings.Contains(says, "4 to 6 weeks") || !strings.Contains(says, "common practice, no source") {
		t.Errorf("the description is %q", says)
	}
	if len(events(t, written(t, calendar.Calendar{Events: season(t, "Far corner", "44-0-0")}))) != 2 {
		t.Error("slow nitrogen needs no second dressing")
	}
}

// The window of the calendar is that of the worked case and overlaps the
// printed one.
func TestSecondNitrogenKeepsToTheReference(t *testing.T) {
	cell := func(path, id string, column int) string {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			if r[0] == id {
				return r[column]
			}
		}
		t.Fatalf("no row %s", id)
		return ""
	}
	days := func(id string) int {
		weeks, err := strconv.Atoi(cell("../../testdata/worked-case.csv", id, 2))
		if err != nil {
			t.Fatal(err)
		}
		return 7 * weeks
	}
	planted := time.Date(2026, 4, 20, 0, 0, 0, 0, time.UTC)
	after := func(n int) string { return planted.AddDate(0, 0, n).Format(time.DateOnly) }
	e := season(t, "p", "46-0-0")[0]
	if e.From != after(days("dressing_from")) || e.To != after(days("dressing_to")) {
		t.Errorf("the window is %s to %s", e.From, e.To)
	}
	printed := cell("../../testdata/reference/agronomy.csv", "SPLIT", 3)
	from, to, ok := strings.Cut(printed, " to ")
	low, err1 := strconv.Atoi(from)
	high, err2 := strconv.Atoi(to)
	if !ok || err1 != nil || err2 != nil {
		t.Fatalf("cannot read %q", printed)
	}
	if e.To < after(low) || e.From > after(high) {
		t.Errorf("%s to %s lies outside the printed %s days", e.From, e.To, printed)
	}
}

func TestUIDsStayAndDiffer(t *testing.T) {
	due := append(season(t, "A", "46-0-0"), season(t, "B", "46-0-0")...)
	due = append(due, due[0])
	seen := map[string]bool{}
	first := events(t, written(t, calendar.Calendar{Key: "2026", Events: due}))
	for _, e := range first {
		if seen[e["UID"].value] {
			t.Errorf("%s is there twice", e["UID"].value)
		}
		seen[e["UID"].value] = true
	}
	due[0].From, due[0].To = "2026-06-01", "2026-06-02"
	if again := events(t, written(t, calendar.Calendar{Key: "2026", Events: due})); again[0]["UID"] != first[0]["UID"] {
		t.Error("a moved event has become another one")
	}
	if other := events(t, written(t, calendar.Calendar{Key: "2027", Events: due})); other[0]["UID"] == first[0]["UID"] {
		t.Error("next season's event replaces this one's")
	}
}

func TestSameInputsSameBytes(t *testing.T) {
	c := calendar.Calendar{Name: "n", Key: "k", Events: season(t, "A", "46-0-0")}
	if written(t, c) != written(t, c) {
		t.Error("differs")
	}
}

func TestFaults(t *testing.T) {
	good := calendar.Event{What: "w", From: "2026-01-01", To: "2026-01-02"}
	with := func(change func(*calendar.Event)) calendar.Calendar {
		e := good
		change(&e)
		return calendar.Calendar{Events: []calendar.Event{good, e}}
	}
	for _, tt := range []struct {
		code, field string
		c           calendar.Calendar
		stamp       time.Time
	}{
		{"stamp", "stamp", calendar.Calendar{}, time.Time{}},
		{"date", "from", with(func(e *calendar.Event) { e.From = "1 May" }), made},
		{"date", "to", with(func(e *calendar.Event) { e.To = "2026-02-30" }), made},
		{"date", "to", with(func(e *calendar.Event) { e.To = "9999-12-31" }), made},
		{"span", "to", with(func(e *calendar.Event) { e.To = "2025-12-31" }), made},
		{"events", "events", calendar.Calendar{Events: make([]calendar.Event, 10001)}, made},
	} {
		var out bytes.Buffer
		f, ok := fault.From(calendar.Write(&out, tt.c, tt.stamp))
		if !ok || f.Code != tt.code || f.Where.Field != tt.field || f.Remedy == "" {
			t.Errorf("%s: got %+v", tt.code, f)
		}
		if out.Len() > 0 {
			t.Errorf("%s: something was written", tt.code)
		}
	}
	if _, err := calendar.Season("p", "soon", nil); err == nil {
		t.Error("a planting day that is none is taken")
	}
}

// Whatever a person types, the file keeps the rules and gives the words back.
func FuzzWrite(f *testing.F) {
	f.Add("Far corner", "Second nitrogen", "a, b; c\\d\nnext", "k")
	f.Add(strings.Repeat("ä", 80), strings.Repeat("x", 75), "\x00\r\n\x7f", "")
	f.Add("\xff\xfe", "w", "日本語のとても長い説明"+strings.Repeat("。", 60), "k")
	f.Fuzz(func(t *testing.T, plot, what, says, key string) {
		c := calendar.Calendar{Name: plot, Key: key, Events: []calendar.Event{{Plot: plot, What: what + "w", From: "2026-01-01", To: "2026-01-01", Says: says}}}
		got := events(t, written(t, c))
		if len(got) != 1 {
			t.Fatalf("%d events", len(got))
		}
		clean := func(s string) string {
			s = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.ToValidUTF8(s, "\uFFFD"))
			return strings.Map(func(r rune) rune {
				if r < ' ' && r != '\t' && r != '\n' || r == 0x7f {
					return -1
				}
				return r
			}, s)
		}
		if back := plain(t, got[0]["DESCRIPTION"].value); back != clean(says) && strings.TrimSpace(back) != strings.TrimSpace(clean(says)) {
			t.Errorf("%q came back as %q", clean(says), back)
		}
	})
}

func BenchmarkWrite(b *testing.B) {
	c := calendar.Calendar{Name: "n", Key: "k"}
	for range 20 {
		c.Events = append(c.Events, season(b, "plot", "46-0-0")...)
	}
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		if err := calendar.Write(&out, c, made); err != nil {
			b.Fatal(err)
		}
	}
}
