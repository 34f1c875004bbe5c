package units

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// Where a person changes the unit that they speak in.
const (
	squareFeetBelow = 0.1 * Acre
	hectaresFrom    = Hectare
	milesFrom       = Mile
	kilometresFrom  = Length(2000)
	wholeFeetFrom   = 100 * Foot
	inchesBelow     = 2 * Foot
)

// Format writes acres, or square feet for a patch under a tenth of an acre;
// square metres, or hectares from one up.
func (a Area) Format(s System) string {
	switch {
	case s == Metric && abs(a) < hectaresFrom:
		return rounded3(a.SquareMetres()) + " m²"
	case s == Metric:
		return decimals(a.Hectares(), 2) + " ha"
	case abs(a) < squareFeetBelow:
		return rounded3(a.SquareFeet()) + " sq ft"
	default:
		return decimals(a.Acres(), 2) + " ac"
	}
}

// Format writes what a tape shows: inches to the quarter, then feet and
// inches, whole feet from a hundred up, miles from one up.
func (l Length) Format(s System) string {
	if s == Metric {
		return l.formatMetric()
	}
	switch {
	case l == 0: // of no distance at all nobody says how many inches
		return "0 ft"
	case abs(l) < inchesBelow:
		return quarters(l.Inches()) + " in"
	case abs(l) < wholeFeetFrom:
		return feetAndInches(l)
	case abs(l) < milesFrom:
		return decimals(l.Feet(), 0) + " ft"
	default:
		return decimals(l.Miles(), 2) + " mi"
	}
}

func (l Length) formatMetric() string {
	switch {
	case l == 0:
		return "0 m"
	case abs(l) < 1:
		return decimals(l.Metres()*100, 1) + " cm"
	case abs(l) < kilometresFrom:
		return brief(l.Metres()) + " m"
	default:
		return decimals(l.Metres()/1000, 2) + " km"
	}
}

func feetAndInches(l Length) string {
	inches := math.Round(l.Inches())
	feet := math.Trunc(inches / 12)
	rest := math.Abs(inches - 12*feet)
	if rest == 0 {
		return decimals(feet, 0) + " ft"
	}
	return decimals(feet, 0) + " ft " + decimals(rest, 0) + " in"
}

// Format writes dry measure to the quarter: cups, pints, quarts, and bushels
// from one up. Below an eighth of a cup it writes cubic inches.
func (v Volume) Format(s System) string {
	if s == Metric {
		if abs(v) < Litre {
			return brief(v.Litres()*1000) + " mL"
		}
		return brief(v.Litres()) + " L"
	}
	switch {
	case abs(v) < DryCup/8:
		return decimals(float64(v/CubicInch), 1) + " cu in"
	case abs(v) < DryPint:
		return quarters(v.DryCups()) + " cup"
	case abs(v) < DryQuart:
		return quarters(v.DryPints()) + " pt"
	case abs(v) < Bushel:
		return quarters(v.DryQuarts()) + " qt"
	default:
		return quarters(v.Bushels()) + " bu"
	}
}

// Format writes ounces below a pound, else pounds; grams or kilograms.
func (m Mass) Format(s System) string {
	switch {
	case s == Metric && abs(m) < 1:
		return brief(m.Grams()) + " g"
	case s == Metric:
		return brief(m.Kilograms()) + " kg"
	case abs(m) < Pound:
		return brief(m.Ounces()) + " oz"
	default:
		return brief(m.Pounds()) + " lb"
	}
}

// Format writes seconds to the tenth, then minutes and seconds, then whole
// minutes from ten up, then hours and minutes.
func (d Duration) Format() string {
	seconds := math.Round(math.Abs(d.Seconds()))
	switch {
	case math.Abs(d.Seconds()) < 60:
		return decimals(d.Seconds(), 1) + " s"
	case seconds < 600:
		return d.sign() + twoUnits(seconds, 60, " min", " s")
	default:
		return d.sign() + twoUnits(math.Round(seconds/60), 60, " h", " min")
	}
}

func (d Duration) sign() string {
	if d < 0 {
		return "-"
	}
	return ""
}

// twoUnits writes a whole count of small units as large and small ones,
// leaving out whichever is zero.
func twoUnits(count, per float64, large, small string) string {
	big := math.Floor(count / per)
	rest := count - per*big
	switch {
	case big == 0:
		return decimals(rest, 0) + small
	case rest == 0:
		return decimals(big, 0) + large
	default:
		return decimals(big, 0) + large + " " + decimals(rest, 0) + small
	}
}

// Format writes miles or kilometres an hour to the tenth.
func (v Speed) Format(s System) string {
	if s == Metric {
		return decimals(v.KPH(), 1) + " km/h"
	}
	return decimals(v.MPH(), 1) + " mph"
}

// FormatCourse writes the seconds over 88 feet, which is how a speed is
// checked with a watch; over 30 m for metric readers.
func (v Speed) FormatCourse(s System) string {
	if s == Metric {
		return decimals(v.Over(30).Seconds(), 1) + " s over 30 m"
	}
	return decimals(v.Per88Feet().Seconds(), 1) + " s over 88 ft"
}

// Format writes whole degrees.
func (t Temperature) Format(s System) string {
	if s == Metric {
		return decimals(t.Celsius(), 0) + " °C"
	}
	return decimals(t.Fahrenheit(), 0) + " °F"
}

// Format writes pounds per acre or kilograms per hectare.
func (r MassPerArea) Format(s System) string {
	if s == Metric {
		return brief(r.KilogramsPerHectare()) + " kg/ha"
	}
	return brief(r.PoundsPerAcre()) + " lb/ac"
}

// Format writes dry quarts per acre, bushels from one up, or litres per hectare.
func (r VolumePerArea) Format(s System) string {
	switch {
	case s == Metric:
		return brief(r.LitresPerHectare()) + " L/ha"
	case r < BushelPerAcre:
		return quarters(r.DryQuartsPerAcre()) + " qt/ac"
	default:
		return quarters(r.BushelsPerAcre()) + " bu/ac"
	}
}

// FormatOf writes how many of something lie on an acre or a hectare, such as
// seeds, to three figures.
func (r CountPerArea) FormatOf(what string, s System) string {
	if s == Metric {
		return rounded3(r.PerHectare()) + " " + what + "/ha"
	}
	return rounded3(r.PerAcre()) + " " + what + "/ac"
}

// FormatClose writes how many of something lie on a square foot or metre.
func (r CountPerArea) FormatClose(what string, s System) string {
	if s == Metric {
		return brief(r.PerSquareMetre()) + " " + what + "/m²"
	}
	return brief(r.PerSquareFoot()) + " " + what + "/sq ft"
}

// FormatOf writes how many of something are in a pound or a kilogram.
func (c CountPerMass) FormatOf(what string, s System) string {
	if s == Metric {
		return rounded3(c.PerKilogram()) + " " + what + "/kg"
	}
	return rounded3(c.PerPound()) + " " + what + "/lb"
}

// Format writes pounds per bushel or kilograms per litre.
func (d Density) Format(s System) string {
	if s == Metric {
		return decimals(d.KilogramsPerLitre(), 2) + " kg/L"
	}
	return decimals(d.PoundsPerBushel(), 1) + " lb/bu"
}

// Format writes pounds or kilograms a minute.
func (f Flow) Format(s System) string {
	if s == Metric {
		return brief(f.KilogramsPerMinute()) + " kg/min"
	}
	return brief(f.PoundsPerMinute()) + " lb/min"
}

// Percent writes a share of 1 in percent: whole from ten up, else one decimal.
func Percent(share float64) string {
	if math.Abs(share) >= 0.0995 {
		return decimals(share*100, 0) + " %"
	}
	return decimals(share*100, 1) + " %"
}

// Count writes a count or money without decimals, thousands grouped.
func Count(n float64) string { return decimals(n, 0) }

// Bags writes whole and part bags to the quarter, such as 2 1/2.
func Bags(n float64) string { return quarters(n) }

// Money writes an amount of the user's money with two decimals and no sign of
// which money it is.
func Money(amount float64) string {
	return group(strconv.FormatFloat(amount, 'f', 2, 64))
}

// Date writes YYYY-MM-DD as 25 November 2026; anything else comes back as it is.
func Date(iso string) string {
	day, err := time.Parse(time.DateOnly, iso)
	if err != nil {
		return iso
	}
	return day.Format("2 January 2006")
}

func abs[Q ~float64](q Q) Q { return Q(math.Abs(float64(q))) }

// brief keeps as many decimals as a person would read: none from a hundred up,
// one from ten, two below, and two figures of what is smaller than a tenth.
func brief(v float64) string {
	size := math.Abs(v)
	switch {
	case size >= 99.95:
		return decimals(v, 0)
	case size >= 9.995:
		return decimals(v, 1)
	case size >= 0.1 || size == 0:
		return decimals(v, 2)
	default:
		return decimals(v, min(1-int(math.Floor(math.Log10(size))), 12))
	}
}

// rounded3 keeps three figures, and no decimals from a hundred up.
func rounded3(v float64) string {
	if math.Abs(v) < 100 {
		return brief(v)
	}
	step := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-2)
	return decimals(math.Round(v/step)*step, 0)
}

// decimals writes at most n decimals, without trailing zeros.
func decimals(v float64, n int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "unknown"
	}
	text := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		text = "0"
	}
	return group(text)
}

// group puts commas between thousands. Own code because the libraries for it
// bring in regular expressions and big numbers, which the browser build pays for.
func group(text string) string {
	start := 0
	if strings.HasPrefix(text, "-") {
		start = 1
	}
	end := strings.IndexByte(text, '.')
	if end < 0 {
		end = len(text)
	}
	for i := end - 3; i > start; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

// quarters writes a number to the nearest quarter with a plain fraction.
func quarters(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "unknown"
	}
	if math.Abs(v) >= 1e15 { // a double holds no quarters beyond that
		return decimals(v, 0)
	}
	count := math.Round(math.Abs(v) * 4)
	whole, part := math.Floor(count/4), int(math.Mod(count, 4))
	sign := ""
	if v < 0 && count > 0 {
		sign = "-"
	}
	fraction := [...]string{"", "1/4", "1/2", "3/4"}[part]
	switch {
	case part == 0:
		return sign + decimals(whole, 0)
	case whole == 0:
		return sign + fraction
	default:
		return sign + decimals(whole, 0) + " " + fraction
	}
}
