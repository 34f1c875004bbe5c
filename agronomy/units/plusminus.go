package units

// FormatLike writes an area in the unit that Format chooses for another one,
// so that an area and its uncertainty read alike.
func (a Area) FormatLike(other Area, s System) string {
	switch {
	case s == Metric && abs(other) < hectaresFrom:
		return rounded3(a.SquareMetres()) + " m2"
	case s == Metric:
		return brief(a.Hectares()) + " ha"
	case abs(other) < squareFeetBelow:
		return rounded3(a.SquareFeet()) + " sq ft"
	default:
		return brief(a.Acres()) + " ac"
	}
}
