package door

import (
	"encoding/json"
	"math"
	"strings"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

type formatRequest struct {
	Items []formatItem `json:"items"`
	Units units.System `json:"units"`
}

type formatItem struct {
	As    string     `json:"as"`
	Value figureOrNo `json:"value"`
	What  string     `json:"what"`
}

// figureOrNo is a number, a text (a date), or neither: a page that is still
// empty formats what it does not have.
type figureOrNo struct {
	number float64
	text   string
}

// UnmarshalJSON takes anything; what is no number is NaN.
func (f *figureOrNo) UnmarshalJSON(data []byte) error {
	f.number = math.NaN()
	if json.Unmarshal(data, &f.text) == nil {
		return nil
	}
	if json.Unmarshal(data, &f.number) != nil || string(data) == "null" {
		f.number = math.NaN()
	}
	return nil
}

func format(q formatRequest) ([]string, error) {
	words := make([]string, len(q.Items))
	for i, item := range q.Items {
		words[i] = wordsFor(item, q.Units)
	}
	return words, nil
}

// wordings write a number of one kind.
var wordings = map[string]func(v float64, what string, s units.System) string{
	"area":            func(v float64, _ string, s units.System) string { return units.Area(v).Format(s) },
	"length":          func(v float64, _ string, s units.System) string { return units.Length(v).Format(s) },
	"mass":            func(v float64, _ string, s units.System) string { return units.Mass(v).Format(s) },
	"volume":          func(v float64, _ string, s units.System) string { return units.Volume(v).Format(s) },
	"duration":        func(v float64, _ string, _ units.System) string { return units.Duration(v).Format() },
	"speed":           func(v float64, _ string, s units.System) string { return units.Speed(v).Format(s) },
	"temperature":     func(v float64, _ string, s units.System) string { return units.Temperature(v).Format(s) },
	"mass_per_area":   func(v float64, _ string, s units.System) string { return units.MassPerArea(v).Format(s) },
	"volume_per_area": func(v float64, _ string, s units.System) string { return units.VolumePerArea(v).Format(s) },
	"count_per_area":  func(v float64, what string, s units.System) string { return units.CountPerArea(v).FormatOf(what, s) },
	"count_close":     func(v float64, what string, s units.System) string { return units.CountPerArea(v).FormatClose(what, s) },
	"count_per_mass":  func(v float64, what string, s units.System) string { return units.CountPerMass(v).FormatOf(what, s) },
	"density":         func(v float64, _ string, s units.System) string { return units.Density(v).Format(s) },
	"flow":            func(v float64, _ string, s units.System) string { return units.Flow(v).Format(s) },
	"course":          func(v float64, _ string, s units.System) string { return units.Speed(v).FormatCourse(s) },
	"percent":         func(v float64, _ string, _ units.System) string { return units.Percent(v) },
	"bags":            func(v float64, _ string, _ units.System) string { return units.Bags(v) },
	"count":           func(v float64, _ string, _ units.System) string { return units.Count(v) },
	"money":           func(v float64, _ string, _ units.System) string { return units.Money(v) },
}

// unknownFigure stands where there is no figure to write.
const unknownFigure = "–"

func wordsFor(item formatItem, system units.System) string {
	if item.As == "date" {
		return units.Date(item.Value.text)
	}
	write, known := wordings[item.As]
	if v := item.Value.number; !known || math.IsNaN(v) || math.IsInf(v, 0) {
		return unknownFigure
	}
	return write(item.Value.number, item.What, system)
}

type parseRequest struct {
	Items []parseItem `json:"items"`
}

type parseItem struct {
	Kind string `json:"kind"`
	Text string `json:"text"`
	Unit string `json:"unit"`
}

// parsed has one of the two.
type parsed struct {
	Value *float64     `json:"value,omitempty"`
	Fault *fault.Error `json:"fault,omitempty"`
}

// parsers read a quantity of one kind.
var parsers = map[string]func(string) (float64, error){
	"area":            reader(units.ParseArea),
	"length":          reader(units.ParseLength),
	"mass":            reader(units.ParseMass),
	"volume":          reader(units.ParseVolume),
	"duration":        reader(units.ParseDuration),
	"speed":           reader(units.ParseSpeed),
	"temperature":     reader(units.ParseTemperature),
	"mass_per_area":   reader(units.ParseMassPerArea),
	"volume_per_area": reader(units.ParseVolumePerArea),
	"count_per_area":  reader(units.ParseCountPerArea),
	"count_per_mass":  reader(units.ParseCountPerMass),
	"density":         reader(units.ParseDensity),
	"flow":            reader(units.ParseFlow),
}

func reader[Q ~float64](parse func(string) (Q, error)) func(string) (float64, error) {
	return func(text string) (float64, error) {
		q, err := parse(text)
		return float64(q), err
	}
}

// bare tells a number without a unit.
func bare(text string) bool { return text != "" && strings.Trim(text, "0123456789.,/½¼¾+- ") == "" }

func parse(q parseRequest) ([]parsed, error) {
	answers := make([]parsed, len(q.Items))
	for i, item := range q.Items {
		answers[i] = parseOne(item)
	}
	return answers, nil
}

func parseOne(item parseItem) parsed {
	read, known := parsers[item.Kind]
	if !known {
		return parsed{Fault: fault.New("kind", "there is no quantity of the kind "+item.Kind, "load the page again")}
	}
	text := strings.TrimSpace(item.Text)
	if item.Unit != "" && bare(text) {
		text += " " + item.Unit
	}
	value, err := read(text)
	if err != nil {
		found, ok := fault.From(err)
		if !ok {
			found = fault.New("quantity", err.Error(), "write a number and its unit")
		}
		return parsed{Fault: found}
	}
	return parsed{Value: &value}
}

type legendRequest struct {
	Ratios []float64          `json:"ratios"`
	Rate   units.MassPerArea  `json:"rate_kg_per_m2"`
	Pieces units.CountPerArea `json:"pieces_per_m2"`
	What   string             `json:"what"`
	Units  units.System       `json:"units"`
}

func legend(q legendRequest) ([]string, error) {
	words := make([]string, len(q.Ratios))
	for i, ratio := range q.Ratios {
		if q.Pieces > 0 {
			words[i] = (units.CountPerArea(ratio) * q.Pieces).FormatClose(q.What, q.Units)
		} else {
			words[i] = (units.MassPerArea(ratio) * q.Rate).Format(q.Units)
		}
	}
	return words, nil
}
