package exchange

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"evenfall/geo"
	"evenfall/geo/fault"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"
	"github.com/twpayne/go-shapefile"
)

// shpHeaderBytes and shpFileCode start a .shp file (ESRI Shapefile Technical
// Description, July 1998, table 1).
const (
	shpHeaderBytes = 100
	shpFileCode    = 9994
)

// layer is the parts of one shapefile in an archive.
type layer struct {
	shp, dbf, prj, cpg *zip.File
}

// layersOf finds the shapefiles of an archive in its order. The copies that
// some systems keep under __MACOSX are not shapefiles.
func layersOf(archive *zip.Reader) []layer {
	var layers []layer
	for _, file := range archive.File {
		if !strings.EqualFold(path.Ext(file.Name), ".shp") || strings.HasPrefix(file.Name, "__MACOSX") {
			continue
		}
		base := strings.TrimSuffix(file.Name, path.Ext(file.Name))
		layers = append(layers, layer{
			shp: file,
			dbf: entryNoCase(archive, base+".dbf"),
			prj: entryNoCase(archive, base+".prj"),
			cpg: entryNoCase(archive, base+".cpg"),
		})
	}
	return layers
}

func entryNoCase(archive *zip.Reader, name string) *zip.File {
	for _, file := range archive.File {
		if strings.EqualFold(file.Name, name) {
			return file
		}
	}
	return nil
}

// shapefileReader reads the layers of an archive; left is how many bytes may
// still be unpacked.
type shapefileReader struct {
	*collector
	left int64
}

func (r *shapefileReader) unpack(file *zip.File) ([]byte, error) {
	if file == nil {
		return nil, nil
	}
	data, err := unpack(file, r.left)
	r.left -= int64(len(data))
	return data, err
}

func (r *shapefileReader) layer(l layer) error {
	projection, err := r.unpack(l.prj)
	if err != nil {
		return err
	}
	if err := checkProjection(string(projection)); err != nil {
		return err
	}
	table, err := r.unpack(l.dbf)
	if err != nil {
		return err
	}
	encoding, err := r.unpack(l.cpg)
	if err != nil {
		return err
	}
	shapes, err := r.unpack(l.shp)
	if err != nil {
		return err
	}
	return r.records(shapes, namesInTable(table, string(encoding)))
}

// checkProjection refuses every coordinate system but degrees on WGS84. A
// shapefile without a .prj part is taken for that; its figures still have to
// be degrees.
func checkProjection(wkt string) error {
	wkt = strings.ToUpper(strings.TrimSpace(wkt))
	geographic := strings.HasPrefix(wkt, "GEOGCS[") || strings.HasPrefix(wkt, "GEOGCRS[")
	if wkt == "" || geographic && (strings.Contains(wkt, "WGS_1984") || strings.Contains(wkt, "WGS 84") || strings.Contains(wkt, "WORLD GEODETIC SYSTEM 1984")) {
		return nil
	}
	return fault.New("other_crs", "the shapefile's .prj part names a coordinate system other than WGS84 degrees",
		"export it again as WGS84 longitude and latitude (EPSG:4326)").In("prj")
}

// records reads the shapes one by one. names holds the name of each.
func (r *shapefileReader) records(data []byte, names []string) error {
	if len(data) < shpHeaderBytes || binary.BigEndian.Uint32(data) != shpFileCode {
		return brokenShapefile("it does not start as one", fault.Place{})
	}
	stream := bytes.NewReader(data[shpHeaderBytes:])
	limits := &shapefile.ReadSHPOptions{MaxParts: maxRings, MaxPoints: geo.MaxCorners + maxRings, MaxRecordSize: len(data)}
	for i := 0; stream.Len() > 0; i++ {
		place, err := r.nextFeature(0)
		if err != nil {
			return err
		}
		record, err := shapefile.ReadSHPRecord(stream, limits)
		if err != nil {
			return recordFault(err, place)
		}
		name := ""
		if i < len(names) {
			name = names[i]
		}
		if err := r.shape(record.Geom, outline{name: name, place: place}); err != nil {
			return err
		}
	}
	return nil
}

// shape keeps polygons, and lines that close.
func (r *shapefileReader) shape(shape geom.T, found outline) error {
	if shape == nil {
		return nil
	}
	if err := r.addCorners(len(shape.FlatCoords())/shape.Stride(), found.place); err != nil {
		return err
	}
	switch shape := shape.(type) {
	case *geom.MultiPolygon:
		for _, polygon := range shape.Coords() {
			var part orb.Polygon
			for _, ring := range polygon {
				part = append(part, orb.Ring(lineOf(ring)))
			}
			found.parts = append(found.parts, part)
		}
		r.areas = append(r.areas, found)
	case *geom.MultiLineString:
		for _, line := range shape.Coords() {
			r.addLine(found.name, lineOf(line), found.place)
		}
	}
	return nil
}

func lineOf(coordinates []geom.Coord) orb.LineString {
	line := make(orb.LineString, len(coordinates))
	for i, c := range coordinates {
		line[i] = orb.Point{c.X(), c.Y()}
	}
	return line
}

func brokenShapefile(why string, place fault.Place) *fault.Error {
	return fault.New("broken_shapefile", "the shapefile is broken: "+why,
		"export it again, without heights, or send GeoJSON").Of(fault.Unread).At(place)
}

// recordFault tells records that pass a limit, which the library reports in
// words only, from broken ones.
func recordFault(err error, place fault.Place) *fault.Error {
	switch {
	case strings.Contains(err.Error(), "too many points"), strings.Contains(err.Error(), "too many parts"):
		return geo.TooManyCorners().At(place)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF), strings.Contains(err.Error(), "too large"):
		return brokenShapefile("it breaks off before its end", place)
	}
	return brokenShapefile(fmt.Sprintf("%.80s", err), place)
}
