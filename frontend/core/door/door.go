// Package door is what the page may ask of geo and agronomy, one operation per
// name: it decodes, calls and encodes. It computes nothing that a sheet shows.
// It must not import geo/exchange, whose formats weigh as much as the rest of
// geo: reading files is a program of its own, see files.
package door

import (
	"evenfall/agronomy/catalog"
	"evenfall/frontend/core/wire"
)

// Call answers one request; see wire.Operations.
func Call(name string, request, data []byte) wire.Answer {
	return operations.Answer(name, request, data)
}

// operations are everything that may be asked, by the name the page uses.
var operations = wire.Operations{
	"measure":         measure,
	"readCoordinates": wire.Asked(readCoordinates),
	"taped":           wire.Asked(taped),
	"split":           wire.Asked(split),
	"local":           local,
	"trail":           trail,
	"prepare":         prepare,
	"pattern":         pattern,
	"readPanTest":     wire.Asked(readPanTest),
	"throws":          wire.Asked(throws),
	"flowCurve":       wire.Asked(flowCurve),
	"describe":        wire.Asked(catalog.Describe),
	"search":          wire.Asked(search),
	"need":            wire.Asked(need),
	"blend":           wire.Asked(blend),
	"bags":            wire.Asked(bags),
	"takeBags":        wire.Asked(takeBags),
	"lookAtMix":       wire.Asked(lookAtMix),
	"recount":         wire.Asked(recount),
	"lime":            wire.Asked(lime),
	"judge":           wire.Asked(judge),
	"lookBack":        wire.Asked(lookBack),
	"trip":            wire.Asked(planTrip),
	"format":          wire.Asked(format),
	"parse":           wire.Asked(parse),
	"legend":          wire.Asked(legend),
}
