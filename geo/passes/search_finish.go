package passes

import (
	"slices"

	"github.com/paulmach/orb"
)

// planOf makes the plan of a finished candidate: laps first, then the straight
// passes in the order and direction they are driven, each led so that the
// material lands where it was meant to, and the travel between them.
func (pl *planner) planOf(name string, parts ...finished) Plan {
	first := parts[0]
	p := Plan{Name: name, SpacingM: first.spacingM, FirstInsetM: first.head.insetM, TurnRadiusM: pl.o.TurnRadiusM}
	at := pl.ground.polygon[0][0]
	o := pl.straightOptions(&first.layout)
	if o.Start != nil {
		at = *o.Start
	}
	var rides []orb.LineString
	for _, t := range first.tracks {
		passes, closed := t.passesOf(pl.leadM())
		p.Passes, rides = append(p.Passes, passes...), append(rides, closed...)
	}
	if n := len(p.Passes); n > 0 {
		last := p.Passes[n-1].Line
		at = last[len(last)-1]
	}
	for _, f := range parts {
		for _, stretches := range f.byFlow() {
			for _, line := range driveRuns(runsOf(stretches), f.spacingM, pl.o.TurnRadiusM, at) {
				pass := newPass(Straight, pl.led(line))
				pass.Flow = f.flowOf(stretches[0])
				p.Passes = append(p.Passes, pass)
				at = pass.Line[len(pass.Line)-1]
			}
		}
	}
	pl.addWays(&p, o.Start, rides...)
	return p
}

// byFlow parts the straight passes by their flow: those that are driven as open
// as the laps first, so that the gate is set anew but once.
func (f *finished) byFlow() [][]Stretch {
	if !f.lighter() || f.extras == 0 {
		return [][]Stretch{f.stretches}
	}
	var added, others []Stretch
	for _, s := range f.stretches {
		if s.Row >= lastRow {
			added = append(added, s)
		} else {
			others = append(others, s)
		}
	}
	return slices.DeleteFunc([][]Stretch{added, others}, func(s []Stretch) bool { return len(s) == 0 })
}

// led moves a straight line ahead by what the machine throws behind. While the
// gate opens or closes half of the flow is missing, so half the ramp counts.
func (pl *planner) led(line orb.LineString) orb.LineString {
	lead := pl.leadM()
	h := startPose(line).heading
	out := make(orb.LineString, len(line))
	for i, p := range line {
		out[i] = orb.Point{p[0] + lead*h[0], p[1] + lead*h[1]}
	}
	return out
}

// leadM is how far ahead of the place where material lands the gate is worked.
func (pl *planner) leadM() float64 { return pl.o.BehindM - pl.o.RampM/2 }
