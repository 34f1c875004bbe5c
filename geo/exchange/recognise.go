package exchange

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"strings"
	"unicode/utf16"

	"evenfall/geo/fault"
)

// accepted closes every message about a file that is not understood.
const accepted = "send GeoJSON, GPX, KML, KMZ or a zipped shapefile"

// plainText drops a byte order mark and turns UTF-16 into UTF-8.
func plainText(data []byte) ([]byte, error) {
	switch {
	case bytes.HasPrefix(data, []byte("\xEF\xBB\xBF")):
		return data[3:], nil
	case bytes.HasPrefix(data, []byte("\xFF\xFE")):
		return fromUTF16(data[2:], binary.LittleEndian)
	case bytes.HasPrefix(data, []byte("\xFE\xFF")):
		return fromUTF16(data[2:], binary.BigEndian)
	}
	return data, nil
}

func fromUTF16(data []byte, order binary.ByteOrder) ([]byte, error) {
	if len(data)%2 != 0 {
		return nil, truncated(0)
	}
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = order.Uint16(data[2*i:])
	}
	return []byte(string(utf16.Decode(units))), nil
}

func truncated(line int) *fault.Error {
	return fault.New("truncated", "the file breaks off before its end", "export or send it again").
		Of(fault.Unread).At(fault.Place{Line: line})
}

// signatures are the first bytes of files that people send by mistake, as
// their own specifications give them.
var signatures = []struct {
	start, what string
}{
	{"\x89PNG", "a PNG picture"},
	{"\xFF\xD8\xFF", "a JPEG picture"},
	{"GIF8", "a GIF picture"},
	{"II*\x00", "a TIFF picture"},
	{"MM\x00*", "a TIFF picture"},
	{"%PDF", "a PDF document"},
	{"\x1F\x8B", "a gzip archive; unpack it first"},
	{"SQLite format 3", "a database (perhaps a GeoPackage)"},
	{"\x00\x00\x27\x0A", "the .shp part of a shapefile; zip the .shp, .shx, .dbf and .prj parts together"},
}

// recognise tells the format from the first bytes, and for XML from the root
// element. A zip archive is reported as KMZ until it is opened.
func recognise(data []byte) (Format, error) {
	trimmed := bytes.TrimLeft(data, " \t\r\n")
	if len(trimmed) == 0 {
		return "", fault.New("empty", "the file is empty", accepted).Of(fault.Unread)
	}
	if bytes.HasPrefix(data, []byte("PK\x03\x04")) || bytes.HasPrefix(data, []byte("PK\x05\x06")) {
		return KMZ, nil
	}
	for _, s := range signatures {
		if bytes.HasPrefix(data, []byte(s.start)) {
			return "", unknownFormat("this is " + s.what)
		}
	}
	switch trimmed[0] {
	case '{', '[':
		return GeoJSON, nil
	case '<':
		return recogniseXML(data)
	}
	return "", unknownFormat("the format of the file is not known")
}

func unknownFormat(what string) *fault.Error {
	return fault.New("unknown_format", what, accepted).Of(fault.Unread)
}

func recogniseXML(data []byte) (Format, error) {
	if err := checkTags(data); err != nil {
		return "", err
	}
	stream := newXMLStream(data)
	for {
		token, err := stream.Token()
		if err != nil {
			return "", stream.fault(err)
		}
		root, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch strings.ToLower(root.Name.Local) {
		case "gpx":
			return GPX, nil
		case "kml":
			return KML, nil
		}
		return "", unknownFormat(fmt.Sprintf("this is XML whose outermost element is %.40q", root.Name.Local))
	}
}
