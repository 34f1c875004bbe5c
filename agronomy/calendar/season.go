package calendar

import (
	"fmt"
	"time"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/geo/fault"
)

// The spans after planting in which the rest of the season's work falls due, in
// days and years; common practice, no source. A stand is counted once it is up
// and can still be sown again; soil is tested again every second or third year,
// and the reminder stands for a month.
const (
	standFromDays = 21
	standToDays   = 35
	soilFromYears = 2
	soilToYears   = 3
	soilMonth     = 30
)

// Season lists what falls due on a plot after a planting day, YYYY-MM-DD: the
// second nitrogen where the mix calls for it (nil where not), the stand count
// and the soil test. Any of it may be moved before it is written.
func Season(plot, planted string, second *mix.Dressing) ([]Event, error) {
	day, err := day(planted, "planted")
	if err != nil {
		return nil, err
	}
	practice := source.Mark{Kind: source.Practice}
	var events []Event
	if second != nil {
		e := span(plot, "Second nitrogen", day, second.Days)
		e.Says, e.Mark = second.Says, second.Mark
		events = append(events, e)
	}
	count := span(plot, "Stand count", day, catalog.Days{From: standFromDays, To: standToDays})
	count.Says, count.Mark = "Count plants in a hoop at ten places and enter the counts", practice
	soil := span(plot, "Soil test", day.AddDate(soilFromYears, 0, 0), catalog.Days{To: soilMonth})
	soil.Says, soil.Mark = fmt.Sprintf("Send soil to the laboratory again, %d to %d years after the last planting; its figures come before any default", soilFromYears, soilToYears), practice
	return append(events, count, soil), nil
}

// span is an event some days after a day.
func span(plot, what string, from time.Time, d catalog.Days) Event {
	return Event{Plot: plot, What: what, From: date(from.AddDate(0, 0, d.From)), To: date(from.AddDate(0, 0, d.To))}
}

func date(t time.Time) string { return t.Format(time.DateOnly) }

// lastYear leaves room for the day after the last one, which iCalendar writes
// in four digits too.
const lastYear = 9998

func day(text, field string) (time.Time, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil || t.Year() < 1 || t.Year() > lastYear {
		return t, fault.New("date", fmt.Sprintf("%q is not a day", text), "write it as 2026-11-25").In(field)
	}
	return t, nil
}
