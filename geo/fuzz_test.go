package geo_test

import (
	"encoding/binary"
	"math"
	"testing"

	"evenfall/geo"
	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

// FuzzNewPlot makes rings of bytes, on a coarse grid so that corners meet,
// lie on edges and line up, and checks what every valid plot promises.
func FuzzNewPlot(f *testing.F) {
	f.Add(int16(12), int16(47), []byte{0, 0, 9, 0, 9, 9, 0, 9}, []byte{3, 3, 5, 3, 5, 5})
	f.Add(int16(179), int16(-17), []byte{0, 0, 200, 0, 200, 90, 0, 90}, []byte{})
	f.Add(int16(-180), int16(89), []byte{0, 0, 9, 0, 4, 4, 9, 9, 0, 9, 4, 4}, []byte{})
	f.Fuzz(func(t *testing.T, lon, lat int16, outer, hole []byte) {
		at := orb.Point{float64(lon), float64(lat)}
		polygon := orb.Polygon{gridRing(at, outer)}
		if len(hole) > 0 {
			polygon = append(polygon, gridRing(at, hole))
		}
		checkPlot(t, polygon)
	})
}

// FuzzNewPlotBits takes coordinates bit by bit, for numbers of every kind.
func FuzzNewPlotBits(f *testing.F) {
	var square []byte
	for _, p := range block(12, 47, 0.001, 0.001) {
		square = binary.LittleEndian.AppendUint64(square, math.Float64bits(p[0]))
		square = binary.LittleEndian.AppendUint64(square, math.Float64bits(p[1]))
	}
	f.Add(square)
	f.Fuzz(func(t *testing.T, data []byte) {
		var ring orb.Ring
		for ; len(data) >= 16; data = data[16:] {
			ring = append(ring, orb.Point{
				math.Float64frombits(binary.LittleEndian.Uint64(data)),
				math.Float64frombits(binary.LittleEndian.Uint64(data[8:])),
			})
		}
		checkPlot(t, orb.Polygon{ring})
	})
}

// gridRing takes two bytes a corner, in steps of 0.0001 degrees.
func gridRing(at orb.Point, data []byte) orb.Ring {
	var ring orb.Ring
	for i := 0; i+1 < len(data); i += 2 {
		ring = append(ring, orb.Point{at[0] + float64(data[i])*1e-4, at[1] + float64(data[i+1])*1e-4})
	}
	return ring
}

// checkPlot holds for every polygon: a fault that says what and what to do, or
// a plot that stays the same when checked again, with an area no larger than
// its perimeter allows and a frame that leads there and back.
func checkPlot(t *testing.T, polygon orb.Polygon) {
	t.Helper()
	plot, err := geo.NewPlot("Fuzz", polygon)
	if err != nil {
		if found, ok := fault.From(err); !ok || found.Code == "" || found.Remedy == "" {
			t.Fatalf("not a fault: %v", err)
		}
		return
	}
	again, err := geo.NewPlot(plot.Name, plot.Polygon)
	if err != nil || !again.Polygon.Equal(plot.Polygon) {
		t.Fatalf("%v became %v, %v", plot.Polygon, again.Polygon, err)
	}
	area, perimeter := plot.AreaM2(), plot.PerimeterM()
	if area <= 0 || area > perimeter*perimeter/(4*math.Pi)*1.0001 {
		t.Fatalf("%v: %g m2 within %g m", plot.Polygon, area, perimeter)
	}
	frame := plot.Frame()
	for _, p := range plot.Polygon[0] {
		if back := frame.ToLonLat(frame.ToLocal(p)); geo.DistanceM(p, back) > 1e-5 {
			t.Fatalf("%v came back as %v", p, back)
		}
	}
}
