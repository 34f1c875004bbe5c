package exchange_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"evenfall/geo/exchange"
	"evenfall/geo/fault"
)

// gpxOf wraps elements into a GPX file.
func gpxOf(body string) string {
	return `<gpx version="1.1" creator="made by hand">` + "\n" + body + "\n</gpx>"
}

// polygonOf is a bare GeoJSON polygon of one ring.
func polygonOf(positions string) string {
	return `{"type":"Polygon","coordinates":[[` + positions + `]]}`
}

// longTrack is a GPX circle of n points, a second apart.
func longTrack(n int) []byte {
	var text strings.Builder
	text.WriteString(`<gpx version="1.1" creator="made by hand"><trk><trkseg>`)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		fmt.Fprintf(&text, `<trkpt lat="%.9f" lon="%.9f"><time>2026-04-%02dT%02d:%02d:%02dZ</time></trkpt>`,
			58.2+0.01*sin, 7.1+0.02*cos, 1+i/86400, i/3600%24, i/60%60, i%60)
	}
	text.WriteString(`</trkseg></trk></gpx>`)
	return []byte(text.String())
}

// longRing lists n positions of a circle with a separator.
func longRing(n int, form, separator string) string {
	positions := make([]string, n)
	for i := range positions {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		positions[i] = fmt.Sprintf(form, 7.1+0.02*cos, 58.2+0.01*sin)
	}
	return strings.Join(positions, separator)
}

// zipBomb unpacks to a KML document of so many megabytes of blanks.
func zipBomb(t *testing.T, megabytes int) []byte {
	t.Helper()
	var packed bytes.Buffer
	archive := zip.NewWriter(&packed)
	file, err := archive.Create("doc.kml")
	if err != nil {
		t.Fatal(err)
	}
	blanks := bytes.Repeat([]byte(" "), 1<<20)
	for range megabytes {
		if _, err := file.Write(blanks); err != nil {
			t.Fatal(err)
		}
	}
	if err := archive.Close(); err != nil {
		t.Fatal(err)
	}
	return packed.Bytes()
}

const entityBomb = `<?xml version="1.0"?>
<!DOCTYPE gpx [
 <!ENTITY a "aaaaaaaaaa">
 <!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">
 <!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">
]>
<gpx><trk><name>&c;</name></trk></gpx>`

type brokenInput struct {
	name  string
	data  []byte
	code  string
	kind  fault.Kind
	where fault.Place // LonLat to 1e-6 degrees
}

// brokenInputs is every way of being wrong that is named anywhere.
func brokenInputs(t *testing.T) []brokenInput {
	corner := `[7.1,58.2],[7.102,58.2],[7.102,58.202]`
	point := `<trkpt lat="58.2" lon="7.1"/>`
	mark := `<kml><Placemark><Polygon><outerBoundaryIs><LinearRing><coordinates>%s</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>`
	locked := zipped(t, "doc.kml", "<kml/>")
	locked[6] |= 1                                           // general purpose bit 0 of the local header
	locked[bytes.Index(locked, []byte("PK\x01\x02"))+8] |= 1 // and of the directory
	manyFiles := make([]string, 0, 2400)
	for i := range 1200 {
		manyFiles = append(manyFiles, fmt.Sprintf("%d.txt", i), "")
	}
	text := func(s string) []byte { return []byte(s) }
	return []brokenInput{
		{"empty", nil, "empty", fault.Unread, fault.Place{}},
		{"blanks", text(" \r\n\t"), "empty", fault.Unread, fault.Place{}},
		{"PNG", text("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"), "unknown_format", fault.Unread, fault.Place{}},
		{"gzip", text("\x1F\x8B\x08\x00"), "unknown_format", fault.Unread, fault.Place{}},
		{"bare shp", text("\x00\x00\x27\x0A\x00\x00"), "unknown_format", fault.Unread, fault.Place{}},
		{"plain text", text("lon,lat\n7.1,58.2\n"), "unknown_format", fault.Unread, fault.Place{}},
		{"web page", text("<!-- hello --><html><body/></html>"), "unknown_format", fault.Unread, fault.Place{}},
		{"too large", bytes.Repeat([]byte(" "), exchange.DefaultMaxBytes+1), "file_too_large", fault.TooLarge, fault.Place{}},
		{"half a UTF-16 character", text("\xFF\xFE<"), "truncated", fault.Unread, fault.Place{}},

		{"JSON truncated", text("{\"type\":\n\"Polygon\",\n\"coordinates\":[[[7.1,58"), "truncated", fault.Unread, fault.Place{Line: 3}},
		{"JSON syntax", text("{\"type\":\n\"Polygon\",,}"), "json_syntax", fault.Unread, fault.Place{Line: 2}},
		{"JSON NaN", text(polygonOf("[7.1,58.2],\n[NaN,58.2]")), "not_finite", fault.Invalid, fault.Place{Line: 2}},
		{"JSON nan", text(polygonOf("[7.1,58.2],[nan,58.2]")), "not_finite", fault.Invalid, fault.Place{Line: 1}},
		{"JSON -Infinity", text(polygonOf("[7.1,-Infinity]")), "not_finite", fault.Invalid, fault.Place{Line: 1}},
		{"JSON number out of range", text(polygonOf("[7.1,58.2],[7.1,1e999]")), "bad_number", fault.Invalid, fault.Place{Feature: 1, Ring: 1, Vertex: 2}},
		{"JSON null coordinate", text(polygonOf("[7.1,58.2],[7.1,null]")), "bad_number", fault.Invalid, fault.Place{Feature: 1, Ring: 1, Vertex: 2}},
		{"JSON one coordinate", text(polygonOf("[7.1,58.2],[7.1]")), "bad_coordinates", fault.Invalid, fault.Place{Feature: 1, Ring: 1, Vertex: 2}},
		{"JSON nesting", text("[" + strings.Repeat("[", 20000)), "json_syntax", fault.Unread, fault.Place{Line: 1}},
		{"JSON wrong nesting of coordinates", text(`{"type":"Polygon","coordinates":[` + corner + `]}`), "bad_coordinates", fault.Invalid, fault.Place{Feature: 1}},
		{"JSON list", text("[1,2]"), "not_geojson", fault.Unread, fault.Place{}},
		{"JSON of another kind", text(`{"plots":[]}`), "not_geojson", fault.Unread, fault.Place{Feature: 1}},
		{"JSON unknown geometry", text(`{"type":"Circle"}`), "not_geojson", fault.Unread, fault.Place{Feature: 1}},
		{"JSON features missing", text(`{"type":"FeatureCollection"}`), "not_geojson", fault.Unread, fault.Place{}},
		{"JSON feature is a number", text(`{"type":"FeatureCollection","features":[7]}`), "not_geojson", fault.Unread, fault.Place{Feature: 1}},
		{"JSON properties are a list", text(`{"type":"Feature","properties":[]}`), "not_geojson", fault.Unread, fault.Place{Feature: 1}},
		{"JSON collections nested", text(strings.Repeat(`{"type":"GeometryCollection","geometries":[`, 8) + strings.Repeat("]}", 8)), "too_deep", fault.TooLarge, fault.Place{Feature: 1}},
		{"JSON collection of 50,001 members", text(`{"type":"GeometryCollection","geometries":[` + strings.Repeat("null,", 50_000) + "null]}"), "too_many_features", fault.TooLarge, fault.Place{Feature: 1}},
		{"JSON other system", text(`{"type":"Feature","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::3857"}},"geometry":null}`), "other_crs", fault.Invalid, fault.Place{Field: "crs"}},
		{"JSON points only", text(`{"type":"Point","coordinates":[7.1,58.2]}`), "no_outline", fault.Invalid, fault.Place{}},
		{"JSON open line", text(`{"type":"LineString","coordinates":[` + corner + `]}`), "open_line", fault.Invalid, fault.Place{Feature: 1}},
		{"JSON two parts", sample(t, "two_parts.geojson"), "several_parts", fault.Invalid, fault.Place{Feature: 1}},
		{"bow-tie", text(polygonOf(`[7.1,58.2],[7.102,58.202],[7.102,58.2],[7.1,58.202]`)), "self_crossing", fault.Invalid, fault.Place{Feature: 1, Ring: 1, Vertex: 1, LonLat: []float64{7.101, 58.201}}},
		{"swapped axes", text(polygonOf(`[44.1,-91.2],[44.102,-91.2],[44.102,-91.202]`)), "swapped_axes", fault.Invalid, fault.Place{Feature: 1, Ring: 1, Vertex: 1}},
		{"200,000 corners in GeoJSON", text(polygonOf(longRing(200_000, "[%.9f,%.9f]", ","))), "too_many_corners", fault.TooLarge, fault.Place{Feature: 1}},
		{"many plots of many corners", text(`{"type":"MultiPolygon","coordinates":[[[` + longRing(9000, "[%.9f,%.9f]", ",") + `]]` + strings.Repeat(`,[[[7.1,58.2]]]`, 20_000) + `]}`), "too_many_corners", fault.TooLarge, fault.Place{Feature: 1}},
		{"50,001 features", text(`{"type":"FeatureCollection","features":[` + strings.Repeat(`{"type":"Feature"},`, 50_000) + `{"type":"Feature"}]}`), "too_many_features", fault.TooLarge, fault.Place{Feature: 50_001}},

		{"entity bomb", text(entityBomb), "dtd_refused", fault.Refused, fault.Place{Line: 6}},
		{"XML truncated", text("<gpx>\n<trk>\n<trkseg><trkpt lat='58.2' lo"), "truncated", fault.Unread, fault.Place{Line: 3}},
		{"XML truncated between elements", text("<gpx>\n<trk>\n<trkseg>"), "truncated", fault.Unread, fault.Place{Line: 3}},
		{"XML tags that do not match", text("<gpx>\n<trk></rte></gpx>"), "xml_syntax", fault.Unread, fault.Place{Line: 2}},
		{"XML unknown entity", text("<gpx><trk><name>&boom;</name></trk></gpx>"), "xml_syntax", fault.Unread, fault.Place{Line: 1}},
		{"XML nesting", text("<kml>" + strings.Repeat("<Folder>", 100)), "too_deep", fault.TooLarge, fault.Place{Line: 1}},
		{"XML in another encoding", text(`<?xml version="1.0" encoding="EBCDIC"?><gpx/>`), "encoding", fault.Unread, fault.Place{Line: 1}},
		{"a million elements", text("<gpx><extensions>" + strings.Repeat("<a/>", 1_000_000)), "too_many_elements", fault.TooLarge, fault.Place{Line: 1}},
		{"XML tag of many attributes", text("<gpx>\n<trk " + strings.Repeat("a='' ", 300_000) + "/></gpx>"), "tag_too_long", fault.TooLarge, fault.Place{Line: 2}},
		{"GPX with nothing", text(gpxOf("")), "no_outline", fault.Invalid, fault.Place{}},
		{"GPX point without latitude", text(gpxOf("<trk><trkseg>" + point + "\n<trkpt lon='7.1'/></trkseg></trk>")), "bad_coordinates", fault.Invalid, fault.Place{Feature: 1, Vertex: 2, Line: 3, Field: "lat"}},
		{"GPX comma for a point", text(gpxOf("<rte><rtept lat='58,2' lon='7.1'/></rte>")), "bad_number", fault.Invalid, fault.Place{Feature: 1, Vertex: 1, Line: 2, Field: "lat"}},
		{"GPX NaN", text(gpxOf("<rte><rtept lat='NaN' lon='7.1'/></rte>")), "not_finite", fault.Invalid, fault.Place{Feature: 1, Vertex: 1, Line: 2}},
		{"GPX swapped axes", text(gpxOf("<wpt lat='-91.2' lon='44.1'/>")), "swapped_axes", fault.Invalid, fault.Place{Vertex: 1, Line: 2}},
		{"GPX time", text(gpxOf("<trk><trkseg><trkpt lat='58.2' lon='7.1'><time>noon</time></trkpt></trkseg></trk>")), "bad_time", fault.Invalid, fault.Place{Feature: 1, Vertex: 1, Line: 2, Field: "time"}},
		{"GPX two points", text(gpxOf("<trk><trkseg>" + point + "<trkpt lat='58.3' lon='7.1'/></trkseg></trk>")), "too_few_corners", fault.Invalid, fault.Place{Feature: 1, Ring: 1, Line: 2}},
		{"200,000 points in GPX", longTrack(200_000)[:exchange.DefaultMaxBytes-1], "too_many_points", fault.TooLarge, fault.Place{Feature: 1, Vertex: exchange.MaxTrackPoints + 1, Line: 1}},
		{"200,000 corners in KML", text(fmt.Sprintf(mark, longRing(200_000, "%.9f,%.9f", " "))), "too_many_corners", fault.TooLarge, fault.Place{Feature: 1, Ring: 1, Vertex: 10_002, Line: 1}},
		{"KML blank after comma", text(fmt.Sprintf(mark, "7.1, 58.2, 0")), "bad_coordinates", fault.Invalid, fault.Place{Feature: 1, Ring: 1, Vertex: 1, Line: 1}},
		{"KML track of two lengths", text("<kml><Placemark><Track><when>2026-04-30T17:05:00Z</when></Track></Placemark></kml>"), "bad_track", fault.Invalid, fault.Place{Feature: 1, Line: 1}},
		{"KML link", text("<kml><NetworkLink><Link><href>other.kml</href></Link></NetworkLink></kml>"), "network_link", fault.Invalid, fault.Place{}},
		{"KML empty polygon", text("<kml><Placemark><Polygon/></Placemark></kml>"), "no_outline", fault.Invalid, fault.Place{Feature: 1, Line: 1}},

		{"zip without a map", zipped(t, "notes.txt", "hello"), "unknown_format", fault.Unread, fault.Place{}},
		{"zip truncated", zipped(t, "doc.kml", "<kml/>")[:60], "broken_zip", fault.Unread, fault.Place{}},
		{"zip bomb", zipBomb(t, 100), "file_too_large", fault.TooLarge, fault.Place{}},
		{"zip of many files", zipped(t, manyFiles...), "too_many_entries", fault.TooLarge, fault.Place{}},
		{"locked zip", locked, "encrypted", fault.Unread, fault.Place{}},
		{"KMZ truncated inside", zipped(t, "doc.kml", "<kml>\n<Document>"), "truncated", fault.Unread, fault.Place{Line: 2}},
		{"KMZ that links to itself", zipped(t, "doc.kml", "<kml><NetworkLink><Link><href>doc.kml</href></Link></NetworkLink></kml>"), "no_outline", fault.Invalid, fault.Place{}},
		{"KMZ that is not KML", zipped(t, "doc.kml", "<gpx></gpx>"), "unknown_format", fault.Unread, fault.Place{}},
	}
}

// memoryLimit is what reading any broken input may allocate, in bytes.
const memoryLimit = 300 << 20

func TestReadBroken(t *testing.T) {
	for _, tt := range brokenInputs(t) {
		t.Run(tt.name, func(t *testing.T) {
			doc, allocated, err := readCounted(tt.data)
			if allocated > memoryLimit {
				t.Errorf("allocates %d MB", allocated>>20)
			}
			found, ok := fault.From(err)
			if !ok {
				t.Fatalf("got %d plots, %v; want a fault", len(doc.Plots), err)
			}
			if found.Code != tt.code || found.Kind != tt.kind {
				t.Fatalf("got %s (%s), want %s (%s): %v", found.Code, found.Kind, tt.code, tt.kind, err)
			}
			if !samePlace(found.Where, tt.where) {
				t.Errorf("got place %+v, want %+v", found.Where, tt.where)
			}
			if found.What == "" || found.Remedy == "" || len(err.Error()) > 400 {
				t.Errorf("%q must say what and what to do, in short", err)
			}
			if len(doc.Plots)+len(doc.Tracks) > 0 {
				t.Error("a fault comes with no plots")
			}
		})
	}
}

// samePlace compares places as they are shown, coordinates to 1e-6 degrees.
func samePlace(got, want fault.Place) bool { return got.String() == want.String() }

// readCounted reads and returns the bytes allocated on the way, which bound
// what was held at any moment.
func readCounted(data []byte) (doc exchange.Document, allocated uint64, err error) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	doc, err = read(data, exchange.ReadOptions{})
	runtime.ReadMemStats(&after)
	return doc, after.TotalAlloc - before.TotalAlloc, err
}
