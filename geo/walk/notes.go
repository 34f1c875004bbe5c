package walk

import (
	"fmt"
	"math"
)

const (
	// poorShare of the area is an uncertainty that a person must hear of. Ours.
	poorShare = 0.15
	// longGapS without a fix is worth a word, in seconds. Ours.
	longGapS = 20.0
	// unlikelySigmas is how far two laps may differ before it is said.
	unlikelySigmas = 3.0
)

// notes says in plain words what was done and what to watch for.
func (done Result) notes(laps []lap, b budget, o Options) []string {
	var notes []string
	say := func(format string, a ...any) { notes = append(notes, fmt.Sprintf(format, a...)) }
	done.sayDropped(say, o)
	if done.GapM > 2*b.sigmaM {
		say("The walk was closed over a gap of %.0f m at the start.", done.GapM)
	}
	if len(laps) > 1 {
		say("%d laps were averaged.", len(laps))
		sayLaps(say, laps, b)
	}
	sayGaps(say, laps)
	if o.OffsetM != 0 {
		side := "inside"
		if o.OffsetM < 0 {
			side = "outside"
		}
		say("The line was walked %.1f m %s the edge and has been moved by that; each tenth of a metre wrong there is %.0f m2.",
			math.Abs(o.OffsetM), side, done.PerimeterM/10)
	}
	if done.UncertaintyM2 > poorShare*done.AreaM2 {
		say("The area is uncertain by %.0f %%: walk it more than once, or tape it, before buying for it.",
			100*done.UncertaintyM2/done.AreaM2)
	}
	return notes
}

func (done Result) sayDropped(say func(string, ...any), o Options) {
	d := done.Dropped
	if d.Inaccurate > 0 {
		say("%s dropped because the receiver called them worse than %.0f m.", fixes(d.Inaccurate), o.MaxAccuracyM)
	}
	if d.Repeated > 0 {
		say("%s dropped because they had no time of their own or came less than a second after another.", fixes(d.Repeated))
	}
	if d.Spikes > 0 {
		say("%s dropped because nobody could have got there in the time.", fixes(d.Spikes))
	}
	if d.Standing > 0 {
		say("%s merged where you stood still.", fixes(d.Standing))
	}
	if d.Overlap > 0 {
		say("%s dropped after you were back at the start.", fixes(d.Overlap))
	}
}

// fixes reads "1 fix was" or "12 fixes were".
func fixes(n int) string {
	if n == 1 {
		return "1 fix was"
	}
	return fmt.Sprintf("%d fixes were", n)
}

// sayLaps speaks up when laps differ by more than the receiver explains. The
// spread of one lap is bounded by that of the mean times the root of their
// number.
func sayLaps(say func(string, ...any), laps []lap, b budget) {
	least, most := math.Inf(1), 0.0
	for _, l := range laps {
		area := math.Abs(l.areaM2())
		least, most = math.Min(least, area), math.Max(most, area)
	}
	if one := b.deviationM2 * math.Sqrt(float64(len(laps))); most-least > unlikelySigmas*math.Sqrt2*one {
		say("The laps differ by %.0f m2, more than the receiver explains: they may not follow the same edge.", most-least)
	}
}

func sayGaps(say func(string, ...any), laps []lap) {
	for _, l := range laps {
		for i := 1; i < len(l); i++ {
			a, b := l[i-1], l[i]
			lostS, wayM := b.timeS-a.timeS-(a.stoodS+b.stoodS)/2, apart(a.at, b.at)
			if lostS > longGapS && wayM > 2*b.sigmaM {
				say("No fixes for %.0f s: %.0f m of the edge were drawn as a straight line.", lostS, wayM)
			}
		}
	}
}
