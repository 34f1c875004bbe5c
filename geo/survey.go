package geo

// Method is how a survey got its area.
type Method string

// The methods, from the least to the most trustworthy in common practice.
const (
	Guessed  Method = "guessed"
	Paced    Method = "paced"
	Taped    Method = "taped"
	Drawn    Method = "drawn"
	Walked   Method = "walked"
	Uploaded Method = "uploaded"
)

// Survey is one measurement of a plot. UncertaintyM2 is one standard deviation
// of the area; zero means that nothing is known about it, not that it is exact.
type Survey struct {
	Method        Method  `json:"method"`
	Date          string  `json:"date"` // YYYY-MM-DD
	AreaM2        float64 `json:"area_m2"`
	PerimeterM    float64 `json:"perimeter_m,omitempty"`
	UncertaintyM2 float64 `json:"uncertainty_m2,omitempty"`
	Note          string  `json:"note,omitempty"`
}
