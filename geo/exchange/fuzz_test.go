package exchange

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"testing"

	"evenfall/geo"
	"evenfall/geo/fault"
)

// addSamples gives the fuzzer the sample files of some endings.
func addSamples(f *testing.F, endings ...string) {
	f.Helper()
	for _, ending := range endings {
		paths, err := filepath.Glob("../../testdata/outlines/*." + ending)
		if err != nil || len(paths) == 0 {
			f.Fatalf("no samples of %s: %v", ending, err)
		}
		for _, path := range paths {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
}

// stored packs one file without compression, so that the fuzzer can reach
// into it.
func stored(f *testing.F, name string, data []byte) []byte {
	f.Helper()
	var packed bytes.Buffer
	archive := zip.NewWriter(&packed)
	file, err := archive.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
	if err == nil {
		_, err = file.Write(data)
	}
	if err == nil {
		err = archive.Close()
	}
	if err != nil {
		f.Fatal(err)
	}
	return packed.Bytes()
}

// fuzzDecoder runs one decoder on bytes and checks what it accepts.
func fuzzDecoder(f *testing.F, format Format, decoder func([]byte, *collector) error) {
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, o := range []ReadOptions{{}, {Split: true, Name: "Lone"}} {
			collected := &collector{}
			err := decoder(data, collected)
			var doc Document
			if err == nil {
				doc, err = collected.document(format, o)
			}
			checkOutcome(t, doc, err)
		}
	})
}

// checkOutcome holds for every input: a fault and nothing else, or plots that
// are valid, stay the same when checked again, and come back from every format
// that is written.
func checkOutcome(t *testing.T, doc Document, err error) {
	t.Helper()
	if err != nil {
		if _, ok := fault.From(err); !ok {
			t.Fatalf("not a fault: %v", err)
		}
		return
	}
	if len(doc.Plots)+len(doc.Tracks) == 0 {
		t.Fatal("neither a fault nor anything found")
	}
	for _, plot := range doc.Plots {
		again, err := geo.NewPlot(plot.Name, plot.Polygon)
		if err != nil || plot.Name == "" || !equal(plot, again) {
			t.Fatalf("%v became %v, %v", plot, again, err)
		}
	}
	for _, track := range doc.Tracks {
		if track.Name == "" || track.Plot < -1 || track.Plot >= len(doc.Plots) || len(track.Fixes()) != len(track.Points) {
			t.Fatalf("bad track %+v", track)
		}
	}
	checkWriters(t, doc.Plots)
}

func equal(a, b geo.Plot) bool { return a.Name == b.Name && a.Polygon.Equal(b.Polygon) }

func checkWriters(t *testing.T, plots []geo.Plot) {
	t.Helper()
	if len(plots) == 0 {
		return
	}
	for _, write := range []func(io.Writer, Output) error{WriteGeoJSON, WriteGPX, WriteKML} {
		var out bytes.Buffer
		if err := write(&out, Output{Name: "Fuzz", Plots: plots}); err != nil {
			t.Fatal(err)
		}
		doc, err := Read(&out, ReadOptions{})
		if err != nil || len(doc.Plots) != len(plots) {
			t.Fatalf("%d plots came back as %d: %v", len(plots), len(doc.Plots), err)
		}
		for i := range plots {
			if !equal(doc.Plots[i], plots[i]) {
				t.Fatalf("%v came back as %v in %s", plots[i], doc.Plots[i], doc.Format)
			}
		}
	}
}

func FuzzGeoJSON(f *testing.F) {
	addSamples(f, "geojson")
	f.Add([]byte(`{"type":"Polygon","coordinates":[[[179.9999,0],[-179.9999,0],[-179.9999,1e-3]]]}`))
	fuzzDecoder(f, GeoJSON, readGeoJSON)
}

func FuzzGPX(f *testing.F) {
	addSamples(f, "gpx")
	fuzzDecoder(f, GPX, readGPX)
}

func FuzzKML(f *testing.F) {
	addSamples(f, "kml")
	fuzzDecoder(f, KML, readLoneKML)
}

func FuzzKMZ(f *testing.F) {
	for _, name := range []string{"folders.kml", "ring.kml"} {
		data, err := os.ReadFile("../../testdata/outlines/" + name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(stored(f, "doc.kml", data))
	}
	f.Add(stored(f, "a/b.kml", []byte("<kml><NetworkLink><Link><href>b.kml</href></Link></NetworkLink></kml>")))
	fuzzDecoder(f, KMZ, func(data []byte, into *collector) error {
		_, err := readZip(data, 1<<20, into)
		return err
	})
}

func FuzzRead(f *testing.F) {
	addSamples(f, "geojson", "gpx", "kml")
	f.Add([]byte("\xFF\xFE<\x00g\x00p\x00x\x00>\x00"))
	f.Add([]byte("\x89PNG\r\n\x1a\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		doc, err := Read(bytes.NewReader(data), ReadOptions{MaxBytes: 1 << 20})
		checkOutcome(t, doc, err)
	})
}

func FuzzShapefile(f *testing.F) {
	shapes, err := os.ReadFile("../../testdata/outlines/shapefile/plots.shp")
	if err != nil {
		f.Fatal(err)
	}
	table, err := os.ReadFile("../../testdata/outlines/shapefile/plots.dbf")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(shapes, table)
	f.Fuzz(func(t *testing.T, shapes, table []byte) {
		collected := &collector{}
		reader := &shapefileReader{collected, 1 << 20}
		err := reader.records(shapes, namesInTable(table, ""))
		var doc Document
		if err == nil {
			doc, err = collected.document(Shapefile, ReadOptions{Split: true})
		}
		checkOutcome(t, doc, err)
	})
}
