package door

import (
	"math"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/frontend/core/wire"
	"evenfall/geo/coverage"
)

// How fine the pictures are, in cells per throw: the sheet's own picture is
// for print, and too coarse for a screen. While a corner is dragged a coarser
// one keeps up with the finger.
const (
	mainCells  = 12.0
	quickCells = 6.0
	smallCells = 6.0
)

// profileBins is into how many bins the throw is shared.
const profileBins = 64

// evennessGrid is a picture: ratios to the target, NaN where nothing is to be
// covered.
type evennessGrid struct {
	Cols      int          `json:"cols"`
	Rows      int          `json:"rows"`
	Ratio     wire.Singles `json:"ratio"`
	SouthWest orb.Point    `json:"southWest"`
	NorthEast orb.Point    `json:"northEast"`
	OriginM   [2]float64   `json:"originM"`
	CellM     float64      `json:"cellM"`
}

// canvas is the ground that plans are painted on.
type canvas struct {
	ground  orb.Polygon
	strips  []coverage.Strip
	profile coverage.Profile
	drop    coverage.DepositOptions
	flat    plane
}

func newCanvas(s agronomy.Sheet, q sheetRequest, flat plane) (canvas, error) {
	pattern := q.Spreader.Patterns.For(string(mainClass(s)))
	profile, err := pattern.Profile(float64(pattern.Width()) / profileBins)
	if err != nil {
		return canvas{}, err
	}
	c := canvas{ground: s.Ground.Local, profile: profile, flat: flat,
		drop: coverage.DepositOptions{BehindM: float64(q.Spreader.ThrowBehind)}}
	if s.Ground.SpreadM2 < s.Ground.AreaM2 { // some keep-off line binds
		for _, k := range s.Ground.KeepOff {
			c.strips = append(c.strips, coverage.Strip{Line: k.Line, DistanceM: k.DistanceM})
		}
	}
	return c, nil
}

// mainClass is the class of what weighs most in the first hopper group: its
// pattern is the one that the sheet's evenness is of.
func mainClass(s agronomy.Sheet) mix.Class {
	class, heaviest, first := mix.Fertilizer, units.Mass(0), math.MaxInt
	for _, a := range s.Materials {
		if a.Group < first || a.Group == first && a.SpreadMass > heaviest {
			class, heaviest, first = a.Class, a.SpreadMass, a.Group
		}
	}
	return class
}

// strokesOf are the passes of a plan that was not chosen.
func strokesOf(plan agronomy.PlanSummary) []coverage.Stroke {
	strokes := make([]coverage.Stroke, len(plan.Lines))
	for i, line := range plan.Lines {
		strokes[i] = coverage.Stroke{Line: line, Flow: plan.Flows[i]}
	}
	return strokes
}

// grid paints the strokes at so many cells per throw.
func (c canvas) grid(strokes []coverage.Stroke, cells float64, out *wire.Answer) *evennessGrid {
	if len(strokes) == 0 {
		return nil
	}
	cell := c.profile.ThrowM() / cells
	// A cell to spare: the outermost of a raster miss what they would share with
	// a neighbour.
	r := coverage.NewRaster(c.ground.Bound().Pad(cell), cell)
	coverage.Deposit(r, strokes, c.profile, c.drop)
	mask := coverage.NewMask(r, c.ground, c.strips...)
	laid := 0.0
	for _, s := range strokes {
		laid += s.Laid()
	}
	ratio := r.Float32(laid / mask.AreaM2())
	for row := range r.Rows {
		for col := range r.Cols {
			if mask.Share(col, row) < 0.5 {
				ratio[row*r.Cols+col] = float32(math.NaN())
			}
		}
	}
	bound := r.Bound()
	return &evennessGrid{r.Cols, r.Rows, out.SingleRow(ratio), c.flat.toLonLat(bound.Min), c.flat.toLonLat(bound.Max), r.OriginM, r.CellM}
}
