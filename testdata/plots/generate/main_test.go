package main

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"evenfall/geo"
	"evenfall/testdata/plots/shapes"

	"github.com/paulmach/orb"
)

// TestCommittedPlotsAreWhatTheProgramWrites reads the committed files: they
// must be this program's output, and each plot valid, of its class's area to
// 0.1 %, with the corners that its class promises.
func TestCommittedPlotsAreWhatTheProgramWrites(t *testing.T) {
	for i, class := range sizeClasses {
		committed, err := os.ReadFile(filepath.Join("..", class.Name+".geojson"))
		if err != nil {
			t.Fatal(err)
		}
		fresh, err := encoded(class, rand.New(rand.NewPCG(60, uint64(i))))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(committed, fresh) {
			t.Errorf("%s.geojson is not what the program writes", class.Name)
		}
		checkClass(t, class, committed)
	}
}

func checkClass(t *testing.T, class sizeClass, text []byte) {
	t.Helper()
	var set struct {
		Features []struct {
			Properties struct{ Name string }
			Geometry   struct{ Coordinates orb.Polygon }
		}
	}
	if err := json.Unmarshal(text, &set); err != nil {
		t.Fatal(err)
	}
	if len(set.Features) != len(shapes.Kinds()) {
		t.Fatalf("%s has %d plots", class.Name, len(set.Features))
	}
	for i, f := range set.Features {
		plot, err := geo.NewPlot(f.Properties.Name, f.Geometry.Coordinates)
		if err != nil {
			t.Errorf("%s: %v", f.Properties.Name, err)
			continue
		}
		if acres := plot.AreaM2() / shapes.SquareMetresPerAcre; math.Abs(acres/class.Acres-1) > 0.001 {
			t.Errorf("%s: %.5f ac", plot.Name, acres)
		}
		corners := len(plot.Polygon[0]) - 1
		if corners < shapes.MinCorners || corners > shapes.MaxCorners {
			t.Errorf("%s: %d corners", plot.Name, corners)
		}
		if holes := len(plot.Polygon) - 1; holes != shapes.Kinds()[i].Holes {
			t.Errorf("%s: %d holes", plot.Name, holes)
		}
		t.Logf("%-36s %.5f ac, %2d corners, %d holes", plot.Name, plot.AreaM2()/shapes.SquareMetresPerAcre, corners, len(plot.Polygon)-1)
	}
}
