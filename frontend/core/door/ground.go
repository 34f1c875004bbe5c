package door

import (
	"cmp"

	"github.com/paulmach/orb"

	"evenfall/agronomy/units"
	"evenfall/frontend/core/wire"
	"evenfall/geo"
	"evenfall/geo/fault"
)

// measureRequest comes with the rings' coordinates as data: pairs of 64-bit
// floats, little-endian, ring after ring.
type measureRequest struct {
	Corners  []int        `json:"corners"` // of each ring, the closing one included
	Units    units.System `json:"units"`
	CornerM  float64      `json:"cornerM"`
	SurveyM2 float64      `json:"surveyM2"` // standard deviation of the area, where a survey found it
	Open     bool         `json:"open"`
}

type measurement struct {
	AreaM2         float64  `json:"area_m2"`
	PerimeterM     float64  `json:"perimeter_m"`
	UncertaintyM2  float64  `json:"uncertainty_m2"`
	AreaText       string   `json:"areaText"`
	PerimeterText  string   `json:"perimeterText"`
	GiveOrTakeText string   `json:"giveOrTakeText"`
	Edges          edgeRows `json:"edges"`
}

// edgeRows are the edges as rows, one entry per edge and three per place.
type edgeRows struct {
	Ring    wire.Ints   `json:"ring"`
	Corner  wire.Ints   `json:"corner"`
	LengthM wire.Floats `json:"length_m"`
	At      wire.Floats `json:"at"` // longitude, latitude
	Text    []string    `json:"text"`
}

func measure(c *wire.Call) (any, error) {
	var q measureRequest
	if err := wire.Decode(c.Request, &q); err != nil {
		return nil, err
	}
	rings, err := ringsOf(c.Data, q.Corners)
	if err != nil {
		return nil, err
	}
	m := measurement{Edges: edgesOf(rings, q.Units, c.Out)}
	if q.Open {
		return m, nil
	}
	plot, err := geo.NewPlot("", rings)
	if err != nil {
		return nil, err
	}
	m.AreaM2, m.PerimeterM, m.UncertaintyM2 = plot.AreaM2(), plot.PerimeterM(), cmp.Or(q.SurveyM2, plot.DrawnUncertaintyM2(cmp.Or(q.CornerM, geo.CornerSigmaM)))
	m.AreaText, m.PerimeterText = units.Area(m.AreaM2).Format(q.Units), units.Length(m.PerimeterM).Format(q.Units)
	m.GiveOrTakeText = units.Area(geo.GiveOrTakeM2(m.UncertaintyM2)).FormatLike(units.Area(m.AreaM2), q.Units)
	return m, nil
}

// ringsOf reads the coordinates of a request.
func ringsOf(data []byte, corners []int) (orb.Polygon, error) {
	numbers := wire.Numbers(data)
	rings := make(orb.Polygon, len(corners))
	for i, n := range corners {
		if n < 0 || n > len(numbers)/2 {
			return nil, fault.New("rings", "the coordinates are fewer than the corners", "load the page again").At(fault.Place{Ring: i + 1})
		}
		rings[i] = make(orb.Ring, n)
		for k := range rings[i] {
			rings[i][k] = orb.Point(numbers[:2])
			numbers = numbers[2:]
		}
	}
	return rings, nil
}

func edgesOf(rings orb.Polygon, system units.System, out *wire.Answer) edgeRows {
	var ring, corner []int32
	var length, at []float64
	texts := []string{}
	for r, points := range rings {
		for k := 1; k < len(points); k++ {
			a, b := points[k-1], points[k]
			l := geo.DistanceM(a, b)
			ring, corner = append(ring, int32(r)), append(corner, int32(k-1))
			length, at = append(length, l), append(at, (a[0]+b[0])/2, (a[1]+b[1])/2)
			texts = append(texts, units.Length(l).Format(system))
		}
	}
	return edgeRows{out.IntRow(ring), out.IntRow(corner), out.Row(length), out.Row(at), texts}
}

type coordinatesRequest struct {
	Text  string       `json:"text"`
	Order string       `json:"order"`
	Date  string       `json:"date"`
	Units units.System `json:"units"`
}

func readCoordinates(q coordinatesRequest) (wire.ReadPlot, error) {
	latFirst := q.Order == "lat-lon"
	ring, err := geo.ParseCoordinates(q.Text, latFirst)
	if err != nil {
		return wire.ReadPlot{}, err
	}
	plot, err := geo.NewPlot("", orb.Polygon{ring})
	if err != nil {
		return wire.ReadPlot{}, inOtherOrder(err, latFirst)
	}
	return wire.NewReadPlot(plot, plot.Survey(geo.Uploaded, q.Date, geo.CornerSigmaM), nil, q.Units), nil
}

// inOtherOrder says of axes that look swapped how the page is told so: the text
// stays as it is, and the choice of the order beside it is the cure.
func inOtherOrder(err error, latFirst bool) error {
	found, ok := fault.From(err)
	if !ok || found.Code != "swapped_axes" {
		return err
	}
	other := *found
	other.Remedy = "choose that latitude comes first"
	if latFirst {
		other.Remedy = "choose that longitude comes first"
	}
	return &other
}

type tapedRequest struct {
	Tape      geo.Tape     `json:"tape"`
	At        orb.Point    `json:"at"`
	Bearing   float64      `json:"bearing"`
	PaceM     float64      `json:"paceM"`     // of one pace, where the lengths are counted in paces
	TapeError float64      `json:"tapeError"` // of a length, over the length
	Method    geo.Method   `json:"method"`
	Date      string       `json:"date"`
	Units     units.System `json:"units"`
}

type tapedAnswer struct {
	Outline    orb.Polygon `json:"outline"`
	Survey     geo.Survey  `json:"survey"`
	AreaText   string      `json:"areaText"`
	Dimensions geo.Tape    `json:"dimensions"`
}

// tapeErrors are how far a length is off, over the length, one standard
// deviation: by tape, by pacing, by eye. Common practice, no source.
var tapeErrors = map[geo.Method]float64{geo.Taped: 0.01, geo.Paced: 0.05, geo.Guessed: 0.2}

// A pace is a step, and no person's is shorter or longer, metres. Common
// practice, no source.
const leastPaceM, mostPaceM = 0.3, 1.5

// inPaces turns lengths that were counted in paces into metres.
func (q *tapedRequest) inPaces() error {
	if !(q.PaceM >= leastPaceM && q.PaceM <= mostPaceM) {
		return fault.New("pace", "nobody steps so far, or so short", "walk 100 ft and count: a pace is mostly 2 to 3 ft, 0.6 to 0.9 m").In("pace_m")
	}
	lengths := make([]float64, len(q.Tape.LengthsM))
	for i, paces := range q.Tape.LengthsM {
		lengths[i] = paces * q.PaceM
	}
	q.Tape.LengthsM = lengths
	return nil
}

func taped(q tapedRequest) (tapedAnswer, error) {
	if q.PaceM != 0 {
		if err := q.inPaces(); err != nil {
			return tapedAnswer{}, err
		}
	}
	if q.Method == "" {
		q.Method = geo.Taped
	}
	if q.TapeError == 0 {
		q.TapeError = tapeErrors[q.Method]
	}
	plot, err := q.Tape.Plot("", q.At, q.Bearing)
	if err != nil {
		return tapedAnswer{}, err
	}
	survey := plot.Survey(q.Method, q.Date, 0)
	survey.UncertaintyM2 = q.Tape.UncertaintyM2(q.TapeError)
	return tapedAnswer{plot.Polygon, survey, units.Area(survey.AreaM2).Format(q.Units), q.Tape}, survey.Check()
}

type splitRequest struct {
	Outline orb.Polygon    `json:"outline"`
	Line    orb.LineString `json:"line"`
}

// piece is what a cut leaves on one side.
type piece struct {
	Outline orb.Polygon `json:"outline"`
	AreaM2  float64     `json:"area_m2"`
	Inside  orb.Point   `json:"inside"` // where its name may stand
}

func split(q splitRequest) ([]piece, error) {
	plot, err := geo.NewPlot("", q.Outline)
	if err != nil {
		return nil, err
	}
	pieces, err := plot.Split(q.Line)
	if err != nil {
		return nil, err
	}
	found := make([]piece, len(pieces))
	for i, p := range pieces {
		found[i] = piece{p.Polygon, p.AreaM2(), p.Inside()}
	}
	return found, nil
}

type localRequest struct {
	Outlines []orb.Polygon `json:"outlines"`
}

type localShape struct {
	Rings  []wire.Floats `json:"ringsM"`
	Bound  [4]float64    `json:"boundM"`
	Origin orb.Point     `json:"origin"`
}

// local lays plots flat.
func local(c *wire.Call) (any, error) {
	var q localRequest
	if err := wire.Decode(c.Request, &q); err != nil {
		return nil, err
	}
	shapes := make([]localShape, len(q.Outlines))
	for i, outline := range q.Outlines {
		plot, err := geo.NewPlot("", outline)
		if err != nil {
			return nil, inFeature(err, i+1)
		}
		frame := plot.Frame()
		polygon := frame.LocalPolygon(plot.Polygon)
		b := polygon.Bound()
		shapes[i] = localShape{Rings: []wire.Floats{}, Bound: [4]float64{b.Min[0], b.Min[1], b.Max[0], b.Max[1]}, Origin: frame.Origin()}
		for _, ring := range polygon {
			shapes[i].Rings = append(shapes[i].Rings, c.Out.Row(metres(orb.LineString(ring))))
		}
	}
	return shapes, nil
}

func inFeature(err error, n int) error {
	if found, ok := fault.From(err); ok {
		where := found.Where
		where.Feature = n
		return found.At(where)
	}
	return err
}
