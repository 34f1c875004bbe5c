package exchange

import (
	"fmt"
	"io"

	"evenfall/geo/fault"
)

// Read reads one file, recognises its format by its content and returns what
// it holds. The error is a *fault.Error for everything that is wrong with the
// content: of kind unread when the bytes are not a format that is known or
// break off, too_large when they pass a limit, invalid when an outline breaks
// a rule of geo.NewPlot. Any other error comes from r.
func Read(r io.Reader, o ReadOptions) (Document, error) {
	limit := o.MaxBytes
	if limit <= 0 {
		limit = DefaultMaxBytes
	}
	data, err := readLimited(r, limit)
	if err != nil {
		return Document{}, err
	}
	text, err := plainText(data)
	if err != nil {
		return Document{}, err
	}
	return decode(text, limit, o)
}

func decode(data []byte, limit int64, o ReadOptions) (Document, error) {
	format, err := recognise(data)
	if err != nil {
		return Document{}, err
	}
	collected := &collector{}
	switch format {
	case GeoJSON:
		err = readGeoJSON(data, collected)
	case GPX:
		err = readGPX(data, collected)
	case KML:
		err = readLoneKML(data, collected)
	default:
		format, err = readZip(data, limit, collected)
	}
	if err != nil {
		return Document{}, err
	}
	return collected.document(format, o)
}

// readLimited reads everything up to a limit in bytes.
func readLimited(r io.Reader, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, fmt.Errorf("reading the file: %w", err)
	}
	if int64(len(data)) > limit {
		return nil, fault.New("file_too_large", fmt.Sprintf("the file is larger than %d MB", limit>>20),
			"keep only the outlines of your plots in it").Of(fault.TooLarge)
	}
	return data, nil
}
