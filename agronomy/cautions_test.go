package agronomy_test

import (
	"strings"
	"testing"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
)

func cautioned(s agronomy.Sheet, words string) (agronomy.Note, bool) {
	for _, c := range s.Cautions {
		if strings.Contains(c.Says, words) {
			return c, true
		}
	}
	return agronomy.Note{}, false
}

func TestTheCatalogsCautionsStandOnTheSheet(t *testing.T) {
	goods := mix.Mix{Name: "summer", Items: []mix.Item{
		{Material: "corn", Rate: mix.Rate{Mass: perAcre(17)}},
		{Material: "oats", Rate: mix.Rate{Mass: perAcre(60)}},
		{Material: "grain-sorghum", Rate: mix.Rate{Mass: perAcre(8)}},
		{Material: "34-0-0", Rate: mix.Rate{Mass: perAcre(80)}},
		{Material: "46-0-0", Rate: mix.Rate{Mass: perAcre(40)}},
	}}
	sheet := prepare(t, acres(t, 0.5), machine(), goods, agronomy.Options{Habit: true})
	for _, want := range []struct {
		words string
		kind  source.Kind
	}{
		{"corn: Often sold treated", source.Practice},
		{"corn: sow once the soil is 50 to 55 °F warm.", source.Published},
		{"grain sorghum: Frosted or drought-stressed plants", source.Memory},
		{"ammonium nitrate 34-0-0: An oxidizer", source.Memory},
	} {
		note, ok := cautioned(sheet, want.words)
		if !ok || note.Mark.Kind != want.kind {
			t.Errorf("%q: %+v of %+v", want.words, note, sheet.Cautions)
		}
	}
	if note, ok := cautioned(sheet, "oats: sow once"); ok {
		t.Errorf("a cool-season crop waits for warm soil: %+v", note)
	}
	if note, ok := cautioned(sheet, "urea 46-0-0"); ok || !warned(sheet, "urea 46-0-0 loses nitrogen") {
		t.Errorf("urea is to be warned of once: %+v", note)
	}
	metric := prepare(t, acres(t, 0.5), machine(), goods, agronomy.Options{Habit: true, System: units.Metric})
	if _, ok := cautioned(metric, "corn: sow once the soil is 10 to 13 °C warm."); !ok {
		t.Errorf("%+v", metric.Cautions)
	}
}
