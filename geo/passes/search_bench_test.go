package passes

import "testing"

func benchmarkSearch(b *testing.B, acres float64, o SearchOptions) {
	var ground *Ground
	for _, m := range madePlots(b) {
		if m.acres == acres && ground == nil {
			ground, _ = NewGround(m.local)
		}
	}
	o.TurnRadiusM = radius
	b.ReportAllocs()
	candidates := 0
	for b.Loop() {
		r, err := ground.Search(tri(), o)
		if err != nil {
			b.Fatal(err)
		}
		candidates = r.Candidates
	}
	b.ReportMetric(float64(candidates), "candidates")
}

func BenchmarkSearch(b *testing.B) {
	for _, c := range []struct {
		name  string
		acres float64
		o     SearchOptions
	}{
		{"quarter acre, room", 0.25, SearchOptions{Room: RoomAllRound}},
		{"quarter acre, no room", 0.25, SearchOptions{}},
		{"two acres, room", 2, SearchOptions{Room: RoomAllRound}},
		{"two acres, no room", 2, SearchOptions{}},
		{"quarter acre, dragging", 0.25, SearchOptions{Room: RoomAllRound, Quick: true}},
		{"quarter acre, dragging, no room", 0.25, SearchOptions{Quick: true}},
	} {
		b.Run(c.name, func(b *testing.B) { benchmarkSearch(b, c.acres, c.o) })
	}
}
