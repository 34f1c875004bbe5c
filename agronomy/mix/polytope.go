package mix

import "math"

// vec is one mass of N, P2O5 and K2O in kilograms, and a count of half bags.
type vec [4]float64

func (a vec) dot(b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] + a[3]*b[3] }

func (a vec) plus(b vec, times float64) vec {
	return vec{a[0] + b[0]*times, a[1] + b[1]*times, a[2] + b[2]*times, a[3] + b[3]*times}
}

func (a vec) length() float64 { return math.Sqrt(a.dot(a)) }

// halfspace is the set of y with normal.y <= limit.
type halfspace struct {
	normal vec
	limit  float64
}

// scaled makes the normal of length one, so that one tolerance fits all faces.
func (h halfspace) scaled() halfspace {
	size := h.normal.length()
	return halfspace{vec{}.plus(h.normal, 1/size), h.limit / size}
}

// corners lists the vertices of an intersection of half-spaces by solving every
// four of its faces and keeping the solutions that break no face. With the
// dozen faces of a bag search that is some hundred small systems.
func corners(faces []halfspace) []vec {
	unit := make([]halfspace, len(faces))
	for i, f := range faces {
		unit[i] = f.scaled()
	}
	var found []vec
	for i := range unit {
		for j := i + 1; j < len(unit); j++ {
			for k := j + 1; k < len(unit); k++ {
				for l := k + 1; l < len(unit); l++ {
					y, ok := meet([4]halfspace{unit[i], unit[j], unit[k], unit[l]})
					if ok && within(y, unit) && !listed(y, found) {
						found = append(found, y)
					}
				}
			}
		}
	}
	return found
}

// meet is the point that four faces share, by elimination with row exchange;
// not ok when they do not meet in one point.
func meet(rows [4]halfspace) (y vec, ok bool) {
	for c := range rows {
		pivot := c
		for r := c + 1; r < len(rows); r++ {
			if math.Abs(rows[r].normal[c]) > math.Abs(rows[pivot].normal[c]) {
				pivot = r
			}
		}
		rows[c], rows[pivot] = rows[pivot], rows[c]
		if math.Abs(rows[c].normal[c]) < 1e-11 {
			return vec{}, false
		}
		for r := c + 1; r < len(rows); r++ {
			times := rows[r].normal[c] / rows[c].normal[c]
			rows[r].normal = rows[r].normal.plus(rows[c].normal, -times)
			rows[r].limit -= times * rows[c].limit
		}
	}
	for c := len(rows) - 1; c >= 0; c-- {
		y[c] = (rows[c].limit - rows[c].normal.dot(y)) / rows[c].normal[c]
	}
	return y, true
}

func within(y vec, faces []halfspace) bool {
	reach := 1e-9 * y.length()
	for _, f := range faces {
		if f.normal.dot(y) > f.limit+reach+1e-9*math.Abs(f.limit) {
			return false
		}
	}
	return true
}

func listed(y vec, found []vec) bool {
	for _, f := range found {
		if f.plus(y, -1).length() <= 1e-9*(1e-9+y.length()) {
			return true
		}
	}
	return false
}

// steepest is the largest y.r over the corners: the value of a linear program
// over them.
func steepest(at []vec, r vec) float64 {
	best := math.Inf(-1)
	for i := range at { // the hot path of the bag search: no copies
		y := &at[i]
		if v := y[0]*r[0] + y[1]*r[1] + y[2]*r[2] + y[3]*r[3]; v > best {
			best = v
		}
	}
	return best
}
