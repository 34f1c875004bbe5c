package geo_test

import (
	"testing"

	"evenfall/geo"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

func TestInside(t *testing.T) {
	hook := orb.Ring{{12, 47}, {12.004, 47}, {12.004, 47.004}, {12.003, 47.004}, {12.003, 47.001}, {12, 47.001}}
	for name, polygon := range map[string]orb.Polygon{
		"a block":                       {block(12, 47, 0.004, 0.004)},
		"a hook":                        {hook},
		"a diamond, its corners midway": {{{12, 47}, {12.001, 47.001}, {12, 47.002}, {11.999, 47.001}}},
		"a block with a hole midway":    {block(12, 47, 0.004, 0.004), block(12.001, 47.001, 0.002, 0.002)},
	} {
		plot, err := geo.NewPlot(name, polygon)
		if err != nil {
			t.Fatal(err)
		}
		if at := plot.Inside(); !planar.PolygonContains(plot.Polygon, at) {
			t.Errorf("%s: %v lies outside", name, at)
		}
	}
}
