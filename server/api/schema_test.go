package api

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"evenfall/agronomy"
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/trip"
	"evenfall/server/record"
)

// The schemas of documents and of what the tools take and send have the fields
// of the Go types, all of them and no other, down to the last one.
func TestSchemasHaveTheFieldsOfTheirTypes(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(Description)
	if err != nil {
		t.Fatal(err)
	}
	roots := map[string]any{
		"Options": agronomy.Options{}, "SpreaderDocument": spreader.Spreader{}, "MixDocument": mix.Mix{},
		"Found": catalog.Found{}, "Crop": catalog.Crop{}, "Product": catalog.Product{},
		"PatternRequest": patternRequest{}, "PatternAnswer": patternAnswer{},
		"GateRequest": gateRequest{}, "GateSetting": spreader.Setting{},
		"NeedRequest": needRequest{}, "NeedAnswer": needAnswer{},
		"BagsRequest": bagsRequest{}, "BagChoice": mix.BagChoice{},
		"LimeRequest": limeRequest{}, "LimeDose": soil.LimeDose{},
		"SeedRequest": seedRequest{}, "SeedAnswer": seedAnswer{},
		"CountRequest": countRequest{}, "Judgment": stand.Judgment{},
		"AmountsRequest": amountsRequest{}, "MixResult": mix.Result{},
		"TripRequest": tripRequest{}, "TripPlan": trip.Plan{},
		"CorrectionRequest": correctionRequest{}, "Correction": spreader.Correction{},
		"Done": record.Done{}, "Season": Season{},
	}
	c := schemaCheck{t, map[reflect.Type]bool{}}
	for name, value := range roots {
		schema := doc.Components.Schemas[name]
		if schema == nil {
			t.Errorf("there is no schema %s", name)
			continue
		}
		c.compare(name, reflect.TypeOf(value), schema.Value)
	}
	if len(c.seen) < 60 {
		t.Errorf("only %d structs were compared", len(c.seen))
	}
}

type schemaCheck struct {
	*testing.T
	seen map[reflect.Type]bool // structs that were compared
}

var schemaKinds = map[reflect.Kind]string{
	reflect.String: "string", reflect.Bool: "boolean", reflect.Int: "integer", reflect.Float64: "number",
	reflect.Slice: "array", reflect.Array: "array", reflect.Struct: "object",
}

func (c schemaCheck) compare(at string, kind reflect.Type, schema *openapi3.Schema) {
	if kind.Kind() == reflect.Pointer {
		kind = kind.Elem()
	}
	if !schema.Type.Is(schemaKinds[kind.Kind()]) {
		c.Errorf("%s is a %s and is described as %v", at, kind, schema.Type)
		return
	}
	switch {
	case kind.Kind() == reflect.Slice:
		c.compare(at+"[]", kind.Elem(), schema.Items.Value)
	case kind.Kind() == reflect.Struct && !c.seen[kind]:
		c.seen[kind] = true
		c.compareStruct(at, kind, schema)
	}
}

func (c schemaCheck) compareStruct(at string, kind reflect.Type, schema *openapi3.Schema) {
	if closed := schema.AdditionalProperties.Has; closed == nil || *closed {
		c.Errorf("%s is open to any field", at)
	}
	var sent []string
	for _, field := range reflect.VisibleFields(kind) {
		name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
		if field.Anonymous && name == "" || !field.IsExported() || name == "-" {
			continue
		}
		sent = append(sent, name)
		if described := schema.Properties[name]; described == nil {
			c.Errorf("%s.%s is not described", at, name)
		} else {
			c.compare(at+"."+name, field.Type, described.Value)
		}
	}
	for name := range schema.Properties {
		if !slices.Contains(sent, name) {
			c.Errorf("%s.%s is described and does not exist", at, name)
		}
	}
}
