package catalog

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Description is a fertilizer or a seed that the catalog lacks, in the words of
// its bag. Taken are the ids of other entries of the person's own.
type Description struct {
	Name         string             `json:"name"`
	Class        Class              `json:"class"`
	Grade        string             `json:"grade,omitempty"` // as printed, such as 6-24-24; of fertilizer
	Legume       bool               `json:"legume,omitempty"`
	Bag          units.Mass         `json:"bag_kg,omitempty"`
	SeedsPerMass units.CountPerMass `json:"seeds_per_kg,omitempty"`
	Density      units.Density      `json:"density_kg_per_m3,omitempty"` // from the bushel weight
	Taken        []string           `json:"taken,omitempty"`
}

// longestName is the most characters of a name of one's own; our own choice.
const longestName = 80

// Describe makes an entry of a description, with an id that no other has. The
// faults' fields are those of the description. Nitrogen counts as plain, and a
// fertilizer as one that is kept apart from lime: what is not known is taken
// for what needs more care.
func Describe(d Description) (own Own, err error) {
	standard, err := Default()
	if err != nil {
		return own, err
	}
	d.Name = strings.Join(strings.Fields(d.Name), " ")
	switch {
	case d.Name == "":
		return own, fault.New("name", "it has no name", "write what the bag says").In("name")
	case len([]rune(d.Name)) > longestName:
		return own, fault.New("name", fmt.Sprintf("the name is longer than %d characters", longestName), "shorten it").In("name")
	}
	figures, err := d.figures()
	if err != nil {
		return own, err
	}
	id, mark := d.id(standard), source.Mark{Kind: source.Stated}
	switch d.Class {
	case Seed:
		own.Crops = []Crop{{ID: id, Name: d.Name, Legume: d.Legume, Figures: figures, Mark: mark}}
	case Fertilizer:
		p := Product{ID: id, Name: d.Name, Class: Fertilizer, Figures: figures, Mark: mark}
		g := p.Grade()
		if p.Ammonium, p.ContainsPhosphate = g.N > 0, g.P2O5 > 0; g.N > 0 {
			p.Release = Plain
		}
		own.Products = []Product{p}
	default:
		return own, fault.New("class", "it is neither seed nor fertilizer", "say which it is").In("class")
	}
	_, err = standard.With(own)
	return own, err
}

// figures are what the description says, each held to the catalog's limits.
func (d Description) figures() ([]Figure, error) {
	figures := []Figure{}
	add := func(field string, name Name, value float64, unit, written string) error {
		f := Figure{Name: name, Low: value, High: value, Unit: unit, Written: written, Mark: source.Mark{Kind: source.Stated}}
		if problem := f.problem(); problem != "" {
			return fault.New("figure", strings.TrimPrefix(problem, "is "), "check the number and its unit").In(field)
		}
		figures = append(figures, f)
		return nil
	}
	if d.Class == Fertilizer {
		grade, err := parseGrade(d.Grade)
		if err != nil {
			return nil, err
		}
		for i, name := range []Name{Nitrogen, Phosphate, Potash} {
			if err := add("grade", name, grade[i], "1", "%"); err != nil {
				return nil, err
			}
		}
	}
	for _, f := range []struct {
		field, unit, written string
		name                 Name
		value                float64
	}{
		{"bag_kg", "kg", "lb", Bag, float64(d.Bag)},
		{"seeds_per_kg", "1/kg", "seeds/lb", SeedsPerMass, float64(d.SeedsPerMass)},
		{"density_kg_per_m3", "kg/m3", "lb/bu", BulkDensity, float64(d.Density)},
	} {
		if f.value == 0 {
			continue
		}
		if err := add(f.field, f.name, f.value, f.unit, f.written); err != nil {
			return nil, err
		}
	}
	return figures, nil
}

// parseGrade reads the three numbers of a bag as shares of its mass. It does
// without package regexp, which would make the page's core larger by a
// twentieth.
func parseGrade(text string) (shares [3]float64, err error) {
	numbers := strings.FieldsFunc(text, func(r rune) bool { return r == '-' || r == '–' || r == ' ' })
	sum := 0.0
	for i := range shares {
		percent := -1.0
		if len(numbers) == len(shares) && strings.Trim(numbers[i], "0123456789.") == "" {
			percent, err = strconv.ParseFloat(numbers[i], 64)
		}
		if percent < 0 || err != nil {
			return shares, fault.New("grade", fmt.Sprintf("%q is no grade", shortened(text)), "write the three numbers of the bag, such as 6-24-24").In("grade")
		}
		shares[i] = percent / 100
		sum += percent
	}
	switch {
	case sum == 0:
		return shares, fault.New("grade", "a grade of 0-0-0 feeds nothing", "check the three numbers on the bag").In("grade")
	case sum > 100:
		return shares, fault.New("grade", "the grade adds to more than 100 %", "check the three numbers on the bag").In("grade")
	}
	return shares, nil
}

// id is made of the name, and numbered where another entry has it.
func (d Description) id(standard *Catalog) string {
	words := strings.FieldsFunc(strings.ToLower(d.Name), func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
	first := "own-" + strings.Join(words, "-")
	id := first
	for n := 2; slices.Contains(d.Taken, id) || standard.cropIndex(id) >= 0 || standard.productIndex(id) >= 0; n++ {
		id = first + "-" + strconv.Itoa(n)
	}
	return id
}
