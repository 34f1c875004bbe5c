package exchange

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf8"
)

// Offsets of a dBASE III table, the .dbf part of a shapefile: a header of 32
// bytes, a descriptor of 32 bytes for each column up to a carriage return,
// then records of one length, each after a mark whether it was deleted.
const (
	dbfHeaderBytes = 32
	dbfColumnBytes = 32
	dbfColumnEnd   = 0x0D
)

// dbfColumn is a run of bytes in every record.
type dbfColumn struct{ from, to int }

// namesInTable lists the name of each record of a .dbf part: what stands in
// the column called name, title or label. It gives nil for a table without
// such a column, and what it can of a broken one, for names only help.
// The encoding is the content of the .cpg part; without one, a text that is
// not UTF-8 is taken for Latin-1.
func namesInTable(table []byte, encoding string) []string {
	if len(table) < dbfHeaderBytes {
		return nil
	}
	start := int(binary.LittleEndian.Uint16(table[8:]))
	length := int(binary.LittleEndian.Uint16(table[10:]))
	column, ok := nameColumn(table, start)
	if !ok || length == 0 || column.to > length || start > len(table) {
		return nil
	}
	var names []string
	for at := start; at+length <= len(table) && len(names) < maxFeatures; at += length {
		names = append(names, decoded(table[at+column.from:at+column.to], encoding))
	}
	return names
}

// nameColumn finds the first column whose title says that it holds names.
func nameColumn(table []byte, end int) (dbfColumn, bool) {
	from := 1 // after the deletion mark
	for at := dbfHeaderBytes; at+dbfColumnBytes <= min(end, len(table)) && table[at] != dbfColumnEnd; at += dbfColumnBytes {
		title, _, _ := bytes.Cut(table[at:at+11], []byte{0})
		width := int(table[at+16])
		switch strings.ToLower(string(title)) {
		case "name", "title", "label":
			return dbfColumn{from, from + width}, true
		}
		from += width
	}
	return dbfColumn{}, false
}

func decoded(raw []byte, encoding string) string {
	raw = bytes.TrimRight(raw, " \x00")
	latin := strings.Contains(encoding, "8859") || strings.Contains(encoding, "1252")
	if !latin && utf8.Valid(raw) {
		return string(raw)
	}
	return fromLatin1(raw)
}
