package fault_test

import (
	"fmt"
	"testing"

	"evenfall/geo/fault"
)

func TestErrorSaysWhereWhatAndRemedy(t *testing.T) {
	tests := []struct {
		name string
		err  *fault.Error
		want string
	}{
		{"bare", fault.New("empty", "the file is empty", ""), "the file is empty"},
		{
			"with place and remedy",
			fault.New("nan", "the coordinate is not a number", "re-export the file").
				At(fault.Place{Feature: 2, Ring: 1, Vertex: 4}),
			"feature 2, ring 1, corner 4: the coordinate is not a number; re-export the file",
		},
		{
			"with coordinates",
			fault.New("self_crossing", "the edge crosses itself", "move a corner").
				At(fault.Place{Ring: 1, LonLat: []float64{-91.5, 44.25}}),
			"ring 1, at longitude -91.500000 latitude 44.250000: the edge crosses itself; move a corner",
		},
		{"with field", fault.New("range", "speed is negative", "").In("speed_mps"), "speed_mps: speed is negative"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.err.Error(); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

func TestFromFindsAWrappedFault(t *testing.T) {
	inner := fault.New("empty", "the file is empty", "").Of(fault.Unread)
	found, ok := fault.From(fmt.Errorf("reading: %w", inner))
	if !ok || found.Kind != fault.Unread {
		t.Fatalf("got %v, %v", found, ok)
	}
	if _, ok := fault.From(fmt.Errorf("plain")); ok {
		t.Error("a plain error is not a fault")
	}
}
