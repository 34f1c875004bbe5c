package exchange

import (
	"archive/zip"
	"bytes"
	"cmp"
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
	if file := kmlEntry(archive); file != nil {
		text, err := unpack(file, limit)
		if err != nil {
			return "", err
		}
		if text, err = plainText(text); err != nil {
			return "", err
		}
		if format, err := recognise(text); err != nil || format != KML {
			return "", cmp.Or(err, error(unknownFormat("the KML document in the archive is none")))
		}
		return KMZ, readKML(text, into)
	}
	return "", unknownFormat("the zip archive holds no KML document")
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
		return nil, fault.New("file_too_large", fmt.Sprintf("the archive unpacks to more than %d MB", limit>>20),
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
