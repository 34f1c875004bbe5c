package exchange_test

import (
	"bytes"
	"encoding/binary"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"evenfall/geo/exchange"
	"evenfall/geo/fault"
	"evenfall/internal/installed"
)

// shapefileParts reads the sample, each part by its ending.
func shapefileParts(t testing.TB) map[string]string {
	t.Helper()
	parts := map[string]string{}
	for _, ending := range []string{"shp", "shx", "dbf", "prj", "cpg"} {
		parts[ending] = string(sample(t, "shapefile/plots."+ending))
	}
	return parts
}

// zippedParts packs those parts that are not empty, in a fixed order.
func zippedParts(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var pairs []string
	for _, ending := range []string{"shp", "shx", "dbf", "prj", "cpg"} {
		if parts[ending] != "" {
			pairs = append(pairs, "folder/Plots."+ending, parts[ending])
		}
	}
	return zipped(t, pairs...)
}

func TestReadShapefile(t *testing.T) {
	parts := shapefileParts(t)
	tests := []struct {
		name  string
		spoil func(map[string]string)
		names string
	}{
		{"whole", func(map[string]string) {}, "Upper shelf, Gate strip, Åkant"},
		{"Latin-1", func(p map[string]string) {
			p["dbf"] = strings.ReplaceAll(p["dbf"], "Åkant", "\xC5kant ")
			p["cpg"] = "ISO-8859-1"
		}, "Upper shelf, Gate strip, Åkant"},
		{"without a table", func(p map[string]string) { p["dbf"] = "" }, "Plot 1, Plot 2, Plot 3"},
		{"with half a table", func(p map[string]string) { p["dbf"] = p["dbf"][:50] }, "Plot 1, Plot 2, Plot 3"},
		{"without a projection", func(p map[string]string) { p["prj"], p["cpg"] = "", "" }, "Upper shelf, Gate strip, Åkant"},
	}
	want, err := read(sample(t, "shapefile/plots.geojson"), exchange.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			spoiled := shapefileParts(t)
			tt.spoil(spoiled)
			doc, err := read(zippedParts(t, spoiled), exchange.ReadOptions{})
			if err != nil || doc.Format != exchange.Shapefile || len(doc.Plots) != len(want.Plots) {
				t.Fatalf("got %+v, %v", doc, err)
			}
			var names []string
			for i, plot := range doc.Plots {
				names = append(names, plot.Name)
				if d := plot.AreaM2() - want.Plots[i].AreaM2(); d > 1e-6 || d < -1e-6 {
					t.Errorf("%s: area differs by %g m2", plot.Name, d)
				}
			}
			if got := strings.Join(names, ", "); got != tt.names {
				t.Errorf("got %s, want %s", got, tt.names)
			}
		})
	}
	if len(parts["shp"]) == 0 {
		t.Error("the sample is empty")
	}
}

func TestReadBrokenShapefile(t *testing.T) {
	tests := []struct {
		name  string
		spoil func(map[string]string)
		code  string
		where fault.Place
	}{
		{"not one", func(p map[string]string) { p["shp"] = strings.Repeat("x", 200) }, "broken_shapefile", fault.Place{}},
		{"short header", func(p map[string]string) { p["shp"] = p["shp"][:80] }, "broken_shapefile", fault.Place{}},
		{"truncated", func(p map[string]string) { p["shp"] = p["shp"][:len(p["shp"])-9] }, "broken_shapefile", fault.Place{Feature: 3}},
		{"no shapes", func(p map[string]string) { p["shp"] = p["shp"][:100] }, "no_outline", fault.Place{}},
		{"huge record", func(p map[string]string) { p["shp"] = p["shp"][:104] + "\x3F\xFF\xFF\xFF" + p["shp"][108:] }, "broken_shapefile", fault.Place{Feature: 1}},
		{"too many points", func(p map[string]string) { p["shp"] = p["shp"][:100] + manyPoints(200_000) }, "too_many_corners", fault.Place{Feature: 1}},
		{"a map grid", func(p map[string]string) { p["prj"] = `PROJCS["WGS_1984_UTM_Zone_32N",GEOGCS["GCS_WGS_1984"]]` }, "other_crs", fault.Place{Field: "prj"}},
		{"another datum", func(p map[string]string) { p["prj"] = `GEOGCS["GCS_North_American_1927"]` }, "other_crs", fault.Place{Field: "prj"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			parts := shapefileParts(t)
			tt.spoil(parts)
			_, err := read(zippedParts(t, parts), exchange.ReadOptions{})
			found, ok := fault.From(err)
			if !ok || found.Code != tt.code || !samePlace(found.Where, tt.where) || found.Remedy == "" {
				t.Errorf("got %v, want %s at %+v", err, tt.code, tt.where)
			}
		})
	}
}

// manyPoints is a polygon record of one part with n points, all at zero.
func manyPoints(n int) string {
	words := uint32(2 + 16 + 2 + 2 + 2 + 8*n) // 16-bit words after the record header
	record := binary.BigEndian.AppendUint32(nil, 1)
	record = binary.BigEndian.AppendUint32(record, words)
	record = binary.LittleEndian.AppendUint32(record, 5)
	record = append(record, make([]byte, 32)...)
	record = binary.LittleEndian.AppendUint32(record, 1)
	record = binary.LittleEndian.AppendUint32(record, uint32(n))
	return string(append(record, make([]byte, 4+16*n)...))
}

// TestReadShapefileOfGDAL lets GDAL make a zipped shapefile and reads it.
func TestReadShapefileOfGDAL(t *testing.T) {
	program := installed.Program(t, "ogr2ogr")
	to := filepath.Join(t.TempDir(), "plots.shz")
	from := filepath.Join(outlines, "shapefile/plots.geojson")
	if said, err := exec.Command(program, "-f", "ESRI Shapefile", to, from).CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, said)
	}
	data, err := os.ReadFile(to)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := exchange.Read(bytes.NewReader(data), exchange.ReadOptions{})
	if err != nil || doc.Format != exchange.Shapefile || len(doc.Plots) != 3 || doc.Plots[0].Name != "Upper shelf" {
		t.Errorf("got %+v, %v", doc, err)
	}
}
