package passes

import "github.com/paulmach/orb"

// backingSteps is how many turning radii, in halves, a machine backs up before
// a turn and after it.
const backingSteps = 6

// backing is the shortest way found with the machine backing up straight, then
// turning forward, then backing up straight to where it starts again, each for
// no way at all if that is enough; nil when all of them stray. At the end of a
// pass that runs up to the trees this is what a driver does.
func (pl *planner) backing(from, to pose) orb.LineString {
	var best orb.LineString
	half := pl.o.TurnRadiusM / 2
	least := 0.0
	for before := range backingSteps + 1 {
		for after := range backingSteps + 1 {
			x, y := float64(before)*half, float64(after)*half
			if best != nil && x+y >= least {
				continue
			}
			out, in := from.moved(-x), to.moved(y)
			if best != nil && x+y+turnWords(out, in, pl.o.TurnRadiusM)[0].length()*pl.o.TurnRadiusM >= least {
				continue
			}
			turn := pl.turnBetween(out, in)
			if turn == nil {
				continue
			}
			if length := x + y + lineLength(turn); best == nil || length < least {
				best, least = backed(from, turn, to), length
			}
		}
	}
	return best
}

// moved is a pose so far ahead along its heading.
func (p pose) moved(by float64) pose {
	p.at = orb.Point{p.at[0] + by*p.heading[0], p.at[1] + by*p.heading[1]}
	return p
}

// turnBetween is the shortest turn that does not stray, or nil.
func (pl *planner) turnBetween(from, to pose) orb.LineString {
	for _, w := range turnWords(from, to, pl.o.TurnRadiusM) {
		if line := w.trace(from, to, pl.o.TurnRadiusM); pl.fits(line) {
			return line
		}
	}
	return nil
}

// backed puts the two straight stretches that are backed before and after a
// turn.
func backed(from pose, turn orb.LineString, to pose) orb.LineString {
	line := orb.LineString{from.at}
	for _, p := range append(turn, to.at) {
		if apart(p, line[len(line)-1]) > repeatM {
			line = append(line, p)
		}
	}
	return line
}
