// Package render writes a sheet in the formats of other programs: the outline,
// the passes in driving order, the start and the refill points.
package render

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/calendar"
	"evenfall/agronomy/units"
	"evenfall/geo"
	"evenfall/geo/coverage"
	"evenfall/geo/exchange"
	"evenfall/geo/passes"
)

// GPX writes each pass as a track, in driving order.
func GPX(w io.Writer, s agronomy.Sheet) error { return exchange.WriteGPX(w, output(s)) }

// GeoJSON writes a feature for the plot, each pass, the start and each refill.
func GeoJSON(w io.Writer, s agronomy.Sheet) error { return exchange.WriteGeoJSON(w, output(s)) }

// KML writes the same as placemarks.
func KML(w io.Writer, s agronomy.Sheet) error { return exchange.WriteKML(w, output(s)) }

// output lays the sheet's local lines back on the ellipsoid.
func output(s agronomy.Sheet) exchange.Output {
	frame := geo.NewFrame(s.Ground.Origin)
	out := exchange.Output{
		Name:  s.Plot,
		Note:  fmt.Sprintf("%s: %d passes", s.Drive.Name, len(s.Drive.Passes)),
		Time:  day(s.Date),
		Plots: []geo.Plot{{Name: s.Plot, Polygon: s.Ground.Outline}},
	}
	for _, p := range s.Drive.Passes {
		out.Lines = append(out.Lines, line(p, frame.LonLatLine(p.Line)))
	}
	for _, k := range s.Ground.KeepOff {
		out.Lines = append(out.Lines, exchange.Line{
			Name: k.Name, Kind: "keep_off", Points: frame.LonLatLine(k.Line),
			Properties: map[string]any{"distance_m": k.DistanceM},
		})
	}
	if len(s.Drive.Passes) > 0 {
		out.Places = append(out.Places, exchange.Place{Name: "Start", Kind: "start", Point: frame.ToLonLat(s.Drive.Start)})
	}
	for _, r := range s.Drive.Refills {
		out.Places = append(out.Places, exchange.Place{
			Name: fmt.Sprintf("Refill after load %d", r.AfterLoad), Kind: "refill", Point: frame.ToLonLat(r.At),
		})
	}
	out.Areas = bands(s, frame)
	return out
}

// bands are the contour bands of the evenness picture, thin to thick, with the
// rate that each gets of the first hopper group.
func bands(s agronomy.Sheet, frame geo.Frame) []exchange.Area {
	picture := s.Evenness.Picture
	if picture == nil || len(s.Spreader.Groups) == 0 {
		return nil
	}
	raster := *picture
	raster.Density = slices.Clone(picture.Density)
	for i, ratio := range raster.Density {
		raster.Density[i] = max(ratio, 0) // off the plot
	}
	rate := s.Spreader.Groups[0].Rate
	var areas []exchange.Area
	for _, b := range coverage.Bands(&raster, coverage.NewMask(&raster, s.Ground.Local), 1, coverage.UsualLimits()) {
		for _, part := range b.Area {
			areas = append(areas, exchange.Area{
				Name: bandName(b, rate, s.System), Kind: "rate_band", Polygon: frame.LonLatPolygon(part),
				Properties: map[string]any{"from_ratio": b.From, "to_ratio": b.To, "share_of_plot": b.Share, "from_kg_per_ha": b.From * rate.KilogramsPerHectare()},
			})
		}
	}
	return areas
}

// bandName is the legend of a band in the person's units.
func bandName(b coverage.Band, rate units.MassPerArea, sys units.System) string {
	from := units.MassPerArea(b.From) * rate
	if b.To == 0 {
		return "over " + from.Format(sys)
	}
	return from.Format(sys) + " to " + (units.MassPerArea(b.To) * rate).Format(sys)
}

func line(p passes.Pass, points orb.LineString) exchange.Line {
	return exchange.Line{
		Name: fmt.Sprintf("Pass %d", p.Order), Kind: string(p.Kind), Order: p.Order, Points: points,
		Properties: map[string]any{"direction": p.Direction, "length_m": p.LengthM},
	}
}

// day is the sheet's date at midnight UTC; zero, which is left out, when it is
// none.
func day(date string) time.Time {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return time.Time{}
	}
	return t
}

// JSON writes the whole sheet, quantities in SI.
func JSON(w io.Writer, s agronomy.Sheet) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	return encoder.Encode(s)
}

// Calendar writes what falls due after the job as iCalendar (RFC 5545). The
// stamp is the day of the job, so that the same sheet gives the same bytes.
func Calendar(w io.Writer, s agronomy.Sheet) error {
	windows := s.Afterwards.Due
	if second := s.Afterwards.TopDressing; second != nil {
		windows = append([]agronomy.Window{*second}, windows...)
	}
	file := calendar.Calendar{Name: s.Plot, Key: season(s.Date)}
	for _, d := range windows {
		file.Events = append(file.Events, calendar.Event{Plot: s.Plot, What: d.What, From: d.From, To: d.To, Says: d.Says, Mark: d.Mark})
	}
	return calendar.Write(w, file, day(s.Date))
}

// season is the year of a date: a job that moves within it moves its events.
func season(date string) string { year, _, _ := strings.Cut(date, "-"); return year }
