package walk_test

import (
	"encoding/binary"
	"math"
	"testing"

	"evenfall/geo/fault"
	"evenfall/geo/walk"

	"github.com/paulmach/orb"
)

// FuzzTrace feeds arbitrary fixes near one place. Whatever comes, it must end
// with a fault or with a valid plot whose figures agree with each other.
func FuzzTrace(f *testing.F) {
	f.Add([]byte{0, 0, 1, 5, 10, 0, 1, 5, 20, 0, 1, 5, 20, 10, 1, 5, 20, 20, 1, 5, 10, 20, 1, 5, 0, 20, 1, 5, 0, 10, 1, 5, 0, 1, 1, 5}, 0.0)
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8}, 3.0)
	var round []byte
	for _, x := range paced(block, 0.5) {
		p := home.ToLocal(x.LonLat)
		round = append(round, byte(int8(p[0])), byte(int8(p[1])), 1, 3)
	}
	f.Add(round, -1.0)
	f.Fuzz(func(t *testing.T, text []byte, offsetM float64) {
		var fixes []walk.Fix
		now := 0.0
		for ; len(text) >= 4; text = text[4:] {
			now += float64(text[2])
			at := orb.Point{float64(int8(text[0])), float64(int8(text[1]))}
			fixes = append(fixes, walk.Fix{LonLat: home.ToLonLat(at), TimeS: now, AccuracyM: float64(text[3])})
		}
		if len(text) >= 2 && len(fixes) > 0 {
			fixes[0].LonLat[0] = float64(math.Float32frombits(uint32(binary.LittleEndian.Uint16(text)) << 16))
		}
		r, err := walk.Trace("x", fixes, walk.Options{OffsetM: offsetM})
		if err != nil {
			if _, ok := fault.From(err); !ok {
				t.Fatalf("not a fault: %v", err)
			}
			return
		}
		if r.AreaM2 != r.Plot.AreaM2() || !(r.UncertaintyM2 > 0) || r.Laps < 1 {
			t.Fatalf("%+v", r)
		}
		if r.Interval95.LowM2 < 0 || r.Interval95.LowM2 > r.AreaM2 || r.Interval95.HighM2 < r.AreaM2 {
			t.Fatalf("interval %+v of %g", r.Interval95, r.AreaM2)
		}
	})
}
