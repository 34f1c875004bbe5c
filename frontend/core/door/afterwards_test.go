package door_test

import (
	"math"
	"strings"
	"testing"

	"evenfall/agronomy/finished"
	"evenfall/agronomy/trip"
	"evenfall/agronomy/units"
)

func TestLookingBackThroughTheDoor(t *testing.T) {
	job, _ := asked[finished.Job](t, "lookBack", requests(t)["lookBack"], nil)
	m, l := job.Materials[0], job.Lessons[0]
	if math.Abs(m.Share-1.1) > 1e-12 || l.Correction == nil || !strings.HasPrefix(l.Says, "The gate gave") {
		t.Errorf("got %+v, %+v", m, l)
	}
	// 11 kg over 240 m at 3 m/s.
	if flow := float64(l.Correction.Real); math.Abs(flow-11.0/80) > 1e-12 {
		t.Errorf("the job gave %g kg/s", flow)
	}
}

func TestLimeByItsBufferIndex(t *testing.T) {
	type dose struct {
		Recommended float64 `json:"recommended_kg_per_m2"`
		Rate        float64 `json:"rate_kg_per_m2"`
		Power       float64
		Mark        struct{ Kind, Cite string }
	}
	lime := limeOf(t)
	typed, _ := asked[dose](t, "lime", `{"product":"`+lime+`","ask":{"recommended_kg_per_m2":0.4,"area_m2":1000}}`, nil)
	if typed.Recommended != 0.4 || typed.Mark.Kind != "stated" || math.Abs(typed.Rate-0.4/typed.Power) > 1e-12 {
		t.Errorf("got %+v", typed)
	}
	// The printed point of the table: 4,000 lb of ENP to the acre at 6.2, whatever power the form still holds.
	read, _ := asked[dose](t, "lime", `{"product":"`+lime+`","ask":{"power":0.5,"area_m2":1000},"buffer_index":6.2}`, nil)
	if want := 4000 * float64(units.PoundPerAcre); math.Abs(read.Recommended-want) > 1e-9 || read.Mark.Cite == "" || math.Abs(read.Rate-want/read.Power) > 1e-9 {
		t.Errorf("got %+v", read)
	}
	if a, _ := ask(t, "lime", `{"product":"`+lime+`","ask":{"area_m2":1000},"buffer_index":7}`, nil); a.Fault == nil || a.Fault.Where.Field != "buffer_index" {
		t.Errorf("beyond the table: %+v", a.Fault)
	}
}

func TestADayThroughTheDoor(t *testing.T) {
	day, _ := asked[trip.Day](t, "trip", requests(t)["trip"], nil)
	if len(day.Stops) != 1 || len(day.Stops[0].Loads) == 0 || len(day.Stops[0].Takes) != 2 || len(day.Cautions) == 0 {
		t.Errorf("got %+v", day)
	}
	wrong := strings.Replace(requests(t)["trip"], `"area_m2":1000`, `"area_m2":0`, 1)
	if a, _ := ask(t, "trip", wrong, nil); a.Fault == nil || a.Fault.Where.Field != "area_m2" {
		t.Errorf("without an area: %+v", a.Fault)
	}
}
