package mix

import "math"

// vec is one mass of N, P2O5 and K2O, in kilograms.
type vec [3]float64

func (a vec) dot(b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func (a vec) plus(b vec, times float64) vec {
	return vec{a[0] + b[0]*times, a[1] + b[1]*times, a[2] + b[2]*times}
}

func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// halfspace is the set of y with normal.y <= limit.
type halfspace struct {
	normal vec
	limit  float64
}

// corners lists the vertices of a bounded intersection of half-spaces by
// solving every triple of faces and keeping the solutions that break no face.
// With the dozen faces of a bag search that is 220 small systems.
func corners(faces []halfspace) []vec {
	var found []vec
	for i := range faces {
		for j := i + 1; j < len(faces); j++ {
			for k := j + 1; k < len(faces); k++ {
				y, ok := meet(faces[i], faces[j], faces[k])
				if ok && within(y, faces) && !listed(y, found) {
					found = append(found, y)
				}
			}
		}
	}
	return found
}

// meet is the point that three planes share; not ok when two are parallel.
func meet(a, b, c halfspace) (y vec, ok bool) {
	bc, ca, ab := b.normal.cross(c.normal), c.normal.cross(a.normal), a.normal.cross(b.normal)
	det := a.normal.dot(bc)
	size := math.Sqrt(a.normal.dot(a.normal) * b.normal.dot(b.normal) * c.normal.dot(c.normal))
	if math.Abs(det) <= 1e-12*size {
		return vec{}, false
	}
	y = y.plus(bc, a.limit/det).plus(ca, b.limit/det).plus(ab, c.limit/det)
	return y, true
}

func within(y vec, faces []halfspace) bool {
	reach := math.Sqrt(y.dot(y))
	for _, f := range faces {
		slack := 1e-9 * (math.Abs(f.limit) + reach*math.Sqrt(f.normal.dot(f.normal)))
		if f.normal.dot(y) > f.limit+slack {
			return false
		}
	}
	return true
}

func listed(y vec, found []vec) bool {
	for _, f := range found {
		d := f.plus(y, -1)
		if d.dot(d) <= 1e-18*(1+y.dot(y)) {
			return true
		}
	}
	return false
}

// steepest is the largest y.r over the corners: the value of a linear program
// over them.
func steepest(at []vec, r vec) float64 {
	best := math.Inf(-1)
	for _, y := range at {
		best = max(best, y.dot(r))
	}
	return best
}
