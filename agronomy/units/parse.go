package units

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"evenfall/geo/fault"
)

// scale is the units of one kind of quantity as people type them.
type scale[Q ~float64] struct {
	what    string // with its article, for faults
	example string
	usual   string // units to suggest
	units   map[string]Q
}

var lengths = scale[Length]{"a length", "12 ft 6 in", "ft, in, yd, m or cm", map[string]Length{
	"m": 1, "metre": 1, "metres": 1, "meter": 1, "meters": 1,
	"cm": 0.01, "mm": 0.001, "km": 1000,
	"in": Inch, "inch": Inch, "inches": Inch, `"`: Inch,
	"ft": Foot, "foot": Foot, "feet": Foot, "'": Foot,
	"yd": Yard, "yard": Yard, "yards": Yard,
	"mi": Mile, "mile": Mile, "miles": Mile,
}}

var areas = scale[Area]{"an area", "0.25 ac", "ac, sq ft, m² or ha", map[string]Area{
	"m2": 1, "m^2": 1, "sq m": 1, "square metres": 1, "square meters": 1,
	"ac": Acre, "acre": Acre, "acres": Acre,
	"ha": Hectare, "hectare": Hectare, "hectares": Hectare,
	"sq ft": SquareFoot, "sqft": SquareFoot, "ft2": SquareFoot, "ft^2": SquareFoot,
	"square feet": SquareFoot, "square foot": SquareFoot,
	"sq yd": SquareFoot * 9, "square yards": SquareFoot * 9,
}}

var volumes = scale[Volume]{"a volume", "2 1/2 qt", "bu, qt, pt, cup, gal or L", map[string]Volume{
	"l": Litre, "litre": Litre, "litres": Litre, "liter": Litre, "liters": Litre, "ml": Litre / 1000,
	"bu": Bushel, "bushel": Bushel, "bushels": Bushel,
	"qt": DryQuart, "qts": DryQuart, "quart": DryQuart, "quarts": DryQuart,
	"pt": DryPint, "pts": DryPint, "pint": DryPint, "pints": DryPint,
	"c": DryCup, "cup": DryCup, "cups": DryCup,
	"gal": Gallon, "gallon": Gallon, "gallons": Gallon,
	"cu ft": CubicFoot, "cubic feet": CubicFoot, "ft3": CubicFoot,
	"cu in": CubicInch, "cubic inches": CubicInch, "m3": 1,
}}

var masses = scale[Mass]{"a weight", "50 lb", "lb, oz, kg, g, ton or tonne", map[string]Mass{
	"kg": 1, "kgs": 1, "kilo": 1, "kilos": 1, "kilogram": 1, "kilograms": 1,
	"g": Gram, "gram": Gram, "grams": Gram, "t": Tonne, "tonne": Tonne, "tonnes": Tonne,
	"lb": Pound, "lbs": Pound, "pound": Pound, "pounds": Pound, "#": Pound,
	"oz": Ounce, "ounce": Ounce, "ounces": Ounce,
	"ton": ShortTon, "tons": ShortTon,
}}

var durations = scale[Duration]{"a time", "1 min 30 s", "s, min or h", map[string]Duration{
	"s": 1, "sec": 1, "secs": 1, "second": 1, "seconds": 1,
	"min": Minute, "mins": Minute, "minute": Minute, "minutes": Minute,
	"h": Hour, "hr": Hour, "hrs": Hour, "hour": Hour, "hours": Hour,
}}

var speeds = scale[Speed]{"a speed", "7 mph", "mph, km/h or m/s", map[string]Speed{
	"mph": MPH, "mile/hour": MPH, "miles/hour": MPH, "mi/h": MPH,
	"km/h": KPH, "kph": KPH, "kmh": KPH, "m/s": 1, "ft/s": Speed(Foot), "ft/min": Speed(Foot) / 60,
}}

var counts = scale[float64]{"a count", "26,000 seeds", "seeds, plants or pieces", map[string]float64{
	"": 1, "seed": 1, "seeds": 1, "plant": 1, "plants": 1, "kernel": 1, "kernels": 1,
	"piece": 1, "pieces": 1,
}}

// ParseLength reads what people write on a tape: 104 ft 4 in, 12'6", 3.8 m.
func ParseLength(text string) (Length, error) { return lengths.parse(text) }

// ParseArea reads 0.25 ac, 1,180 sq ft, 1 ha.
func ParseArea(text string) (Area, error) { return areas.parse(text) }

// ParseVolume reads 2 1/2 qt, 1 bu 3 qt, 40 L. Quarts, pints and cups are dry
// measure, gallons liquid, as hoppers are labelled.
func ParseVolume(text string) (Volume, error) { return volumes.parse(text) }

// ParseMass reads 50 lb, 2 lb 3 oz, 3 kg. A ton is 2,000 lb, a tonne 1,000 kg.
func ParseMass(text string) (Mass, error) { return masses.parse(text) }

// ParseDuration reads 8.6 s, 1 min 30 s, 1 h 12 min.
func ParseDuration(text string) (Duration, error) { return durations.parse(text) }

// ParseSpeed reads 7 mph, 11 km/h.
func ParseSpeed(text string) (Speed, error) { return speeds.parse(text) }

// ParseTemperature reads 50 F or 10 C, below zero too.
func ParseTemperature(text string) (Temperature, error) {
	kind := scale[Temperature]{what: "a temperature", example: "50 F", usual: "F or C"}
	rest, negative := strings.CutPrefix(tidy(text), "-")
	parts, err := kind.split(rest)
	if err != nil {
		return 0, err
	}
	if negative {
		parts[0].number = -parts[0].number
	}
	switch {
	case len(parts) > 1:
		return 0, kind.unread(text)
	case parts[0].unit == "f" || parts[0].unit == "fahrenheit":
		return FromFahrenheit(parts[0].number), nil
	case parts[0].unit == "c" || parts[0].unit == "celsius":
		return Temperature(parts[0].number), nil
	default:
		return 0, kind.unknown(parts[0].unit)
	}
}

// ParseMassPerArea reads 40 lb/ac, 5 lb per 1000 sq ft, 45 kg/ha.
func ParseMassPerArea(text string) (MassPerArea, error) {
	return ratio[MassPerArea](text, masses, areas, "a rate", "40 lb/ac")
}

// ParseVolumePerArea reads 2 bu/ac, 10 qt per acre.
func ParseVolumePerArea(text string) (VolumePerArea, error) {
	return ratio[VolumePerArea](text, volumes, areas, "a rate by volume", "2 bu/ac")
}

// ParseCountPerArea reads 26,000 seeds/ac, 35 per sq ft.
func ParseCountPerArea(text string) (CountPerArea, error) {
	return ratio[CountPerArea](text, counts, areas, "a rate by count", "26,000 seeds/ac")
}

// ParseCountPerMass reads 1,500 seeds/lb, 1500 per lb.
func ParseCountPerMass(text string) (CountPerMass, error) {
	return ratio[CountPerMass](text, counts, masses, "a seed count", "1,500 seeds/lb")
}

// ParseDensity reads 56 lb/bu, 0.72 kg/L.
func ParseDensity(text string) (Density, error) {
	return ratio[Density](text, masses, volumes, "a bushel weight", "56 lb/bu")
}

// ParseFlow reads 34 lb/min, 15 kg/min, 2 lb per 10 s.
func ParseFlow(text string) (Flow, error) {
	return ratio[Flow](text, masses, durations, "a flow", "34 lb/min")
}

// part is one number and the unit word that follows it.
type part struct {
	number float64
	unit   string
}

func (s scale[Q]) parse(text string) (Q, error) {
	parts, err := s.split(tidy(text))
	if err != nil {
		return 0, err
	}
	var sum Q
	last := Q(0)
	for i, p := range parts {
		unit, err := s.unit(p.unit)
		if err != nil {
			return 0, err
		}
		if i > 0 && unit >= last {
			return 0, s.unread(text)
		}
		sum, last = sum+Q(p.number)*unit, unit
	}
	if math.IsInf(float64(sum), 0) {
		return 0, s.unread(text)
	}
	return sum, nil
}

// ratio reads one quantity per another, where the lower number may be left out.
func ratio[Q, T, B ~float64](text string, top scale[T], bottom scale[B], what, example string) (Q, error) {
	unread := scale[Q]{what: what, example: example}.unread(text)
	upper, lower, found := cutAtBar(tidy(text))
	if !found {
		return 0, unread
	}
	if lower != "" && !isDigit(lower[0]) {
		lower = "1 " + lower
	}
	over, err := top.parse(upper)
	if err != nil {
		return 0, err
	}
	under, err := bottom.parse(lower)
	if err != nil {
		return 0, err
	}
	if q := Q(float64(over) / float64(under)); under > 0 && !math.IsInf(float64(q), 0) {
		return q, nil
	}
	return 0, unread
}

// cutAtBar cuts at the first bar that does not stand between two digits, so
// that 1/2 lb/ac is half a pound an acre.
func cutAtBar(text string) (upper, lower string, found bool) {
	for i := range len(text) {
		if text[i] != '/' {
			continue
		}
		upper, lower = strings.TrimSpace(text[:i]), strings.TrimSpace(text[i+1:])
		if upper == "" || lower == "" || !isDigit(upper[len(upper)-1]) || !isDigit(lower[0]) {
			return upper, lower, true
		}
	}
	return "", "", false
}

// split cuts tidied text into numbers with their unit words.
func (s scale[Q]) split(text string) ([]part, error) {
	if len(text) > longest {
		return nil, s.unread(text[:longest])
	}
	var parts []part
	rest := text
	for rest != "" {
		number, after, err := s.number(rest)
		if err != nil {
			return nil, err
		}
		unit, after := cutUnit(after)
		parts, rest = append(parts, part{number, unit}), after
	}
	if len(parts) == 0 {
		return nil, s.unread(text)
	}
	return parts, nil
}

// number takes a whole, decimal, fraction or mixed number off the front.
func (s scale[Q]) number(text string) (value float64, rest string, err error) {
	if strings.HasPrefix(text, "-") {
		return 0, "", fault.New("negative", s.what+" cannot be below zero", "leave out the minus sign")
	}
	word, rest := cutWhile(text, "0123456789.,")
	if word == "" {
		return 0, "", s.unread(text)
	}
	value, err = s.plain(word)
	if err != nil {
		return 0, "", err
	}
	if under, after, ok := fractionAfter(rest, "/"); ok && !strings.ContainsAny(word, ".,") {
		return value / under, after, nil
	}
	tail := strings.TrimLeft(rest, " -")
	over, after := cutWhile(tail, digits)
	if under, after, ok := fractionAfter(after, "/"); ok && over != "" && tail != rest {
		top, err := s.plain(over)
		return value + top/under, after, err
	}
	return value, rest, nil
}

// fractionAfter reads the bar and the lower number of a fraction.
func fractionAfter(text, bar string) (under float64, rest string, ok bool) {
	lower, found := strings.CutPrefix(text, bar)
	if !found {
		return 0, text, false
	}
	word, rest := cutWhile(lower, digits)
	under, err := strconv.ParseFloat(word, 64)
	return under, rest, err == nil && under > 0
}

// plain reads digits with a decimal point and commas between thousands.
func (s scale[Q]) plain(word string) (float64, error) {
	whole, _, _ := strings.Cut(word, ".")
	for i, group := range strings.Split(whole, ",") {
		if i > 0 && len(group) != 3 {
			return 0, fault.New("decimal_comma", strconv.Quote(word)+" has a comma that does not part thousands",
				"write decimals with a point, such as 0.25")
		}
	}
	value, err := strconv.ParseFloat(strings.ReplaceAll(word, ",", ""), 64)
	if err != nil {
		return 0, s.unread(word)
	}
	return value, nil
}

// cutUnit takes a unit word off the front: a mark for feet or inches, or
// letters with the bars, spaces and powers that belong to them.
func cutUnit(text string) (unit, rest string) {
	text = strings.TrimLeft(text, " ")
	if text != "" && strings.ContainsRune("'\"#", rune(text[0])) {
		return text[:1], strings.TrimLeft(text[1:], " ")
	}
	end := 0
	for end < len(text) && !startsNumber(text, end) {
		end++
	}
	return strings.TrimSpace(text[:end]), text[end:]
}

// startsNumber tells whether a new number starts at i; the 2 of m2 does not.
func startsNumber(text string, i int) bool {
	power := i > 0 && text[i-1] != ' ' && (i+1 == len(text) || text[i+1] == ' ')
	return text[i] == '-' || text[i] == '.' || isDigit(text[i]) && !power
}

func cutWhile(text, set string) (word, rest string) {
	rest = strings.TrimLeft(text, set)
	return text[:len(text)-len(rest)], rest
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// unit looks a word up; a number alone is not guessed at.
func (s scale[Q]) unit(word string) (Q, error) {
	if q, ok := s.units[word]; ok {
		return q, nil
	}
	return 0, s.unknown(word)
}

func (s scale[Q]) unknown(word string) error {
	if word == "" {
		return fault.New("no_unit", "the number has no unit", "write "+s.what+" such as "+s.example)
	}
	return fault.New("unknown_unit", strconv.Quote(word)+" is not a unit of "+s.what, "use "+s.usual)
}

func (s scale[Q]) unread(text string) error {
	return fault.New("not_a_quantity", strconv.Quote(text)+" cannot be read as "+s.what, "write it such as "+s.example)
}

const (
	digits  = "0123456789"
	longest = 60 // bytes; more is not a quantity but a slip of the clipboard
)

// asTyped turns the marks of phones and word processors into plain ones.
var asTyped = strings.NewReplacer(
	"\u00bd", " 1/2", "\u00bc", " 1/4", "\u00be", " 3/4", "\u2044", "/",
	"\u2032", "'", "\u2033", `"`, "\u2018", "'", "\u2019", "'", "\u201c", `"`, "\u201d", `"`, "''", `"`,
	"\u00b2", "2", "\u00b3", "3", "\u00a0", " ", "\u2212", "-", "\u00b0", " ",
)

// tidy lowers the text, drops the stops of abbreviations and writes per as a bar.
func tidy(text string) string {
	text = strings.ToLower(asTyped.Replace(text))
	words := strings.Fields(text)
	for i, word := range words {
		if len(word) > 1 && !isDigit(word[len(word)-2]) {
			words[i] = strings.TrimSuffix(word, ".")
		}
	}
	text = strings.Join(slices.DeleteFunc(words, func(w string) bool { return w == "and" || w == "of" }), " ")
	return strings.ReplaceAll(text, " per ", "/")
}
