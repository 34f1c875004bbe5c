package units

// FormatLike writes an area in the unit, and to the decimals, that Format
// chooses for another one, so that an area and its uncertainty read alike.
func (a Area) FormatLike(other Area, s System) string {
	switch {
	case s == Metric && abs(other) < hectaresFrom:
		return rounded3(a.SquareMetres()) + " m²"
	case s == Metric:
		return hundredths(a.Hectares()) + " ha"
	case abs(other) < squareFeetBelow:
		return rounded3(a.SquareFeet()) + " sq ft"
	default:
		return hundredths(a.Acres()) + " ac"
	}
}

// hundredths writes two decimals and says so of what is too small for them.
func hundredths(v float64) string {
	if v > 0 && v < 0.005 {
		return "less than 0.01"
	}
	return decimals(v, 2)
}
