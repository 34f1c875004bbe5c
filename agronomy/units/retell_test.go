package units_test

import (
	"testing"

	"evenfall/agronomy/units"
)

func TestRetell(t *testing.T) {
	for _, tt := range []struct{ sentence, us string }{
		{"the side of 30.48 m is as long as the other two", "the side of 100 ft is as long as the other two"},
		{"worse than 15 m", "worse than 49 ft"},
		{"4 fixes come within 3.5 m of it.", "4 fixes come within 11 ft 6 in of it."},
		{"the plot (11 m2) is too small for one pass", "the plot (118 sq ft) is too small for one pass"},
		{"loops of 900 m2 and 40 m2", "loops of 0.22 ac and 431 sq ft"},
		{"between 0 and 1000 m", "between 0 and 3,281 ft"},
		{"after 12 min and 3 mph", "after 12 min and 3 mph"},
		{"corner 4 meets corner 5", "corner 4 meets corner 5"},
		{"", ""},
	} {
		if got := units.Retell(tt.sentence, units.US); got != tt.us {
			t.Errorf("%q retold as %q, want %q", tt.sentence, got, tt.us)
		}
		if got := units.Retell(tt.sentence, units.Metric); got != tt.sentence {
			t.Errorf("metric: %q", got)
		}
	}
}

func FuzzRetell(f *testing.F) {
	f.Add("a gap of 12.5 m, 3 m2")
	f.Fuzz(func(t *testing.T, sentence string) {
		once := units.Retell(sentence, units.US)
		if units.Retell(sentence, units.Metric) != sentence {
			t.Error("metric changed")
		}
		if again := units.Retell(once, units.US); again != once {
			t.Errorf("%q is retold twice: %q, %q", sentence, once, again)
		}
	})
}
