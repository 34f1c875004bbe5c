// Package intake makes measured plots of a file: outlines as they are drawn,
// recordings as they were walked, each with its survey.
package intake

import (
	"fmt"
	"io"

	"evenfall/geo"
	"evenfall/geo/exchange"
	"evenfall/geo/fault"
	"evenfall/geo/walk"
)

// Options say how to read and what is known of the measuring.
type Options struct {
	exchange.ReadOptions
	Walk    walk.Options
	Date    string  // of the surveys, YYYY-MM-DD, where the file does not say
	CornerM float64 // standard deviation per axis of a drawn corner; 0 is geo.CornerSigmaM
}

// Measured is one plot with its survey. Walk is what was done to a recording,
// nil for an outline.
type Measured struct {
	geo.Plot
	Survey geo.Survey
	Walk   *walk.Result
	Notes  []string
}

// Read reads every plot of a file. A recording with times is taken as a walk;
// if it is none, its bare outline serves where it makes one, with a note. The
// errors are those of exchange.Read and walk.Trace.
func Read(r io.Reader, o Options) ([]Measured, error) {
	doc, err := exchange.Read(r, o.ReadOptions)
	if err != nil {
		return nil, err
	}
	if o.CornerM == 0 {
		o.CornerM = geo.CornerSigmaM
	}
	walkOf := map[int]exchange.Track{}
	var all []Measured
	for i, track := range doc.Tracks {
		if track.Plot >= 0 {
			walkOf[track.Plot] = track
			continue
		}
		walked, err := o.walked(track)
		if err != nil {
			return nil, inTrack(err, i)
		}
		all = append(all, walked)
	}
	for i, plot := range doc.Plots {
		track, recorded := walkOf[i]
		if !recorded {
			all = append(all, o.drawn(plot))
			continue
		}
		all = append(all, o.walkedOrDrawn(track, plot))
	}
	return all, nil
}

func (o Options) drawn(p geo.Plot) Measured {
	return Measured{Plot: p, Survey: p.Survey(geo.Uploaded, o.Date, o.CornerM)}
}

func (o Options) walked(t exchange.Track) (Measured, error) {
	return OfWalk(t.Name, t.Fixes(), dayOf(t, o.Date), o.Walk)
}

// OfWalk measures a plot by the positions of a walk round it; date is the day
// of the walk, YYYY-MM-DD. The errors are those of walk.Trace.
func OfWalk(name string, fixes []walk.Fix, date string, o walk.Options) (Measured, error) {
	result, err := walk.Trace(name, fixes, o)
	if err != nil {
		return Measured{}, err
	}
	return Measured{
		Plot: result.Plot,
		Survey: geo.Survey{
			Method: geo.Walked, Date: date, AreaM2: result.AreaM2,
			PerimeterM: result.PerimeterM, UncertaintyM2: result.UncertaintyM2,
		},
		Walk: &result, Notes: result.Notes,
	}, nil
}

// walkedOrDrawn prefers the walk; a planned track that carries times but was
// never walked is still an outline.
func (o Options) walkedOrDrawn(t exchange.Track, p geo.Plot) Measured {
	walked, err := o.walked(t)
	if err != nil {
		drawn := o.drawn(p)
		drawn.Notes = []string{fmt.Sprintf("taken as a drawn outline: as a walk it does not work (%v)", err)}
		return drawn
	}
	return walked
}

// dayOf is the day of a recording's first time, in UTC.
func dayOf(t exchange.Track, otherwise string) string {
	for _, p := range t.Points {
		if !p.Time.IsZero() {
			return p.Time.UTC().Format(geo.DateForm)
		}
	}
	return otherwise
}

func inTrack(err error, i int) error {
	if f, ok := fault.From(err); ok {
		where := f.Where
		where.Feature = i + 1
		return f.At(where)
	}
	return err
}
