package store_test

import (
	"reflect"
	"testing"

	"evenfall/geo"
	"evenfall/geo/fault"
	"evenfall/server/record"
)

// inUse lists the ids of the plot's surveys that are in use.
func inUse(t testing.TB, db record.Store, plotID string) (ids []string) {
	t.Helper()
	for _, s := range must[record.Page[record.Survey]](t)(db.Surveys().List(t.Context(), record.Query{PlotID: plotID})).Items {
		if s.InUse {
			ids = append(ids, s.ID)
		}
	}
	return ids
}

func wantInUse(t testing.TB, db record.Store, plotID, want string) {
	t.Helper()
	if got := inUse(t, db, plotID); !reflect.DeepEqual(got, []string{want}) {
		t.Errorf("in use: %v, want only %s", got, want)
	}
}

func TestTheFirstSurveyIsInUse(t *testing.T) {
	db, _ := open(t)
	plots := must[[]record.Plot](t)(db.Plots().CreateAll(t.Context(), []record.MeasuredPlot{
		{Plot: record.Plot{PropertyID: property(t, db).ID, Name: "Not yet measured"}}}))
	first := must[record.Survey](t)(db.Surveys().Create(t.Context(), guessed(plots[0].ID, 2000)))
	wantInUse(t, db, plots[0].ID, first.ID)
	second := guessed(plots[0].ID, 1500)
	second.Method = geo.Paced
	must[record.Survey](t)(db.Surveys().Create(t.Context(), second))
	wantInUse(t, db, plots[0].ID, first.ID)
}

func TestPuttingASurveyInUseGivesThePlotItsOutline(t *testing.T) {
	db, _ := open(t)
	plot := plotWithSurvey(t, db)
	walked := *drawn(1100, square(-91, 44, 0.0011))
	walked.Method, walked.PlotID = geo.Walked, plot.ID
	walked = must[record.Survey](t)(db.Surveys().Create(t.Context(), walked))
	if got := must[record.Plot](t)(db.Plots().Get(t.Context(), plot.ID)); got.Revision != 1 {
		t.Error("a survey that is not in use changed its plot")
	}
	walked.InUse = true
	walked = must[record.Survey](t)(db.Surveys().Update(t.Context(), walked))
	wantInUse(t, db, plot.ID, walked.ID)
	got := must[record.Plot](t)(db.Plots().Get(t.Context(), plot.ID))
	if got.Revision != 2 || !reflect.DeepEqual(got.Outline, walked.Outline) {
		t.Errorf("the plot has revision %d and outline %v", got.Revision, got.Outline)
	}
	if got.Name != plot.Name || !reflect.DeepEqual(got.KeepOff, plot.KeepOff) {
		t.Error("the plot lost something else")
	}
}

func TestTheSurveyInUseStays(t *testing.T) {
	db, _ := open(t)
	plot := plotWithSurvey(t, db)
	survey := must[record.Survey](t)(db.Surveys().Get(t.Context(), inUse(t, db, plot.ID)[0]))
	wantFault(t, db.Surveys().Delete(t.Context(), survey.ID, survey.Revision), fault.Refused, "survey_in_use")
	out := survey
	out.InUse = false
	_, err := db.Surveys().Update(t.Context(), out)
	wantFault(t, err, fault.Refused, "survey_in_use")
	moved := survey
	moved.PlotID = plotWithSurvey(t, db).ID
	_, err = db.Surveys().Update(t.Context(), moved)
	wantFault(t, err, fault.Refused, "plot_changed")

	other := guessed(plot.ID, 700)
	other.InUse = true
	other = must[record.Survey](t)(db.Surveys().Create(t.Context(), other))
	wantInUse(t, db, plot.ID, other.ID)
	survey = must[record.Survey](t)(db.Surveys().Get(t.Context(), survey.ID))
	if err := db.Surveys().Delete(t.Context(), survey.ID, survey.Revision); err != nil {
		t.Errorf("a survey out of use cannot be deleted: %v", err)
	}
}

func TestSurveyedIsThePlotWithAllThatWasMeasured(t *testing.T) {
	db, _ := open(t)
	plot := plotWithSurvey(t, db)
	guess := must[record.Survey](t)(db.Surveys().Create(t.Context(), guessed(plot.ID, 900)))
	got := must[record.SurveyedPlot](t)(db.Plots().Surveyed(t.Context(), plot.ID))
	if len(got.Surveys) != 2 || got.Surveys[1].ID != guess.ID || got.Property.ID != plot.PropertyID {
		t.Fatalf("got %+v", got)
	}
	if used := got.InUse(); used == nil || used.Method != geo.Drawn {
		t.Errorf("in use is %+v", used)
	}
}
