package wire

import (
	"github.com/paulmach/orb"

	"evenfall/geo/walk"
)

// Fixes reads the positions of a walk: longitude, latitude, seconds and the
// receiver's accuracy in metres, four numbers to a position.
func Fixes(data []byte) []walk.Fix {
	const each = 4
	numbers := Numbers(data)
	fixes := make([]walk.Fix, len(numbers)/each)
	for i := range fixes {
		n := numbers[each*i:]
		fixes[i] = walk.Fix{LonLat: orb.Point{n[0], n[1]}, TimeS: n[2], AccuracyM: n[3]}
	}
	return fixes
}
