package exchange

import (
	"fmt"
	"io"
	"strings"

	"evenfall/geo/fault"
)

// charsetReader serves the encodings that an XML declaration may name. UTF-16
// was turned into UTF-8 before, so its name means nothing any more.
func charsetReader(label string, input io.Reader) (io.Reader, error) {
	switch strings.ToLower(label) {
	case "utf-8", "utf8", "us-ascii", "ascii", "utf-16", "utf-16le", "utf-16be":
		return input, nil
	case "iso-8859-1", "latin1":
		return latin1Reader(input)
	}
	return nil, fault.New("encoding", fmt.Sprintf("the encoding %.40q is not read", label), "save the file as UTF-8").Of(fault.Unread)
}

// latin1Reader recodes ISO 8859-1.
func latin1Reader(input io.Reader) (io.Reader, error) {
	raw, err := io.ReadAll(input)
	if err != nil {
		return nil, err
	}
	return strings.NewReader(fromLatin1(raw)), nil
}

// fromLatin1 recodes ISO 8859-1, whose bytes are the first 256 characters.
func fromLatin1(raw []byte) string {
	var text strings.Builder
	text.Grow(len(raw))
	for _, b := range raw {
		text.WriteRune(rune(b))
	}
	return text.String()
}
