// Package outline turns a file that a person has into plots with the surveys
// that they amount to: a drawn outline as it is, a recorded walk as package
// walk makes of it.
package outline

import (
	"errors"
	"io"
	"strings"
	"time"

	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/exchange"
	"evenfall/geo/fault"
	"evenfall/geo/walk"
)

// Reading says how to read. Now dates what the file does not date, and its
// zone tells on which day a recording was made. Offset is how far inside
// (positive) or outside the edge a recording was walked or driven. Name is for
// a lone plot without one; Split makes a plot of every part of an outline.
type Reading struct {
	Now    time.Time
	Name   string
	Split  bool
	Offset units.Length
}

// Measured is one plot of a file with its survey.
type Measured struct {
	Plot   geo.Plot
	Survey geo.Survey
}

// Read reads a file of any format that package exchange knows. The error is a
// *fault.Error for everything that is wrong with the content; any other comes
// from the reader.
func Read(file io.Reader, how Reading) ([]Measured, error) {
	document, err := exchange.Read(file, exchange.ReadOptions{Name: how.Name, Split: how.Split})
	if err != nil {
		return nil, err
	}
	walked := map[int]Measured{} // by the index of the outline that each takes the place of
	var apart []Measured
	for i, track := range document.Tracks {
		m, err := how.walked(track)
		if err != nil {
			return nil, inTrack(err, i, len(document.Tracks))
		}
		if track.Plot < 0 {
			apart = append(apart, m)
			continue
		}
		walked[track.Plot] = m
	}
	var all []Measured
	for i, plot := range document.Plots {
		m, ok := walked[i]
		if !ok {
			m = Measured{plot, plot.Survey(geo.Uploaded, how.Now.Format(time.DateOnly), 0)}
		}
		all = append(all, m)
	}
	return append(all, apart...), nil
}

// walked measures a recording.
func (how Reading) walked(track exchange.Track) (Measured, error) {
	name := track.Name
	if name == "" {
		name = how.Name
	}
	result, err := walk.Trace(name, track.Fixes(), walk.Options{OffsetM: float64(how.Offset)})
	if err != nil {
		return Measured{}, err
	}
	return Measured{result.Plot, geo.Survey{
		Method:        geo.Walked,
		Date:          how.dayOf(track),
		AreaM2:        result.AreaM2,
		PerimeterM:    result.PerimeterM,
		UncertaintyM2: result.UncertaintyM2,
		Note:          strings.Join(result.Notes, " "),
	}}, nil
}

// dayOf is the day of the first time in a recording.
func (how Reading) dayOf(track exchange.Track) string {
	for _, p := range track.Points {
		if !p.Time.IsZero() {
			return p.Time.In(how.Now.Location()).Format(time.DateOnly)
		}
	}
	return how.Now.Format(time.DateOnly)
}

// inTrack says which of several recordings is at fault.
func inTrack(err error, i, of int) error {
	var found *fault.Error
	if errors.As(err, &found) && of > 1 && found.Where.Feature == 0 {
		found.Where.Feature = i + 1
	}
	return err
}
