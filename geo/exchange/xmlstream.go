package exchange

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"evenfall/geo/fault"
)

// xmlStream is an XML decoder that refuses document type declarations, where
// entity bombs live, and files of too many or too deeply nested elements.
type xmlStream struct {
	*xml.Decoder // counts through guard
	guard        *xmlGuard
}

// xmlGuard passes tokens on and counts them.
type xmlGuard struct {
	inner           *xml.Decoder
	depth, elements int
}

func newXMLStream(data []byte) *xmlStream {
	inner := xml.NewDecoder(bytes.NewReader(data))
	inner.CharsetReader = charsetReader
	guard := &xmlGuard{inner: inner}
	return &xmlStream{xml.NewTokenDecoder(guard), guard}
}

// Token is one token of the file as it stands there, before end elements are
// matched, which the decoder around it does.
func (g *xmlGuard) Token() (xml.Token, error) {
	token, err := g.inner.RawToken()
	switch token.(type) {
	case xml.Directive:
		return nil, fault.New("dtd_refused", "the file declares a document type or entities, which are not read",
			"remove the lines that start with <!DOCTYPE or <!ENTITY, or export the file again").Of(fault.Refused)
	case xml.StartElement:
		g.depth++
		g.elements++
		if g.depth > maxDepth {
			return nil, fault.New("too_deep", fmt.Sprintf("elements are nested more than %d deep", maxDepth),
				"export the file again").Of(fault.TooLarge)
		}
		if g.elements > maxElements {
			return nil, fault.New("too_many_elements", fmt.Sprintf("the file has more than %d elements", maxElements),
				"keep only the outlines of your plots in it").Of(fault.TooLarge)
		}
	case xml.EndElement:
		g.depth--
	}
	return token, err
}

// each calls start for every element that start does not read itself, and end
// for the ends of those, up to the end of the root element.
func (s *xmlStream) each(root string, start func(xml.StartElement) error, end func(name string)) error {
	for {
		token, err := s.Token()
		if err != nil {
			return s.fault(err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			if err := start(token); err != nil {
				return s.fault(err)
			}
		case xml.EndElement:
			if token.Name.Local == root {
				return nil
			}
			end(token.Name.Local)
		}
	}
}

// line is the line of the file that was read last.
func (s *xmlStream) line() int {
	line, _ := s.guard.inner.InputPos()
	return line
}

// fault turns an error of the decoder into one for people.
func (s *xmlStream) fault(err error) error {
	if found, ok := fault.From(err); ok {
		if found.Where.Line == 0 {
			found.Where.Line = s.line()
		}
		return found
	}
	var syntax *xml.SyntaxError
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return truncated(s.line())
	case errors.As(err, &syntax) && strings.Contains(syntax.Msg, "unexpected EOF"):
		return truncated(s.line())
	case errors.As(err, &syntax):
		return fault.New("xml_syntax", "the XML is broken: "+syntax.Msg, "export the file again").
			Of(fault.Unread).At(fault.Place{Line: s.line()})
	}
	return fault.New("xml_content", "the XML cannot be used: "+err.Error(), "export the file again").
		Of(fault.Unread).At(fault.Place{Line: s.line()})
}
