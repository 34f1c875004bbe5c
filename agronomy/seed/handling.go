package seed

import (
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/source"
)

// Inoculated seed is sown the day that it is coated, and inoculated again when
// it has waited two days (hours; for rhizobia on legume seed).
const (
	PlantInoculatedWithin = 24
	ReinoculateAfter      = 48
)

// Handling is what to mind with a crop's seed before it goes in the hopper:
// the inoculant of a legume, what must not be mixed with fertilizer, treated
// seed, and the catalog's own cautions.
func Handling(c catalog.Crop) []catalog.Note {
	var notes []catalog.Note
	if c.Legume {
		notes = append(notes, inoculation(c))
	}
	if note, apart := ApartFromFertilizer(c, false); apart {
		notes = append(notes, note)
	}
	if c.Treated {
		notes = append(notes, catalog.Note{
			Says: c.Name + ": treated seed must be covered with soil and never left as feed; follow the tag",
			Mark: source.Mark{Kind: source.Practice},
		})
	}
	return append(notes, c.Cautions...)
}

func inoculation(c catalog.Crop) catalog.Note {
	group := c.Inoculant
	if group == "" {
		group = c.Name
	}
	return catalog.Note{
		Says: c.Name + ": inoculate with the " + group + " group, plant the same day (within 24 hours), and inoculate again after 48 hours",
		Mark: source.Mark{Kind: source.Published, Cite: "USDA Farmers' Bulletin 2003; Mississippi State"},
	}
}

// ApartFromFertilizer says why seed must not share the hopper with fertilizer:
// the salt takes the life of coated seed and of the inoculant. apart is false
// when it may be mixed, and then it is still spread at once.
func ApartFromFertilizer(c catalog.Crop, inoculated bool) (note catalog.Note, apart bool) {
	mixed := source.Mark{Kind: source.Published, Cite: "Teutsch and Ritchey, XXV International Grassland Congress (2023), doi 10.13023/2csm-a439"}
	switch {
	case c.Coated:
		return catalog.Note{Says: c.Name + ": spread coated seed by itself; after 20 days in 19-19-19, 0 % of coated and 60 % of raw red clover germinated", Mark: mixed}, true
	case inoculated:
		return catalog.Note{Says: c.Name + ": spread inoculated seed by itself; fertilizer salt kills the inoculant", Mark: source.Mark{Kind: source.Practice}}, true
	default:
		return catalog.Note{}, false
	}
}
