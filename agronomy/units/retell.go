package units

import (
	"math"
	"strconv"
	"strings"
)

// Retell gives back a sentence with its metres and square metres in the units
// of the system: every word that is a number before the word m or m2, whatever
// marks stand about the two. Packages that know no units of people, such as
// geo, write metres; whoever shows a person their sentences retells them. A
// length without decimals was rounded to the metre and is retold to the foot.
func Retell(sentence string, s System) string {
	if s == Metric {
		return sentence
	}
	words := strings.Split(sentence, " ")
	told := words[:0:0]
	for i := 0; i < len(words); i++ {
		if i+1 < len(words) {
			if measure, ok := retold(words[i], words[i+1], s); ok {
				told = append(told, measure)
				i++
				continue
			}
		}
		told = append(told, words[i])
	}
	return strings.Join(told, " ")
}

const marksBefore, marksAfter = "(", ").,:;"

// retold writes a number and its unit in the system, with the marks about them.
func retold(number, unit string, s System) (string, bool) {
	bare := strings.TrimLeft(number, marksBefore)
	named := strings.TrimRight(unit, marksAfter)
	value, err := strconv.ParseFloat(bare, 64)
	if err != nil || !(value >= 0) || math.IsInf(value, 0) {
		return "", false
	}
	var words string
	switch named {
	case "m2":
		words = Area(value).Format(s)
	case "m":
		length := Length(value)
		if value == math.Trunc(value) {
			length = Foot * Length(math.Round(length.Feet()))
		}
		words = length.Format(s)
	default:
		return "", false
	}
	return number[:len(number)-len(bare)] + words + unit[len(named):], true
}
