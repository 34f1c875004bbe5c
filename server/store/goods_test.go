package store_test

import (
	"encoding/json"
	"testing"

	"evenfall/geo/fault"
	"evenfall/server/record"
	"evenfall/server/store/storetest"
)

// goods keeps a spreader and a mix.
func goods(t testing.TB, db record.Store) (record.Spreader, record.Mix) {
	t.Helper()
	return must[record.Spreader](t)(db.Spreaders().Create(t.Context(), record.Spreader{Name: "Small one", Document: json.RawMessage(`{}`)})),
		must[record.Mix](t)(db.Mixes().Create(t.Context(), record.Mix{Name: "Oats", Document: json.RawMessage(`{}`)}))
}

func TestAPlotKeepsItsSpreaderAndItsMix(t *testing.T) {
	db, path := open(t)
	plot := plotWithSurvey(t, db)
	spreader, mix := goods(t, db)
	plot.SpreaderID, plot.MixID = spreader.ID, mix.ID
	plot = must[record.Plot](t)(db.Plots().Update(t.Context(), record.MeasuredPlot{Plot: plot}))
	if got := must[record.Plot](t)(db.Plots().Get(t.Context(), plot.ID)); got.SpreaderID != spreader.ID || got.MixID != mix.ID || got.Revision != 2 {
		t.Errorf("got %+v", got)
	}

	if err := db.Mixes().Delete(t.Context(), mix.ID, 1); err != nil {
		t.Fatal(err)
	}
	got := must[record.Plot](t)(db.Plots().Get(t.Context(), plot.ID))
	if got.SpreaderID != spreader.ID || got.MixID != "" || got.Revision != 3 || !got.UpdatedAt.After(plot.UpdatedAt) {
		t.Errorf("without its mix the plot is %+v", got)
	}
	_, err := db.Plots().Update(t.Context(), record.MeasuredPlot{Plot: plot})
	wantFault(t, err, fault.Conflict, "stale")
	if err := db.Spreaders().Delete(t.Context(), spreader.ID, 1); err != nil {
		t.Fatal(err)
	}
	if got := must[record.Plot](t)(db.Plots().Get(t.Context(), plot.ID)); got.SpreaderID != "" || got.Revision != 4 || got.Name != plot.Name {
		t.Errorf("without its spreader the plot is %+v", got)
	}
	if found := storetest.Complaints(t, path); len(found) > 0 {
		t.Error(found)
	}
}

func TestAPlotNamesOnlyWhatIsKept(t *testing.T) {
	db, path := open(t)
	plot := plotWithSurvey(t, db)
	spreader, _ := goods(t, db)
	before := storetest.Dump(t, path)
	for field, wrong := range map[string]record.Plot{
		"property_id": {PropertyID: "nowhere", Name: "Strip"},
		"spreader_id": {PropertyID: plot.PropertyID, Name: "Strip", SpreaderID: "nowhere"},
		"mix_id":      {PropertyID: plot.PropertyID, Name: "Strip", MixID: spreader.ID},
	} {
		_, err := db.Plots().CreateAll(t.Context(), []record.MeasuredPlot{{Plot: wrong}})
		wantFault(t, err, fault.Invalid, "reference")
		wrong.Stamp = plot.Stamp
		_, err = db.Plots().Update(t.Context(), record.MeasuredPlot{Plot: wrong})
		wantFault(t, err, fault.Invalid, "reference")
		if found, _ := fault.From(err); found.Where.Field != field {
			t.Errorf("%s is wrong and %s is named", field, found.Where)
		}
	}
	if storetest.Dump(t, path) != before {
		t.Error("something was kept")
	}
}

// A record that was made elsewhere keeps its id, and is kept once.
func TestAGivenIDIsKeptOnce(t *testing.T) {
	db, _ := open(t)
	const id = "01890a5d-ac96-774b-bcce-b302099a8057"
	given := record.Property{Stamp: record.Stamp{ID: id, Revision: 7}, Name: "Made in the field"}
	made := must[record.Property](t)(db.Properties().Create(t.Context(), given))
	if made.ID != id || made.Revision != 1 || !made.CreatedAt.After(start) {
		t.Errorf("stamped %+v", made.Stamp)
	}
	given.Name = "Another"
	_, err := db.Properties().Create(t.Context(), given)
	wantFault(t, err, fault.Conflict, "taken")
	if got := must[record.Property](t)(db.Properties().Get(t.Context(), id)); got != made {
		t.Errorf("got %+v, want %+v", got, made)
	}
	plot := record.Plot{Stamp: record.Stamp{ID: id}, PropertyID: id, Name: "Strip"}
	must[[]record.Plot](t)(db.Plots().CreateAll(t.Context(), []record.MeasuredPlot{{Plot: plot}}))
	_, err = db.Plots().CreateAll(t.Context(), []record.MeasuredPlot{{Plot: plot}})
	wantFault(t, err, fault.Conflict, "taken")
}

func TestAnIDOfAnotherFormIsRefused(t *testing.T) {
	db, _ := open(t)
	for _, id := range []string{
		"x", "01890a5d-ac96-474b-bcce-b302099a8057", // version 4
		"01890A5D-AC96-774B-BCCE-B302099A8057", "{01890a5d-ac96-774b-bcce-b302099a8057}",
		"01890a5dac96774bbcceb302099a8057", "01890a5d-ac96-774b-ccce-b302099a8057", // of another variant
	} {
		_, err := db.Properties().Create(t.Context(), record.Property{Stamp: record.Stamp{ID: id}, Name: "x"})
		wantFault(t, err, fault.Invalid, "id_form")
	}
}
