package exchange

import (
	"bytes"
	"fmt"

	"evenfall/geo/fault"
)

// maxTagBytes bounds one tag, because the decoder takes in all attributes of
// an element at once.
const maxTagBytes = 1 << 20

// spans are the parts of XML that start like a tag and are none, with how
// they end (Extensible Markup Language 1.0, sections 2.5 to 2.7).
var spans = []struct{ from, to []byte }{
	{[]byte("<!--"), []byte("-->")},
	{[]byte("<![CDATA["), []byte("]]>")},
	{[]byte("<?"), []byte("?>")},
}

// checkTags refuses a file with a tag that is too long, before it is decoded.
// What is broken in other ways is left to the decoder.
func checkTags(data []byte) error {
	for rest := data; ; {
		at := bytes.IndexByte(rest, '<')
		if at < 0 {
			return nil
		}
		rest = rest[at:]
		length, tag := markupLength(rest)
		if tag && length > maxTagBytes {
			line := 1 + bytes.Count(data[:len(data)-len(rest)], []byte("\n"))
			return fault.New("tag_too_long", fmt.Sprintf("an element has more than %d bytes of attributes", maxTagBytes),
				"export the file again").Of(fault.TooLarge).At(fault.Place{Line: line})
		}
		rest = rest[length:]
	}
}

// markupLength is the number of bytes from a '<' to the end of what it
// starts, or to the end of the text. It is a tag unless it is a span.
func markupLength(text []byte) (length int, tag bool) {
	for _, s := range spans {
		if !bytes.HasPrefix(text, s.from) {
			continue
		}
		end := bytes.Index(text[len(s.from):], s.to)
		if end < 0 {
			return len(text), false
		}
		return len(s.from) + end + len(s.to), false
	}
	var quote byte
	for i, b := range text {
		switch {
		case quote != 0:
			if b == quote {
				quote = 0
			}
		case b == '"' || b == '\'':
			quote = b
		case b == '>':
			return i + 1, true
		}
	}
	return len(text), true
}
