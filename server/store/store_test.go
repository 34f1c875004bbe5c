package store_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"sync"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"evenfall/agronomy"
	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/server/record"
	"evenfall/server/store"
	"evenfall/server/store/storetest"
)

var start = time.Date(2026, 3, 14, 9, 30, 0, 0, time.UTC)

// ticking is a clock that moves a second at every look.
func ticking() func() time.Time {
	var mu sync.Mutex
	at := start
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		at = at.Add(time.Second)
		return at
	}
}

func open(t testing.TB) (*store.DB, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "records of 100% #1?.db") // signs that a URI must escape
	db, err := store.Open(t.Context(), path, ticking())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return db, path
}

func must[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func wantFault(t testing.TB, err error, kind fault.Kind, code string) {
	t.Helper()
	found, ok := fault.From(err)
	if !ok || found.Kind != kind || found.Code != code {
		t.Errorf("got %v (%#v), want a fault %s %s", err, found, kind, code)
	}
}

// square is an outline of side degrees with its south-west corner there.
func square(west, south, side float64) record.Outline {
	return record.Outline{{
		{west, south}, {west + side, south}, {west + side, south + side}, {west, south + side}, {west, south},
	}}
}

func drawn(area float64, outline record.Outline) *record.Survey {
	return &record.Survey{
		Survey:  geo.Survey{Method: geo.Drawn, Date: "2026-03-14", AreaM2: area, PerimeterM: 40, UncertaintyM2: 3},
		Outline: outline,
	}
}

func guessed(plotID string, area float64) record.Survey {
	return record.Survey{PlotID: plotID, Survey: geo.Survey{Method: geo.Guessed, Date: "2026-03-01", AreaM2: area}}
}

func property(t testing.TB, db record.Store) record.Property {
	t.Helper()
	return must[record.Property](t)(db.Properties().Create(t.Context(), record.Property{Name: "Fox Hollow", Note: "by the creek"}))
}

func plotWithSurvey(t testing.TB, db record.Store) record.Plot {
	t.Helper()
	outline := square(-91, 44, 0.001)
	made := must[[]record.Plot](t)(db.Plots().CreateAll(t.Context(), []record.MeasuredPlot{{
		Plot: record.Plot{
			PropertyID: property(t, db).ID, Name: "North strip", Outline: outline,
			KeepOff: []agronomy.KeepOff{{Name: "creek", Line: orb.LineString{{-91, 44}, {-91, 44.1}}, Distance: 10, For: agronomy.FertilizerOnly}},
			Driver:  json.RawMessage(`{"priority":"most_even"}`),
		},
		Survey: drawn(1000, outline),
	}}))
	return made[0]
}

func TestARecordReadsBackAsItWasReturned(t *testing.T) {
	db, _ := open(t)
	made := property(t, db)
	if made.ID == "" || made.Revision != 1 || !made.CreatedAt.After(start) {
		t.Errorf("not stamped: %+v", made.Stamp)
	}
	if got := must[record.Property](t)(db.Properties().Get(t.Context(), made.ID)); got != made {
		t.Errorf("got %+v, want %+v", got, made)
	}
	plot := plotWithSurvey(t, db)
	if got := must[record.Plot](t)(db.Plots().Get(t.Context(), plot.ID)); !reflect.DeepEqual(got, plot) {
		t.Errorf("got %+v, want %+v", got, plot)
	}
	survey := guessed(plot.ID, 900)
	survey.Dimensions = &record.Dimensions{Shape: "rectangle", LengthsM: []float64{30, 30}}
	survey = must[record.Survey](t)(db.Surveys().Create(t.Context(), survey))
	if got := must[record.Survey](t)(db.Surveys().Get(t.Context(), survey.ID)); !reflect.DeepEqual(got, survey) {
		t.Errorf("got %+v, want %+v", got, survey)
	}
}

func TestAnUpdateFromAStaleRevisionChangesNothing(t *testing.T) {
	db, path := open(t)
	made := property(t, db)
	first := made
	first.Name = "Fox Hollow East"
	first = must[record.Property](t)(db.Properties().Update(t.Context(), first))
	if first.Revision != 2 || first.CreatedAt != made.CreatedAt || !first.UpdatedAt.After(made.UpdatedAt) {
		t.Errorf("badly stamped: %+v after %+v", first.Stamp, made.Stamp)
	}
	before := storetest.Dump(t, path)
	second := made
	second.Name = "Lost words"
	_, err := db.Properties().Update(t.Context(), second)
	wantFault(t, err, fault.Conflict, "stale")
	wantFault(t, db.Properties().Delete(t.Context(), made.ID, made.Revision), fault.Conflict, "stale")
	if after := storetest.Dump(t, path); after != before {
		t.Errorf("the store changed:\n%s\nwas\n%s", after, before)
	}
}

func TestWhatIsNotThereIsMissing(t *testing.T) {
	db, _ := open(t)
	_, err := db.Mixes().Get(t.Context(), "nowhere")
	wantFault(t, err, fault.Missing, "missing")
	_, err = db.Mixes().Update(t.Context(), record.Mix{Stamp: record.Stamp{ID: "nowhere", Revision: 1}})
	wantFault(t, err, fault.Missing, "missing")
	wantFault(t, db.Plots().Delete(t.Context(), "nowhere", 1), fault.Missing, "missing")
	_, err = db.Plots().Surveyed(t.Context(), "nowhere")
	wantFault(t, err, fault.Missing, "missing")
}

func TestReferencesHold(t *testing.T) {
	db, _ := open(t)
	plot := plotWithSurvey(t, db)
	err := db.Properties().Delete(t.Context(), plot.PropertyID, 1)
	wantFault(t, err, fault.Refused, "in_use")
	_, err = db.Surveys().Create(t.Context(), guessed("nowhere", 10))
	wantFault(t, err, fault.Invalid, "reference")

	spreader := must[record.Spreader](t)(db.Spreaders().Create(t.Context(),
		record.Spreader{Name: "Small one", Document: json.RawMessage(`{"throw_m":8}`)}))
	sheet := must[record.Sheet](t)(db.Sheets().Create(t.Context(), record.Sheet{
		PlotID: plot.ID, SpreaderID: spreader.ID, Date: "2026-04-01", Result: json.RawMessage(`{"format":1}`)}))
	wantFault(t, db.Plots().Delete(t.Context(), plot.ID, plot.Revision), fault.Refused, "in_use")
	if err := db.Spreaders().Delete(t.Context(), spreader.ID, 1); err != nil {
		t.Fatal(err)
	}
	got := must[record.Sheet](t)(db.Sheets().Get(t.Context(), sheet.ID))
	if got.SpreaderID != "" || string(got.Result) != `{"format":1}` {
		t.Errorf("a sheet outlives its spreader; got %+v", got)
	}
}

func TestDeletingAPlotTakesItsSurveysAndBoxes(t *testing.T) {
	db, path := open(t)
	plot := plotWithSurvey(t, db)
	if err := db.Plots().Delete(t.Context(), plot.ID, plot.Revision); err != nil {
		t.Fatal(err)
	}
	for _, table := range []string{"plots", "surveys", "plot_boxes"} {
		if n := storetest.Count(t, path, table); n != 0 {
			t.Errorf("%d rows left in %s", n, table)
		}
	}
}

func TestListsArePagedInOrder(t *testing.T) {
	db, _ := open(t)
	var want []string
	for i := range 7 {
		p := must[record.Property](t)(db.Properties().Create(t.Context(), record.Property{Name: fmt.Sprint("Land ", i)}))
		want = append(want, p.ID)
	}
	var got []string
	for q := (record.Query{Limit: 3}); ; {
		page := must[record.Page[record.Property]](t)(db.Properties().List(t.Context(), q))
		if page.Total != 7 || len(page.Items) > 3 {
			t.Fatalf("a page of %d out of %d", len(page.Items), page.Total)
		}
		for _, p := range page.Items {
			got = append(got, p.ID)
		}
		if q.After = page.Next; q.After == "" {
			break
		}
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestPlotsAreFoundByBox(t *testing.T) {
	db, _ := open(t)
	land := property(t, db).ID
	for name, outline := range map[string]record.Outline{
		"inland": square(-91, 44, 0.001), "seam": square(179.999, -17, 0.002), "unmeasured": nil,
		"west of the seam": square(-179.998, -17, 0.0005),
	} {
		must[[]record.Plot](t)(db.Plots().CreateAll(t.Context(), []record.MeasuredPlot{
			{Plot: record.Plot{PropertyID: land, Name: name, Outline: outline}}}))
	}
	box := func(w, s, e, n float64) *orb.Bound { return &orb.Bound{Min: orb.Point{w, s}, Max: orb.Point{e, n}} }
	tests := []struct {
		name string
		box  *orb.Bound
		want []string
	}{
		{"no box", nil, []string{"inland", "seam", "unmeasured", "west of the seam"}},
		{"around", box(-92, 43, -90, 45), []string{"inland"}},
		{"touching", box(-90.999, 44.001, -90, 45), []string{"inland"}},
		{"a metre off, within 32-bit rounding", box(-90.998995, 43, -90, 45), nil},
		{"east of the seam", box(179, -18, 180, -16), []string{"seam"}},
		{"just west of the seam", box(-180, -18, -179.9991, -16), []string{"seam"}},
		{"across the seam", box(179, -18, -179, -16), []string{"seam", "west of the seam"}},
		{"the whole world", box(-180, -90, 180, 90), []string{"inland", "seam", "west of the seam"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			page := must[record.Page[record.Plot]](t)(db.Plots().List(t.Context(), record.Query{Box: tt.box}))
			got := map[string]bool{}
			for _, p := range page.Items {
				got[p.Name] = true
			}
			want := map[string]bool{}
			for _, name := range tt.want {
				want[name] = true
			}
			if !reflect.DeepEqual(got, want) || page.Total != len(want) {
				t.Errorf("got %v of %d, want %v", got, page.Total, want)
			}
		})
	}
}

func TestABoxMovesWithItsPlot(t *testing.T) {
	db, _ := open(t)
	plot := plotWithSurvey(t, db)
	plot.Outline = square(10, 50, 0.001)
	plot = must[record.Plot](t)(db.Plots().Update(t.Context(), record.MeasuredPlot{Plot: plot, Survey: drawn(990, plot.Outline)}))
	old := record.Query{Box: &orb.Bound{Min: orb.Point{-92, 43}, Max: orb.Point{-90, 45}}}
	if page := must[record.Page[record.Plot]](t)(db.Plots().List(t.Context(), old)); page.Total != 0 {
		t.Error("still found in its old place")
	}
	now := record.Query{Box: &orb.Bound{Min: orb.Point{9, 49}, Max: orb.Point{11, 51}}}
	if page := must[record.Page[record.Plot]](t)(db.Plots().List(t.Context(), now)); page.Total != 1 {
		t.Error("not found in its new place")
	}
	if page := must[record.Page[record.Survey]](t)(db.Surveys().List(t.Context(), record.Query{PlotID: plot.ID})); page.Total != 2 {
		t.Errorf("%d surveys kept, want the old and the new", page.Total)
	}
}

// manyPlots are plots with surveys, so many that writing them takes a while.
func manyPlots(propertyID string, n int) (many []record.MeasuredPlot) {
	for i := range n {
		outline := square(float64(i)/10, 40, 0.001)
		many = append(many, record.MeasuredPlot{
			Plot:   record.Plot{PropertyID: propertyID, Name: fmt.Sprint("Plot ", i+1), Outline: outline},
			Survey: drawn(1000, outline),
		})
	}
	return many
}

// The clock is looked at for every row, so a clock that cancels stops a write
// in its very middle.
func TestNothingFollowsACancelledWrite(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	looks, cancelAt, cancel := 0, -1, context.CancelFunc(nil)
	clock := ticking()
	db := must[*store.DB](t)(store.Open(t.Context(), path, func() time.Time {
		if looks++; looks == cancelAt {
			cancel()
		}
		return clock()
	}))
	defer db.Close()
	land := property(t, db).ID
	before := storetest.Dump(t, path)
	many := manyPlots(land, 40)
	for _, cancelAfter := range []int{1, 2, 3, 40, 79, 80} {
		ctx, stop := context.WithCancel(t.Context())
		defer stop()
		looks, cancelAt, cancel = 0, cancelAfter, stop
		if _, err := db.Plots().CreateAll(ctx, many); !errors.Is(err, context.Canceled) {
			t.Fatalf("cancelled at row %d: got %v", cancelAfter, err)
		}
		if storetest.Dump(t, path) != before {
			t.Fatalf("something was half-saved when cancelled at row %d", cancelAfter)
		}
	}
	if made := must[[]record.Plot](t)(db.Plots().CreateAll(t.Context(), many)); len(made) != 40 {
		t.Error("the store does not write after a cancelled write")
	}
}

func TestOneWrongPlotOfManyKeepsNone(t *testing.T) {
	db, path := open(t)
	many := manyPlots(property(t, db).ID, 40)
	many[39].Plot.PropertyID = "nowhere"
	before := storetest.Dump(t, path)
	_, err := db.Plots().CreateAll(t.Context(), many)
	wantFault(t, err, fault.Invalid, "reference")
	if found, _ := fault.From(err); found.Where.Feature != 40 {
		t.Errorf("the fault lies at %v, want feature 40", found.Where)
	}
	if storetest.Dump(t, path) != before {
		t.Error("something was half-saved")
	}
}
