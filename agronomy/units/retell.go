package units

import (
	"math"
	"regexp"
	"strconv"
)

// inMetres finds lengths and areas in a sentence: a number, a space, and m or m2.
var inMetres = regexp.MustCompile(`\b(\d+(?:\.\d+)?) (m2|m)\b`)

// Retell gives back a sentence with its metres and square metres in the units
// of the system. Packages that know no units of people, such as geo, write
// metres; whoever shows a person their sentences retells them. A length without
// decimals was rounded to the metre and is retold to the foot.
func Retell(sentence string, s System) string {
	if s == Metric {
		return sentence
	}
	return inMetres.ReplaceAllStringFunc(sentence, func(found string) string {
		part := inMetres.FindStringSubmatch(found)
		value, err := strconv.ParseFloat(part[1], 64)
		if err != nil {
			return found // longer than any number
		}
		if part[2] == "m2" {
			return Area(value).Format(s)
		}
		length := Length(value)
		if value == math.Trunc(value) {
			length = Foot * Length(math.Round(length.Feet()))
		}
		return length.Format(s)
	})
}
