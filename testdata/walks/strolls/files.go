package strolls

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"evenfall/geo/walk"
	"evenfall/testdata/plots/shapes"

	gpx "github.com/twpayne/go-gpx"
)

// File is one file of the committed set.
type File struct {
	Name string
	Text []byte
}

// Truth is an entry of truths.json: which file, and what was really done.
type Truth struct {
	File string `json:"file"`
	Stroll
}

// TruthsName is the file that tells what the others should come to.
const TruthsName = "truths.json"

type committed struct {
	name  string
	acres float64
	kind  string
	set   func(*Stroll)
}

// set is the committed set: one walk for each thing that a trace has to take.
var set = []committed{
	{"quarter-acre-on-foot.gpx", 0.25, "ell", func(s *Stroll) { s.SaysAccuracy, s.PauseS, s.Spikes = true, 40, 2 }},
	{"tenth-acre-on-foot.gpx", 0.1, "round", func(s *Stroll) { s.SigmaM, s.SaysAccuracy = 1.2, true }},
	{"half-acre-inside-the-edge.gpx", 0.5, "wedge", func(s *Stroll) { s.OffsetM = 2; s.byATV(2.5, 1) }},
	{"one-acre-two-laps.gpx", 1, "horseshoe", func(s *Stroll) { s.Laps, s.SaysAccuracy = 2, false }},
	{"two-acre-star.gpx", 2, "star", func(s *Stroll) { s.SaysAccuracy, s.Spikes = true, 3 }},
	{"five-acre-by-atv.gpx", 5, "bent strip", func(s *Stroll) { s.byATV(4, 2) }},
}

func (s *Stroll) byATV(speedMPS, everyS float64) {
	s.Drive, s.SpeedMPS, s.EveryS = "ATV", speedMPS, everyS
}

// Files makes the committed set: GPX files and what they should come to.
func Files() ([]File, error) {
	var files []File
	var truths []Truth
	for i, c := range set {
		rng := rand.New(rand.NewPCG(2024, uint64(i)))
		s := Stroll{
			TrueAreaM2: c.acres * shapes.SquareMetresPerAcre, Drive: "walking", SpeedMPS: 1.3, EveryS: 1,
			SigmaM: 2.5, CorrelationS: 60, Laps: 1, OverlapM: 8, SaysAccuracy: true,
		}
		c.set(&s)
		fixes := s.Record(s.Outline(rng, named(c.kind)), rng)
		text, err := asGPX(c.name, fixes)
		if err != nil {
			return nil, err
		}
		files = append(files, File{c.name, text})
		truths = append(truths, Truth{c.name, s})
	}
	text, err := json.MarshalIndent(truths, "", "  ")
	return append(files, File{TruthsName, append(text, '\n')}), err
}

func named(kind string) shapes.Kind {
	for _, k := range shapes.Kinds() {
		if k.Name == kind {
			return k
		}
	}
	panic("no shape is called " + kind)
}

// asGPX writes a track as phones do: seven decimals of a degree, a time for
// every point, and the accuracy as an extension.
func asGPX(name string, fixes []walk.Fix) ([]byte, error) {
	begin := time.Date(2024, time.April, 20, 14, 0, 0, 0, time.UTC)
	segment := &gpx.TrkSegType{}
	for _, f := range fixes {
		point := &gpx.WptType{
			Lon: math.Round(f.LonLat[0]*1e7) / 1e7, Lat: math.Round(f.LonLat[1]*1e7) / 1e7,
			Time: begin.Add(time.Duration(f.TimeS * float64(time.Second))),
		}
		if f.AccuracyM > 0 {
			point.Extensions = &gpx.ExtensionsType{XML: fmt.Appendf(nil, `<accuracy xmlns="urn:evenfall:made-up-walk">%.1f</accuracy>`, f.AccuracyM)}
		}
		segment.TrkPt = append(segment.TrkPt, point)
	}
	document := gpx.GPX{Version: "1.1", Creator: "evenfall made-up walks",
		Trk: []*gpx.TrkType{{Name: name[:len(name)-len(".gpx")], TrkSeg: []*gpx.TrkSegType{segment}}}}
	var text bytes.Buffer
	text.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n")
	if err := document.WriteIndent(&text, "", " "); err != nil {
		return nil, err
	}
	text.WriteByte('\n')
	return text.Bytes(), nil
}
