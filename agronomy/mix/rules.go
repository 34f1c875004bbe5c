package mix

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
)

// Warning is a sentence that the person should read before buying or pouring.
type Warning struct {
	Code string `json:"code"` // short stable word for programs
	// Material is the name of the material concerned; empty for the whole mix.
	Material string      `json:"material,omitempty"`
	Says     string      `json:"says"`
	Mark     source.Mark `json:"mark"`
}

// Group is one hopper group in spreading order: what shares the hopper. Number
// runs from 1. AtOnce says that it must be spread at once and never stored.
type Group struct {
	Number   int    `json:"group"`
	Contents string `json:"contents"`
	AtOnce   bool   `json:"at_once,omitempty"`
	Says     string `json:"says,omitempty"`
}

// seedMix is the trial behind the rule that seed and fertilizer are spread at
// once: raw red clover mixed with 19-19-19 for 20 days germinated 60 %.
const (
	seedMix     = "Teutsch and Ritchey, XXV International Grassland Congress (2023), doi 10.13023/2csm-a439"
	seedMixDays = 20
	seedMixRaw  = 0.60
)

// smallSeed is the count from which seed is sown after the disc and throws
// shorter than grain; common practice, no source.
const smallSeed = 60000 * units.PerPound

// densityApart is the ratio of bulk densities from which two materials throw
// visibly differently; common practice, no source.
const densityApart = 1.4

func practice() source.Mark { return source.Mark{Kind: source.Practice} }

func published(cite string) source.Mark { return source.Mark{Kind: source.Published, Cite: cite} }

func (s stuff) warn(code, says string, mark source.Mark) Warning {
	return Warning{Code: code, Material: s.name, Says: says, Mark: mark}
}

// handling is the order in which kinds of material go on when the person has
// not grouped them: lime is worked in first, small seed goes on after the disc.
type handling int

const (
	limeFirst handling = iota + 1
	fertilizerNext
	grainNext
	smallSeedLast
)

func (s stuff) handling() handling {
	switch {
	case s.class == Lime:
		return limeFirst
	case s.class == Fertilizer:
		return fertilizerNext
	case s.seedsPerMass >= smallSeed:
		return smallSeedLast
	default:
		return grainNext
	}
}

// place sorts a material into a hopper group: by the person's number first,
// then by handling; what may not share that hopper comes in a group after it.
type place struct {
	asked    int
	handling handling
	apart    int
}

func (p place) compare(q place) int {
	first := func(x place) int {
		switch {
		case x.asked == 0 && x.handling == limeFirst:
			return 0
		case x.asked == 0:
			return 2 // grouped by the rules, after what the person numbered
		}
		return 1
	}
	return cmp.Or(cmp.Compare(first(p), first(q)), cmp.Compare(p.asked, q.asked),
		cmp.Compare(p.handling, q.handling), cmp.Compare(p.apart, q.apart))
}

// group puts every amount in a hopper group, taking out of a shared hopper what
// must not be in it, and describes the groups.
func (r *Result) group(all []stuff) {
	places := make([]place, len(all))
	for i, s := range all {
		places[i] = place{asked: s.item.Group}
		if s.item.Group == 0 {
			places[i].handling = s.handling()
		}
	}
	r.takeApart(all, places)
	order := slices.Clone(places)
	slices.SortFunc(order, place.compare)
	order = slices.Compact(order)
	for i, p := range places {
		at, _ := slices.BinarySearchFunc(order, p, place.compare)
		r.Amounts[i].Group = at + 1
	}
	for n := range order {
		r.describe(n+1, all)
	}
}

// takeApart moves what must not share its hopper to one of its own.
func (r *Result) takeApart(all []stuff, places []place) {
	for i, s := range all {
		if why, code, mark := s.mustNot(all, places, i); why != "" {
			r.Amounts[i].SpreadAlone = why
			r.Warnings = append(r.Warnings, s.warn(code, why, mark))
		}
	}
	for i := range all {
		if r.Amounts[i].SpreadAlone != "" {
			places[i].apart = int(all[i].handling()) // lime and seed never end up together either
		}
	}
}

// mustNot says why a material may not share the hopper it was put in; empty
// when it may.
func (s stuff) mustNot(all []stuff, places []place, at int) (why, code string, mark source.Mark) {
	for i, other := range all {
		if i == at || places[i] != places[at] {
			continue
		}
		switch {
		case s.class == Seed && other.class == Fertilizer:
			if note, apart := seed.ApartFromFertilizer(s.asSown(), s.item.Inoculated); apart {
				return note.Says, "seed_with_fertilizer", note.Mark
			}
		case s.class == Lime && (other.product.Ammonium || other.product.ContainsPhosphate):
			return fmt.Sprintf("%s is not mixed with %s: lime drives ammonia off and ties phosphate up; spread it apart, on another day where that can be", s.name, other.name),
				"lime_with_fertilizer", practice()
		}
	}
	return "", "", source.Mark{}
}

// asSown is the crop as it is in the hopper: with the coat and the treatment
// that the person says it has.
func (s stuff) asSown() catalog.Crop {
	c := s.crop
	c.Coated, c.Treated = s.coated(), s.treated()
	return c
}

// describe sums up one hopper group.
func (r *Result) describe(number int, all []stuff) {
	g := Group{Number: number}
	var names []string
	classes := map[Class]bool{}
	for i, a := range r.Amounts {
		if a.Group != number {
			continue
		}
		names = append(names, a.Material)
		classes[a.Class] = true
		if a.SpreadAlone != "" {
			g.Says = a.SpreadAlone
		}
		r.Warnings = append(r.Warnings, legumeBeside(all, r.Amounts, i)...)
	}
	g.Contents = join(names)
	if classes[Seed] && classes[Fertilizer] {
		g.AtOnce = true
		g.Says = "Seed and fertilizer together: mix only what you spread now, spread at once, never store the mix"
		r.Warnings = append(r.Warnings, Warning{Code: "spread_at_once", Says: g.Says + " (" + g.Contents + ")", Mark: published(seedMix)})
	}
	r.Groups = append(r.Groups, g)
	r.Warnings = append(r.Warnings, throwsApart(r.Amounts, number)...)
}

// legumeBeside warns of a raw legume in one hopper with fertilizer.
func legumeBeside(all []stuff, amounts []Amount, at int) []Warning {
	s := all[at]
	if !s.crop.Legume {
		return nil
	}
	for i, other := range all {
		if other.class == Fertilizer && amounts[i].Group == amounts[at].Group {
			return []Warning{s.warn("legume_with_fertilizer", fmt.Sprintf("%s with %s: in a trial %s of raw red clover germinated after %d days with fertilizer; spread it within the hour, or apart",
				s.name, other.name, units.Percent(seedMixRaw), seedMixDays), published(seedMix))}
		}
	}
	return nil
}

// throwsApart warns when materials of one hopper fly differently far.
func throwsApart(amounts []Amount, group int) []Warning {
	var light, heavy Amount
	for _, a := range amounts {
		if a.Group != group || a.Density == 0 {
			continue
		}
		if light.Density == 0 || a.Density < light.Density {
			light = a
		}
		heavy = maxDensity(heavy, a)
	}
	if light.Density == 0 || heavy.Density < light.Density*densityApart {
		return nil
	}
	return []Warning{{Code: "throws_apart", Material: light.Material, Mark: practice(),
		Says: fmt.Sprintf("%s is much lighter than %s and flies less far: its rows will be narrower; spread it in a hopper of its own for an even stand", light.Material, heavy.Material)}}
}

func maxDensity(a, b Amount) Amount {
	if b.Density > a.Density {
		return b
	}
	return a
}

// shareNote explains shares of the full rates that do not add to a whole.
func (m Mix) shareNote() []Warning {
	sum, count := 0.0, 0
	for _, it := range m.Items {
		if it.Rate.Share > 0 {
			sum += it.Rate.Share
			count++
		}
	}
	if count == 0 || (sum > 0.995 && sum < 1.005) {
		return nil
	}
	says := fmt.Sprintf("The shares add to %s of the full rates. That is allowed: mixes are often sown thicker than one crop alone, and printed ones add to 125 %% and more", units.Percent(sum))
	if sum < 1 {
		says = fmt.Sprintf("The shares add to %s of the full rates: a thinner stand than any of the crops alone", units.Percent(sum))
	}
	return []Warning{{Code: "shares", Says: says, Mark: published("Illinois Grassland Conservation Initiative, Annual Forages Seeding Rates")}}
}

// cautions are what single materials call for.
func cautions(all []stuff, amounts []Amount, sys units.System) []Warning {
	var out []Warning
	for i, s := range all {
		if s.class == Seed && s.treated() {
			out = append(out, s.warn("treated_seed", fmt.Sprintf("%s is treated seed: cover all of it with soil, leave none on top or in a heap, never use it as feed; its label has the last word", s.name), practice()))
		}
		if s.class == Seed && s.item.Inoculated {
			out = append(out, s.warn("inoculated", fmt.Sprintf("%s is inoculated: keep it cool and out of the sun, plant it within %d hours, inoculate again after %d",
				s.name, seed.PlantInoculatedWithin, seed.ReinoculateAfter), published("USDA Farmers' Bulletin 2003; Mississippi State")))
		}
		if s.class == Seed && s.crop.Legume && !s.item.Inoculated && !s.coated() && s.crop.Inoculant != "" {
			out = append(out, s.warn("inoculate", fmt.Sprintf("%s is a legume: inoculate it with the strain for %s unless the bag says that it is", s.name, s.crop.Inoculant), practice()))
		}
		if s.product.Urea && s.product.Release == catalog.Plain {
			out = append(out, s.warn("urea", fmt.Sprintf("%s loses nitrogen to the air from the surface: work it in, or have %s of rain, within %d to %d days on warm soil, up to %d on cool soil",
				s.name, (catalog.UreaRainInches*units.Inch).Format(sys), catalog.UreaWarmDaysLow, catalog.UreaWarmDaysHigh, catalog.UreaCoolDays), catalog.UreaMark()))
		}
		out = append(out, s.bagNote(amounts[i], sys)...)
		out = append(out, s.thick(amounts[i], sys)...)
	}
	return out
}

// pouredTold is the share over the rate from which pouring whole bags is warned
// of; common practice, no source. Of nitrogen any surplus is told.
const pouredTold = 0.05

// bagNote says what pouring the whole bags does to the rate, or would do.
func (s stuff) bagNote(a Amount, sys units.System) []Warning {
	if over := float64(a.SpreadRate/a.ProductRate) - 1; over > pouredTold || (s.grade.N > 0 && over > bagSlack) {
		says := fmt.Sprintf("%s: pouring whole bags puts down %s instead of %s", s.name, a.SpreadRate.Format(sys), a.ProductRate.Format(sys))
		if n := units.MassPerArea(s.grade.N); n > 0 {
			says += fmt.Sprintf(", with %s of nitrogen instead of %s", (n * a.SpreadRate).Format(sys), (n * a.ProductRate).Format(sys))
		}
		return []Warning{s.warn("poured_bags", says, source.Mark{Kind: source.Definition})}
	}
	if a.BagMass == 0 || a.Left <= a.BagMass*bagSlack {
		return nil
	}
	return []Warning{s.warn("whole_bags", fmt.Sprintf("%s: %s to open, %s stays in the bag; all of it spread would be %s instead of %s",
		s.name, bagWord(a.Bags), a.Left.Format(sys), a.ActualRate.Format(sys), a.ProductRate.Format(sys)), source.Mark{Kind: source.Definition})}
}

// thickFrom is how many times the highest rate of the catalog a seed may be
// sown before it is taken for a slip; common practice, no source.
const thickFrom = 3

// thick warns of seed sown far above every rate that the catalog has for it.
func (s stuff) thick(a Amount, sys units.System) []Warning {
	if s.class != Seed {
		return nil
	}
	var most catalog.Figure
	least := math.Inf(1)
	for _, f := range s.crop.Rates() {
		if times := s.timesOver(f, a); times < least {
			most, least = f, times
		}
	}
	if least < thickFrom || math.IsInf(least, 0) {
		return nil
	}
	return []Warning{s.warn("thick", fmt.Sprintf("%s: %s is %s times the most that the catalog has for it; check the rate and its unit",
		s.name, a.SpreadRate.Format(sys), units.Count(math.Floor(least))), most.Mark)}
}

// timesOver is how many times the high end of a catalog rate is spread; a
// drilled rate counts as raised for broadcasting.
func (s stuff) timesOver(f catalog.Figure, a Amount) float64 {
	high := f.High
	if f.Name == catalog.Drilled {
		high *= seed.BroadcastFactorHigh
	}
	switch f.Of {
	case catalog.OfPLS:
		return float64(a.SpreadRate) * s.item.Tag.PLS() / high
	case catalog.OfSeeds, catalog.OfPlants:
		if a.SeedsPerArea == 0 {
			return math.Inf(1)
		}
		return float64(a.SeedsPerArea) / high
	}
	return float64(a.SpreadRate) / high
}
