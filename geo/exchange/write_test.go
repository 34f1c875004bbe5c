package exchange_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"evenfall/geo"
	"evenfall/geo/exchange"
	"evenfall/internal/installed"

	"github.com/paulmach/orb"
)

// writers are the three formats that are written.
var writers = []struct {
	format exchange.Format
	ending string
	write  func(io.Writer, exchange.Output) error
}{
	{exchange.GeoJSON, "geojson", exchange.WriteGeoJSON},
	{exchange.GPX, "gpx", exchange.WriteGPX},
	{exchange.KML, "kml", exchange.WriteKML},
}

// sheetOutput is two plots, one with a hole and one across the antimeridian,
// three passes, a place and an area, with names that need care.
func sheetOutput(t testing.TB) exchange.Output {
	t.Helper()
	doc, err := read(sample(t, "collection.geojson"), exchange.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	far, err := geo.NewPlot("Ås & <far> side", orb.Polygon{{{179.9995, -17.1}, {-179.9995, -17.1}, {-179.9995, -17.0991234567890123}, {179.9995, -17.099}}})
	if err != nil {
		t.Fatal(err)
	}
	return exchange.Output{
		Name:  "Upper shelf, 30 April 2026",
		Note:  "Spacing 3.6 m",
		Plots: []geo.Plot{doc.Plots[0], far},
		Lines: []exchange.Line{
			{Name: "Pass 1, lap", Kind: "lap", Order: 1, Points: orb.LineString{{7.10110000049, 58.2011}, {7.1033, 58.2011}, {7.1033, 58.202}, {7.1011, 58.2011}}, Properties: map[string]any{"length_m": 312.25, "closed": true}},
			{Name: "Pass 2", Kind: "straight", Order: 2, Points: orb.LineString{{7.1011, 58.2012}, {7.1033, 58.2012}}},
			{Kind: "straight", Order: 3, Points: orb.LineString{{179.9999, -17}, {180.0001, -17}}},
		},
		Places: []exchange.Place{{Name: "Start", Kind: "start", Point: orb.Point{7.1011, 58.2011}, Properties: map[string]any{"load": 1}}},
		Areas:  []exchange.Area{{Name: "Thin", Kind: "thin", Polygon: orb.Polygon{{{7.102, 58.201}, {7.1021, 58.201}, {7.1021, 58.2011}, {7.102, 58.201}}}}},
	}
}

func written(t testing.TB, write func(io.Writer, exchange.Output) error, o exchange.Output) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := write(&out, o); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestRoundTrip reads back what was written and expects the very same plots,
// and none of the passes or areas among them.
func TestRoundTrip(t *testing.T) {
	output := sheetOutput(t)
	for _, w := range writers {
		t.Run(string(w.format), func(t *testing.T) {
			doc, err := read(written(t, w.write, output), exchange.ReadOptions{})
			if err != nil || doc.Format != w.format {
				t.Fatalf("%s: %v", doc.Format, err)
			}
			if !slices.EqualFunc(doc.Plots, output.Plots, samePlot) {
				t.Errorf("got  %v\nwant %v", doc.Plots, output.Plots)
			}
			if len(doc.Tracks) != 0 {
				t.Error("passes are no recordings")
			}
		})
	}
}

func samePlot(a, b geo.Plot) bool { return a.Name == b.Name && a.Polygon.Equal(b.Polygon) }

func TestWritingIsDeterministic(t *testing.T) {
	for _, w := range writers {
		first := written(t, w.write, sheetOutput(t))
		for range 20 {
			if !bytes.Equal(first, written(t, w.write, sheetOutput(t))) {
				t.Fatalf("%s differs from run to run", w.format)
			}
		}
	}
}

// broken is a writer that takes so many bytes and no more.
type broken struct{ left int }

func (b *broken) Write(p []byte) (int, error) {
	if b.left -= len(p); b.left < 0 {
		return 0, io.ErrShortWrite
	}
	return len(p), nil
}

func TestWritingPassesOnErrors(t *testing.T) {
	for _, w := range writers {
		for _, left := range []int{0, 100} {
			if err := w.write(&broken{left}, sheetOutput(t)); err == nil {
				t.Errorf("%s: no error after %d bytes", w.format, left)
			}
		}
	}
}

func TestGeoJSONHoldsEverything(t *testing.T) {
	output := sheetOutput(t)
	output.Time = time.Date(2026, 4, 30, 17, 0, 0, 0, time.UTC)
	var collection struct {
		Name, Note, Time string
		Features         []struct {
			Properties map[string]any
			Geometry   struct {
				Type        string
				Coordinates json.RawMessage
			}
		}
	}
	if err := json.Unmarshal(written(t, exchange.WriteGeoJSON, output), &collection); err != nil {
		t.Fatal(err)
	}
	if collection.Name != output.Name || collection.Note != output.Note || collection.Time != "2026-04-30T17:00:00Z" {
		t.Errorf("got %q %q %q", collection.Name, collection.Note, collection.Time)
	}
	var kinds []string
	for _, f := range collection.Features {
		kinds = append(kinds, f.Geometry.Type)
	}
	if want := "Polygon Polygon LineString LineString LineString Point Polygon"; strings.Join(kinds, " ") != want {
		t.Errorf("got %v, want %s", kinds, want)
	}
	lap := collection.Features[2]
	if lap.Properties["order"] != 1.0 || lap.Properties["length_m"] != 312.25 || lap.Properties["kind"] != "lap" {
		t.Errorf("the lap has %v", lap.Properties)
	}
	if got, want := string(lap.Geometry.Coordinates), "[[7.1011,58.2011],[7.1033,58.2011],[7.1033,58.202],[7.1011,58.2011]]"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got := string(collection.Features[4].Geometry.Coordinates); got != "[[179.9999,-17],[-179.9999,-17]]" {
		t.Errorf("across the antimeridian: %s", got)
	}
}

// gpxOrder lists, for the elements that are written, the children that GPX 1.1
// allows, in the order that its schema demands (http://www.topografix.com/GPX/1/1/).
// Written from memory of the schema; extensions and links are never written.
var gpxOrder = map[string][]string{
	"gpx":      {"metadata", "wpt", "rte", "trk", "extensions"},
	"metadata": {"name", "desc", "author", "copyright", "link", "time", "keywords", "bounds", "extensions"},
	"wpt":      gpxPointOrder, "rtept": gpxPointOrder, "trkpt": gpxPointOrder,
	"rte":    {"name", "cmt", "desc", "src", "link", "number", "type", "extensions", "rtept"},
	"trk":    {"name", "cmt", "desc", "src", "link", "number", "type", "extensions", "trkseg"},
	"trkseg": {"trkpt", "extensions"},
	"name":   {}, "desc": {}, "time": {}, "number": {}, "type": {},
}

var gpxPointOrder = []string{
	"ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type",
	"fix", "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "extensions",
}

// gpxMany are the elements that may repeat.
var gpxMany = []string{"wpt", "rte", "trk", "trkseg", "rtept", "trkpt", "link"}

func TestGPXKeepsTheRulesOfItsSchema(t *testing.T) {
	plain, dated := sheetOutput(t), sheetOutput(t)
	dated.Time = time.Date(2026, 4, 30, 17, 0, 0, 0, time.FixedZone("", 7200))
	for _, output := range []exchange.Output{{}, plain, dated} {
		root := parseXML(t, written(t, exchange.WriteGPX, output))
		if root.XMLName.Local != "gpx" || root.XMLName.Space != "http://www.topografix.com/GPX/1/1" ||
			root.attribute("version") != "1.1" || root.attribute("creator") == "" {
			t.Errorf("root is %v %v", root.XMLName, root.Attrs)
		}
		checkGPX(t, root)
	}
}

// element is any XML element.
type element struct {
	XMLName  xml.Name
	Attrs    []xml.Attr `xml:",any,attr"`
	Text     string     `xml:",chardata"`
	Children []element  `xml:",any"`
}

func (e element) attribute(name string) string {
	for _, a := range e.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func parseXML(t *testing.T, data []byte) element {
	t.Helper()
	var root element
	if err := xml.Unmarshal(data, &root); err != nil {
		t.Fatal(err)
	}
	return root
}

func checkGPX(t *testing.T, e element) {
	t.Helper()
	order, known := gpxOrder[e.XMLName.Local]
	if !known {
		t.Errorf("no element %s is written", e.XMLName.Local)
	}
	last := -1
	for _, child := range e.Children {
		name := child.XMLName.Local
		at := slices.Index(order, name)
		if at < last || at < 0 || at == last && !slices.Contains(gpxMany, name) {
			t.Errorf("%s may not follow in %s, whose order is %v", name, e.XMLName.Local, order)
		}
		last = at
		checkGPX(t, child)
	}
	checkGPXValue(t, e)
}

// checkGPXValue checks the types latitudeType, longitudeType,
// nonNegativeInteger and dateTime.
func checkGPXValue(t *testing.T, e element) {
	t.Helper()
	switch e.XMLName.Local {
	case "wpt", "rtept", "trkpt":
		lat, lon := decimal(t, e.attribute("lat")), decimal(t, e.attribute("lon"))
		if lat < -90 || lat > 90 || lon < -180 || lon >= 180 {
			t.Errorf("point at %g %g", lon, lat)
		}
		if len(e.Attrs) != 2 {
			t.Errorf("point with %v", e.Attrs)
		}
	case "number":
		if n, err := strconv.Atoi(e.Text); err != nil || n < 0 {
			t.Errorf("number %q", e.Text)
		}
	case "time":
		if _, err := time.Parse("2006-01-02T15:04:05Z", e.Text); err != nil {
			t.Errorf("time %q is not in UTC", e.Text)
		}
	}
}

// decimal parses an xsd:decimal, which has no exponent.
func decimal(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || strings.ContainsAny(text, "eEnN") {
		t.Errorf("%q is not a decimal", text)
	}
	return x
}

// TestGPXTracksAreThePasses finds one named, numbered track for each line, in
// driving order.
func TestGPXTracksAreThePasses(t *testing.T) {
	output := sheetOutput(t)
	root := parseXML(t, written(t, exchange.WriteGPX, output))
	var names, numbers []string
	for _, child := range root.Children {
		if child.XMLName.Local != "trk" {
			continue
		}
		for _, part := range child.Children {
			switch part.XMLName.Local {
			case "name":
				names = append(names, part.Text)
			case "number":
				numbers = append(numbers, part.Text)
			}
		}
	}
	if !slices.Equal(names, []string{"Pass 1, lap", "Pass 2", "Pass 3"}) || !slices.Equal(numbers, []string{"1", "2", "3"}) {
		t.Errorf("got %q %q", names, numbers)
	}
}

func TestXMLIsWellFormed(t *testing.T) {
	program := installed.Program(t, "xmllint")
	for _, w := range writers[1:] {
		command := exec.Command(program, "--noout", "--nonet", "-")
		command.Stdin = bytes.NewReader(written(t, w.write, sheetOutput(t)))
		if said, err := command.CombinedOutput(); err != nil || len(said) > 0 {
			t.Errorf("%s: %v %s", w.format, err, said)
		}
	}
}

// TestGDALReadsWhatIsWritten lists every feature with GDAL's ogrinfo.
func TestGDALReadsWhatIsWritten(t *testing.T) {
	program := installed.Program(t, "ogrinfo")
	wants := map[exchange.Format][]string{
		exchange.GeoJSON: {"Feature Count: 7", `using driver ` + "`GeoJSON'", "Upper shelf", "Pass 1, lap", "role (String) = evenfall pass", "length_m (Real) = 312.25", "order (Integer) = 2"},
		exchange.GPX:     {"using driver `GPX'", "Layer name: tracks", "Layer name: routes", "Layer name: waypoints", "Pass 1, lap", "number (Integer) = 2", "Ås & <far> side", "MULTILINESTRING ((7.1011 58.2012,7.1033 58.2012))"},
		exchange.KML:     {"Upper shelf", "Pass 1, lap", "POLYGON", "LINESTRING", "Ås & <far> side"},
	}
	for _, w := range writers {
		path := filepath.Join(t.TempDir(), "sheet."+w.ending)
		if err := os.WriteFile(path, written(t, w.write, sheetOutput(t)), 0o600); err != nil {
			t.Fatal(err)
		}
		said, err := exec.Command(program, "-ro", "-al", path).CombinedOutput()
		if err != nil || bytes.Contains(said, []byte("ERROR")) || bytes.Contains(said, []byte("Warning")) {
			t.Errorf("%s: %v\n%s", w.format, err, said)
		}
		for _, want := range wants[w.format] {
			if !bytes.Contains(said, []byte(want)) {
				t.Errorf("%s: ogrinfo does not say %q:\n%s", w.format, want, said)
			}
		}
	}
}

// TestReadWhatGDALMakesOfIt lets GDAL convert what is written and reads that.
func TestReadWhatGDALMakesOfIt(t *testing.T) {
	program := installed.Program(t, "ogr2ogr")
	output := sheetOutput(t)
	folder := t.TempDir()
	from := filepath.Join(folder, "sheet.geojson")
	if err := os.WriteFile(from, written(t, exchange.WriteGeoJSON, output), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, target := range [][2]string{{"GeoJSON", "converted.geojson"}, {"KML", "plain.kml"}, {"LIBKML", "rich.kml"}, {"LIBKML", "packed.kmz"}} {
		driver, to := target[0], filepath.Join(folder, target[1])
		if said, err := exec.Command(program, "-f", driver, to, from).CombinedOutput(); err != nil {
			t.Errorf("%s: %v %s", driver, err, said)
			continue
		}
		data, err := os.ReadFile(to)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := read(data, exchange.ReadOptions{})
		if err != nil || len(doc.Plots) != len(output.Plots) {
			t.Errorf("%s: got %d plots, %v", driver, len(doc.Plots), err)
			continue
		}
		for i, plot := range doc.Plots {
			if plot.Name != output.Plots[i].Name || plot.CornerCount() != output.Plots[i].CornerCount() {
				t.Errorf("%s: got %q with %d corners", driver, plot.Name, plot.CornerCount())
			}
		}
	}
}

func BenchmarkWriteGeoJSON(b *testing.B) { benchmarkWrite(b, exchange.WriteGeoJSON) }
func BenchmarkWriteGPX(b *testing.B)     { benchmarkWrite(b, exchange.WriteGPX) }
func BenchmarkWriteKML(b *testing.B)     { benchmarkWrite(b, exchange.WriteKML) }

func benchmarkWrite(b *testing.B, write func(io.Writer, exchange.Output) error) {
	output := sheetOutput(b)
	for range 50 {
		output.Lines = append(output.Lines, output.Lines[0])
	}
	for b.Loop() {
		if err := write(io.Discard, output); err != nil {
			b.Fatal(err)
		}
	}
}
