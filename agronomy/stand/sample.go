package stand

import (
	"math"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/units"
)

// Hoop is the ground inside a hoop of a diameter.
func Hoop(diameter units.Length) units.Area {
	return units.Area(math.Pi / 4 * float64(diameter) * float64(diameter))
}

// HoopFor is the diameter of a hoop that holds an area.
func HoopFor(ground units.Area) units.Length {
	return units.Length(math.Sqrt(4 / math.Pi * float64(ground)))
}

// RowFor is the length of one row that stands for an area at a row spacing.
func RowFor(ground units.Area, spacing units.Length) units.Length {
	return units.Length(float64(ground) / float64(spacing))
}

// Expect is what a person should find of one crop: every seed that was sown,
// alive or not, right after spreading, and later the plants.
func Expect(c catalog.Crop, sown seed.Sown, hoop units.Length) Expected {
	depth, _ := c.Figure(catalog.Depth)
	return Expected{
		Species:       c.Name,
		SeedsPerArea:  sown.Seeds,
		SeedsPerHoop:  sown.Seeds.On(Hoop(hoop)),
		HoopDiameter:  hoop,
		PlantsPerArea: sown.Plants,
		DepthMin:      units.Length(depth.Low),
		DepthMax:      units.Length(depth.High),
	}
}
