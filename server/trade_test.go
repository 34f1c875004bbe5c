package main

import (
	"encoding/json"
	"strings"
	"testing"

	"evenfall/fixtures"
)

// The commands of the trade, by what a person reads.
func TestTradeCommands(t *testing.T) {
	tests := []struct {
		name  string
		input string
		words []string
		code  int
		says  string // on the output for a success, else on the error output
	}{
		{"pan test", fixtures.PanTest, []string{"pans", "-"}, exitDone, "widest that stays under 15 %"},
		{"pan test, lower limit", fixtures.PanTest, []string{"pans", "-", "--limit", "25"}, exitDone, "under 25 %"},
		{"pan test with a word", strings.Replace(fixtures.PanTest, "14,15", "much,15", 1), []string{"pans", "-"}, exitFailed, "line 7"},
		{"gate", fixtures.CatchTests, []string{"gate", "-", "--spacing", "12 ft", "--rate", "90 lb/ac", "--speed", "5 mph"}, exitDone, "oats: gate 3.54 at 5 mph"},
		{"speed", fixtures.CatchTests, []string{"gate", "-", "--spacing", "12 ft", "--rate", "90 lb/ac", "--gate", "4"}, exitDone, "9.9 s over 88 ft"},
		{"rate", fixtures.CatchTests, []string{"gate", "-", "--spacing", "12 ft", "--speed", "5 mph", "--gate", "4"}, exitDone, "109 lb/ac"},
		{"beyond the tests", fixtures.CatchTests, []string{"gate", "-", "--spacing", "12 ft", "--rate", "190 lb/ac", "--speed", "5 mph"}, exitFailed, "drive at 4 mph"},
		{"one of three", fixtures.CatchTests, []string{"gate", "-", "--spacing", "12 ft", "--rate", "190 lb/ac"}, exitUsage, "two of"},
		{"bags", "", []string{"bags", "--n", "40 lb/ac", "--p2o5", "30 lb/ac", "--k2o", "30 lb/ac", "--area", "0.5 ac", "--have", "46-0-0=29", "--have", "13-13-13=24"}, exitDone, "3 bags of complete fertilizer 13-13-13"},
		{"bags with a bad price", "", []string{"bags", "--n", "40 lb/ac", "--area", "0.5 ac", "--have", "46-0-0=dear"}, exitUsage, "price"},
		{"count", "", []string{"count", "5", "6", "3", "7", "4", "5", "--target", "2"}, exitDone, "Thin"},
		{"too few counts", "", []string{"count", "5", "--target", "2"}, exitFailed, "count"},
		{"trip", "", []string{"trip", bench, "../fixtures/outlines/long-ride.geojson", "--put", "13-13-13=250 lb/ac", "--truck", "200 lb"}, exitDone, "Owl Bench"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := evenfall(t, tt.input, tt.words...)
			if got.code != tt.code {
				t.Errorf("exit code %d, want %d\n%s%s", got.code, tt.code, got.out, got.err)
			}
			said := got.out
			if tt.code != exitDone {
				said = got.err
			}
			if !strings.Contains(said, tt.says) {
				t.Errorf("it does not say %q:\n%s", tt.says, said)
			}
		})
	}
}

func TestTradeCommandsWriteJSON(t *testing.T) {
	for field, words := range map[string][]string{
		"recommendation": {"pans", "-", "--json"},
		"cheapest":       {"bags", "--json", "--n", "40 lb/ac", "--area", "0.5 ac", "--have", "46-0-0"},
		"verdict":        {"count", "--json", "5", "6", "3", "--target", "2"},
		"shopping":       {"trip", "--json", bench, "--put", "13-13-13=250 lb/ac"},
	} {
		got := evenfall(t, fixtures.PanTest, words...)
		var read map[string]any
		if err := json.Unmarshal([]byte(got.out), &read); err != nil {
			t.Errorf("%v: %v %s", words, err, got.err)
			continue
		}
		if _, ok := read[field]; !ok {
			t.Errorf("%v: no %s in %s", words, field, got.out)
		}
	}
}
