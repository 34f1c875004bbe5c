package exchange_test

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"evenfall/geo"
	"evenfall/geo/exchange"
	"evenfall/geo/fault"

	"github.com/paulmach/orb"
)

const outlines = "../../testdata/outlines"

func sample(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(outlines, name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func read(data []byte, o exchange.ReadOptions) (exchange.Document, error) {
	return exchange.Read(bytes.NewReader(data), o)
}

// zipped packs files, named and filled in pairs, into an archive.
func zipped(t testing.TB, pairs ...string) []byte {
	t.Helper()
	var packed bytes.Buffer
	archive := zip.NewWriter(&packed)
	for i := 0; i < len(pairs); i += 2 {
		file, err := archive.Create(pairs[i])
		if err == nil {
			_, err = io.WriteString(file, pairs[i+1])
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := archive.Close(); err != nil {
		t.Fatal(err)
	}
	return packed.Bytes()
}

// inUTF16 recodes a text with a byte order mark.
func inUTF16(text []byte, order binary.AppendByteOrder) []byte {
	out := order.AppendUint16(nil, 0xFEFF)
	for _, unit := range utf16.Encode([]rune(string(text))) {
		out = order.AppendUint16(out, unit)
	}
	return out
}

func TestReadFormats(t *testing.T) {
	folders, routes := string(sample(t, "folders.kml")), string(sample(t, "route.gpx"))
	type wanted struct {
		name    string
		corners int
	}
	shelf := []wanted{{"Upper shelf", 8}, {"Gate strip", 4}, {"Plot 3", 3}}
	pair := []wanted{{"Alder loop", 7}, {"Pair", 3}}
	tests := []struct {
		name   string
		data   []byte
		o      exchange.ReadOptions
		format exchange.Format
		title  string
		plots  []wanted
	}{
		{"several features", sample(t, "collection.geojson"), exchange.ReadOptions{}, exchange.GeoJSON, "Tarn Hollow", shelf},
		{"UTF-8 mark", append([]byte("\xEF\xBB\xBF"), sample(t, "collection.geojson")...), exchange.ReadOptions{}, exchange.GeoJSON, "Tarn Hollow", shelf},
		{"JSON in UTF-16", inUTF16(sample(t, "collection.geojson"), binary.BigEndian), exchange.ReadOptions{}, exchange.GeoJSON, "Tarn Hollow", shelf},
		{"closed line, named by the caller", sample(t, "closed_line.geojson"), exchange.ReadOptions{Name: "Corner"}, exchange.GeoJSON, "", []wanted{{"Corner", 3}}},
		{"two parts split", sample(t, "two_parts.geojson"), exchange.ReadOptions{Split: true}, exchange.GeoJSON, "", []wanted{{"Ridge 1", 4}, {"Ridge 2", 4}}},
		{"one part in a collection", sample(t, "one_part.geojson"), exchange.ReadOptions{}, exchange.GeoJSON, "", []wanted{{"Plot 1", 4}}},
		{"GPX track with times", sample(t, "walked.gpx"), exchange.ReadOptions{}, exchange.GPX, "Evening walk", []wanted{{"Round the bog field", 4}}},
		{"GPX routes", sample(t, "route.gpx"), exchange.ReadOptions{}, exchange.GPX, "", []wanted{{"Plot 1", 3}, {"Second", 3}}},
		{"GPX waypoints", sample(t, "waypoints.gpx"), exchange.ReadOptions{}, exchange.GPX, "Four stakes", []wanted{{"Four stakes", 4}}},
		{"GPX in UTF-16", inUTF16(sample(t, "walked.gpx"), binary.LittleEndian), exchange.ReadOptions{}, exchange.GPX, "Evening walk", []wanted{{"Round the bog field", 4}}},
		{"GPX in Latin-1", []byte("<?xml version='1.0' encoding='ISO-8859-1'?><gpx><metadata><name>\xC5s</name></metadata>" + routes[strings.Index(routes, "<rte>"):]), exchange.ReadOptions{}, exchange.GPX, "Ås", []wanted{{"Plot 1", 3}, {"Second", 3}}},
		{"KML folders", []byte(folders), exchange.ReadOptions{}, exchange.KML, "Two folders", pair},
		{"KML ring", sample(t, "ring.kml"), exchange.ReadOptions{}, exchange.KML, "", []wanted{{"Plot 1", 3}}},
		{"KML track", sample(t, "track.kml"), exchange.ReadOptions{}, exchange.KML, "", []wanted{{"Recorded", 3}}},
		{"KMZ", zipped(t, "files/picture.png", "\x89PNG", "other.kml", "<kml/>", "doc.kml", folders), exchange.ReadOptions{}, exchange.KMZ, "Two folders", pair},
		{"KMZ with another name", zipped(t, "Plots.KML", folders), exchange.ReadOptions{}, exchange.KMZ, "Two folders", pair},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			doc, err := read(tt.data, tt.o)
			if err != nil {
				t.Fatal(err)
			}
			if doc.Format != tt.format || doc.Name != tt.title || len(doc.Plots) != len(tt.plots) {
				t.Fatalf("got %s %q with %d plots", doc.Format, doc.Name, len(doc.Plots))
			}
			for i, want := range tt.plots {
				if got := doc.Plots[i]; got.Name != want.name || got.CornerCount() != want.corners {
					t.Errorf("plot %d: got %q with %d corners, want %+v", i, got.Name, got.CornerCount(), want)
				}
			}
		})
	}
}

func TestReadTrack(t *testing.T) {
	doc, err := read(sample(t, "walked.gpx"), exchange.ReadOptions{})
	if err != nil || len(doc.Tracks) != 1 {
		t.Fatalf("got %+v, %v", doc, err)
	}
	track := doc.Tracks[0]
	if track.Name != "Round the bog field" || track.Plot != 0 || len(track.Points) != 4 {
		t.Fatalf("got %+v", track)
	}
	first, second := track.Points[0], track.Points[1]
	if first.LonLat != (orb.Point{7.1010, 58.2010}) || first.EleM != 120.5 || first.HDOP != 0.9 || !math.IsNaN(first.AccuracyM) ||
		!first.Time.Equal(time.Date(2026, 4, 30, 17, 5, 0, 0, time.UTC)) {
		t.Errorf("first point is %+v", first)
	}
	if second.AccuracyM != 3.5 || !math.IsNaN(second.HDOP) {
		t.Errorf("second point is %+v", second)
	}
	fixes := track.Fixes()
	for i, want := range []float64{0, 60.5, 120} {
		if fixes[i].TimeS != want || fixes[i].LonLat != track.Points[i].LonLat {
			t.Errorf("fix %d is %+v", i, fixes[i])
		}
	}
	if !math.IsNaN(fixes[3].TimeS) || fixes[1].AccuracyM != 3.5 || fixes[0].AccuracyM != 0 {
		t.Errorf("fixes are %+v", fixes)
	}
}

// TestReadNoisyTrack keeps a recording that crosses itself, without a plot.
func TestReadNoisyTrack(t *testing.T) {
	crossing := strings.NewReplacer(
		`lat="58.2021" lon="7.1034"`, `lat="58.2021" lon="7.1010"`,
		`lat="58.2021" lon="7.1010"`, `lat="58.2021" lon="7.1034"`).Replace(string(sample(t, "walked.gpx")))
	doc, err := read([]byte(crossing), exchange.ReadOptions{})
	if err != nil || len(doc.Tracks) != 1 || len(doc.Plots) != 0 || doc.Tracks[0].Plot != -1 {
		t.Errorf("got %+v, %v", doc, err)
	}
}

func TestReadHole(t *testing.T) {
	doc, err := read(sample(t, "collection.geojson"), exchange.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	outer, _ := geo.NewPlot("", doc.Plots[0].Polygon[:1])
	if hole := outer.AreaM2() - doc.Plots[0].AreaM2(); hole < 500 || hole > 600 {
		t.Errorf("the hole takes %g m2", hole)
	}
}

// failing is a reader that breaks.
type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("cable pulled") }

func TestReadPassesOnReaderErrors(t *testing.T) {
	_, err := exchange.Read(failing{}, exchange.ReadOptions{})
	if _, isFault := fault.From(err); err == nil || isFault || !strings.Contains(err.Error(), "cable pulled") {
		t.Errorf("got %v", err)
	}
}

func BenchmarkReadGeoJSON(b *testing.B) { benchmarkRead(b, sample(b, "collection.geojson")) }
func BenchmarkReadKML(b *testing.B)     { benchmarkRead(b, sample(b, "folders.kml")) }
func BenchmarkReadGPX3600(b *testing.B) { benchmarkRead(b, longTrack(3600)) }

func benchmarkRead(b *testing.B, data []byte) {
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := read(data, exchange.ReadOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
