package api_test

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"evenfall/server/api"
)

func load(t *testing.T) *openapi3.T {
	t.Helper()
	doc, err := openapi3.NewLoader().LoadFromData(api.Description)
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

func TestTheDescriptionIsValidAndServed(t *testing.T) {
	doc := load(t)
	if err := doc.Validate(t.Context()); err != nil {
		t.Error(err)
	}
	got := open(t).send("GET", "/api/v1/openapi.json", nil).want(200)
	if string(got.body) != string(api.Description) {
		t.Error("another description is served")
	}
}

var pathParameter = regexp.MustCompile(`:(\w+)`)

// The description and the router must name the same operations, both ways.
func TestTheDescriptionAndTheRoutesAgree(t *testing.T) {
	doc := load(t)
	base := doc.Servers[0].URL
	if base != api.Base {
		t.Fatalf("described under %s", base)
	}
	var described, real []string
	for path, item := range doc.Paths.Map() {
		for method := range item.Operations() {
			described = append(described, method+" "+base+path)
		}
	}
	for _, route := range api.New(open(t).services).Routes() {
		if strings.HasPrefix(route.Path, api.Base) && !strings.HasPrefix(route.Method, "echo_") {
			real = append(real, route.Method+" "+pathParameter.ReplaceAllString(route.Path, "{$1}"))
		}
	}
	slices.Sort(described)
	slices.Sort(real)
	if len(real) < 40 {
		t.Fatalf("only %d routes were found", len(real))
	}
	for _, r := range real {
		if !slices.Contains(described, r) {
			t.Errorf("%s is not described", r)
		}
	}
	for _, d := range described {
		if !slices.Contains(real, d) {
			t.Errorf("%s is described and does not exist", d)
		}
	}
}

// Every query parameter that is described is taken, and no other.
func TestTheDescribedParametersAreTheOnesTaken(t *testing.T) {
	s := open(t)
	k := s.fill()
	sample := map[string]string{
		"limit": "3", "after": "x", "property_id": k.property, "plot_id": k.plot, "bbox": "-92,43,-90,45", "dry_run": "true",
		"split": "true", "name": "Lone", "offset": "1 m", "spreader": k.spreader, "mix": k.mix, "date": "2026-05-01",
		"units": "metric", "speed": "7 mph", "spacing": "12 ft", "first_inset": "6 ft", "clearance": "3 ft", "gate": "half",
		"clockwise": "true", "along": "30", "corner": "1 m", "start": "-91,44", "layers": "3", "scoop": "1 qt",
		"disc_depth": "1 in", "plan": "laps", "priority": "shortest", "habit": "true", "quick": "true", "room": "all", "no_throw_outside": "true",
		"half_rates": "true", "right_angles": "true", "budget": "900",
		"q": "clover", "cv_limit": "20 %", "way": "same_way", "steering_error": "1 ft", "material": "oats", "rate": "90 lb/ac", "times": "2",
	}
	doc := load(t)
	for path, item := range doc.Paths.Map() {
		for method, operation := range item.Operations() {
			if method != "GET" && !strings.HasPrefix(path, "/tools/") && path != "/outlines" && path != "/plots/{id}/outline" {
				continue
			}
			at := api.Base + strings.ReplaceAll(path, "{id}", k.plot)
			s.send(method, at+"?no_such=1", "").wantProblem(400, "parameter")
			for _, p := range append(item.Parameters, operation.Parameters...) {
				if p.Value.In != "query" {
					continue
				}
				value, ok := sample[p.Value.Name]
				if !ok {
					t.Fatalf("no sample of %s", p.Value.Name)
				}
				got := s.send(method, at+"?"+p.Value.Name+"="+strings.ReplaceAll(value, " ", "%20"), "")
				if got.status == 400 && strings.Contains(string(got.body), "no query parameter") {
					t.Errorf("%s %s does not take %s", method, path, p.Value.Name)
				}
			}
		}
	}
}

// Fields that Go sends and the description does not have would fail in every
// test, since schemas are closed; the other way round is checked here.
func TestEveryDescribedFieldIsSent(t *testing.T) {
	s := open(t)
	k := s.fill()
	replies := map[string]string{
		"Property": "/properties/" + k.property, "Spreader": "/spreaders/" + k.spreader, "Mix": "/mixes/" + k.mix,
	}
	s.send("PUT", "/api/v1/properties/"+k.property, object{"name": "Fox Hollow", "note": "x"}, header{"If-Match": `"1"`}).want(200)
	for schema, path := range replies {
		var sent map[string]json.RawMessage
		if err := json.Unmarshal(s.send("GET", api.Base+path, nil).want(200).body, &sent); err != nil {
			t.Fatal(err)
		}
		for field := range load(t).Components.Schemas[schema].Value.Properties {
			if _, ok := sent[field]; !ok {
				t.Errorf("%s.%s is described and not sent", schema, field)
			}
		}
	}
}
