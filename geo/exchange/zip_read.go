package exchange

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"evenfall/geo/fault"
)

// readZip opens a zip archive and reads the KML document or the shapefile in
// it. What the archive says about sizes is not believed; what is unpacked is
// counted.
func readZip(data []byte, limit int64, into *collector) (Format, error) {
	archive, err := openZip(data)
	if err != nil {
		return "", err
	}
	if first := kmlEntry(archive); first != nil {
		return KMZ, readKMZ(archive, first, limit, into)
	}
	layers := layersOf(archive)
	if len(layers) == 0 {
		return "", unknownFormat("the zip archive holds neither a KML document nor a shapefile")
	}
	reader := &shapefileReader{into, limit}
	for _, l := range layers {
		if err := reader.layer(l); err != nil {
			return "", err
		}
	}
	return Shapefile, nil
}

// readKMZ reads the first document of an archive and those in the archive
// that it links to, as programs that put each layer into a file of its own
// write it. The limit in bytes is on all of them together.
func readKMZ(archive *zip.Reader, first *zip.File, limit int64, into *collector) error {
	waiting, seen := []*zip.File{first}, map[string]bool{first.Name: true}
	for len(waiting) > 0 {
		file := waiting[0]
		waiting = waiting[1:]
		text, err := unpack(file, limit)
		if err != nil {
			return err
		}
		limit -= int64(len(text))
		links, err := readPackedKML(text, into)
		if err != nil {
			return err
		}
		for _, link := range links {
			name := path.Join(path.Dir(file.Name), link)
			if linked := entry(archive, name); linked != nil && !seen[name] {
				seen[name] = true
				waiting = append(waiting, linked)
			}
		}
	}
	return nil
}

func readPackedKML(data []byte, into *collector) (links []string, err error) {
	text, err := plainText(data)
	if err != nil {
		return nil, err
	}
	format, err := recognise(text)
	if err != nil {
		return nil, err
	}
	if format != KML {
		return nil, unknownFormat("the document in the archive is named KML but is none")
	}
	return readKML(text, into)
}

// entry finds a file of an archive by its exact name.
func entry(archive *zip.Reader, name string) *zip.File {
	for _, file := range archive.File {
		if file.Name == name {
			return file
		}
	}
	return nil
}

func openZip(data []byte) (*zip.Reader, error) {
	if err := checkEntryCount(data); err != nil {
		return nil, err
	}
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, brokenZip(err)
	}
	if len(archive.File) > maxZipEntries {
		return nil, tooManyEntries()
	}
	return archive, nil
}

// kmlEntry is doc.kml, or else the first KML document in the archive.
func kmlEntry(archive *zip.Reader) *zip.File {
	var first *zip.File
	for _, file := range archive.File {
		if !strings.EqualFold(path.Ext(file.Name), ".kml") {
			continue
		}
		if strings.EqualFold(file.Name, "doc.kml") {
			return file
		}
		if first == nil {
			first = file
		}
	}
	return first
}

// unpack reads one file of an archive up to a limit in bytes.
func unpack(file *zip.File, limit int64) ([]byte, error) {
	const encrypted = 0x1 // general purpose bit 0, APPNOTE 4.4.4
	if file.Flags&encrypted != 0 {
		return nil, fault.New("encrypted", "the archive is locked with a password", "send it without a password").Of(fault.Unread)
	}
	reader, err := file.Open()
	if err != nil {
		return nil, brokenZip(err)
	}
	defer reader.Close()
	data, err := io.ReadAll(io.LimitReader(reader, limit+1))
	if int64(len(data)) > limit {
		return nil, fault.New("file_too_large", "the archive unpacks to more than is read",
			"keep only the outlines of your plots in it").Of(fault.TooLarge)
	}
	if err != nil {
		return nil, brokenZip(err)
	}
	return data, nil
}

func brokenZip(err error) *fault.Error {
	what := "the zip archive is broken or breaks off"
	if errors.Is(err, zip.ErrAlgorithm) {
		what = "the zip archive is packed in a way that is not read"
	}
	return fault.New("broken_zip", what, "pack or send it again").Of(fault.Unread)
}

func tooManyEntries() *fault.Error {
	return fault.New("too_many_entries", fmt.Sprintf("the zip archive holds more than %d files", maxZipEntries),
		"keep only the outlines of your plots in it").Of(fault.TooLarge)
}

// checkEntryCount counts directory entries by their signature before the
// archive is opened, because opening it takes memory for each.
func checkEntryCount(data []byte) error {
	if bytes.Count(data, []byte("PK\x01\x02")) > maxZipEntries {
		return tooManyEntries()
	}
	return nil
}
