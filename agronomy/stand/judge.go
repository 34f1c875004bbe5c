package stand

import (
	"fmt"
	"math"

	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Verdict is what counts say of a stand.
type Verdict string

// The verdicts.
const (
	OnTarget      Verdict = "on_target"
	ThinButEnough Verdict = "thin_but_enough"
	Thin          Verdict = "thin"
	TooThick      Verdict = "too_thick"
)

// Target is what the counts are held to. EnoughShare and ThickShare are shares
// of Density; zero takes the defaults. ReseedBy is YYYY-MM-DD, empty when the
// last day to reseed is not known.
type Target struct {
	What        string             `json:"what"` // "seeds" or "plants", with the species where it helps
	Density     units.CountPerArea `json:"density_per_m2"`
	EnoughShare float64            `json:"enough_share,omitempty"`
	ThickShare  float64            `json:"thick_share,omitempty"`
	ReseedBy    string             `json:"reseed_by,omitempty"`
}

// Shares of the target between which a stand is left as it is, where the user
// gives none. From memory, unverified.
const (
	usualEnough = 0.6
	usualThick  = 1.5
)

// Counts are the pieces found in samples of one size, each thrown blind.
type Counts struct {
	Found  []int      `json:"found"`
	Sample units.Area `json:"sample_m2"`
}

// Judgment is the verdict with the figures behind it. Low and High are a 95 %
// interval of the mean. Dispersion is the variance over the mean, 1 for
// scatter by chance alone. Sure says that the whole interval is on one side of
// the limits; MoreCounts is about how many further samples would make it so.
type Judgment struct {
	Verdict    Verdict            `json:"verdict"`
	Sure       bool               `json:"sure"`
	Mean       units.CountPerArea `json:"mean_per_m2"`
	Low        units.CountPerArea `json:"low_per_m2"`
	High       units.CountPerArea `json:"high_per_m2"`
	Dispersion float64            `json:"dispersion"`
	MoreCounts int                `json:"more_counts,omitempty"`
	Says       string             `json:"says"`
	Mark       source.Mark        `json:"mark"` // of the limits
}

// Bounds of counts that can be judged.
const (
	fewestSamples = 3
	mostSamples   = 1000
	mostFound     = 1000000
	mostMore      = 30 // beyond this more counting is no help
)

// confidence is that of the interval.
const confidence = 0.95

// Judge holds counts to a target.
func Judge(c Counts, target Target, sys units.System) (Judgment, error) {
	target, mark, err := target.filled()
	if err != nil {
		return Judgment{}, err
	}
	s, err := c.summarize()
	if err != nil {
		return Judgment{}, err
	}
	j := Judgment{Mean: c.over(s.mean), Dispersion: s.dispersion, Mark: mark}
	low, high := s.interval()
	j.Low, j.High = c.over(low), c.over(high)
	j.decide(target)
	if !j.Sure {
		j.MoreCounts = s.more(target.nearest(j.Mean).On(c.Sample))
	}
	j.Says = j.sentence(target, sys)
	return j, nil
}

func (t Target) filled() (Target, source.Mark, error) {
	mark := source.Mark{Kind: source.Stated}
	if t.EnoughShare == 0 {
		t.EnoughShare, mark.Kind = usualEnough, source.Memory
	}
	if t.ThickShare == 0 {
		t.ThickShare, mark.Kind = usualThick, source.Memory
	}
	switch {
	case !(t.Density > 0) || math.IsInf(float64(t.Density), 0):
		return t, mark, fault.New("target", "there is no number to hold the counts to", "give the plants or seeds that are wanted").In("density_per_m2")
	case !(t.EnoughShare > 0 && t.EnoughShare <= 1):
		return t, mark, fault.New("target", "the share that is enough does not lie between 0 and 1", "give a share such as 0.6").In("enough_share")
	case !(t.ThickShare >= 1) || math.IsInf(t.ThickShare, 0):
		return t, mark, fault.New("target", "the share that is too thick is under 1", "give a share such as 1.5").In("thick_share")
	}
	return t, mark, nil
}

func (t Target) enough() units.CountPerArea { return t.Density * units.CountPerArea(t.EnoughShare) }
func (t Target) thick() units.CountPerArea  { return t.Density * units.CountPerArea(t.ThickShare) }

// nearest is the limit that a mean is closest to by ratio.
func (t Target) nearest(mean units.CountPerArea) units.CountPerArea {
	if mean*mean < t.enough()*t.thick() {
		return t.enough()
	}
	return t.thick()
}

func (j *Judgment) decide(t Target) {
	switch {
	case j.Mean < t.enough():
		j.Verdict, j.Sure = Thin, j.High < t.enough()
	case j.Mean > t.thick():
		j.Verdict, j.Sure = TooThick, j.Low > t.thick()
	default:
		j.Verdict, j.Sure = OnTarget, j.Low >= t.enough() && j.High <= t.thick()
		if j.High < t.Density {
			j.Verdict = ThinButEnough
		}
	}
}

func (j Judgment) sentence(t Target, sys units.System) string {
	what := t.What
	if what == "" {
		what = "plants"
	}
	says := fmt.Sprintf("%s: %s found, between %s and %s with 95 %% confidence, %s wanted.", j.words(t),
		j.Mean.FormatClose(what, sys), j.Low.FormatClose(what, sys), j.High.FormatClose(what, sys), t.Density.FormatClose(what, sys))
	if j.Sure {
		return says
	}
	more := fmt.Sprintf("%d more times", j.MoreCounts)
	if j.MoreCounts == 1 {
		more = "once more"
	}
	return says + " The counts scatter too much to be sure: throw the hoop " + more + " before you act."
}

func (j Judgment) words(t Target) string {
	switch j.Verdict {
	case Thin:
		if t.ReseedBy == "" {
			return "Thin: reseed while the season allows"
		}
		return "Thin: reseed by " + units.Date(t.ReseedBy)
	case ThinButEnough:
		return "Thin but enough"
	case TooThick:
		return "Too thick"
	default:
		return "On target"
	}
}

// summary is what counts come to, per sample.
type summary struct {
	n          float64
	mean       float64
	dispersion float64 // at least 1
	t          float64 // quantile of Student's t at n-1 degrees of freedom
}

func (c Counts) over(perSample float64) units.CountPerArea {
	return units.CountPerArea(perSample / float64(c.Sample))
}

func (c Counts) summarize() (summary, error) {
	n := len(c.Found)
	switch {
	case n < fewestSamples:
		return summary{}, fault.New("counts", fmt.Sprintf("%d counts are too few to judge by", n), "throw the hoop at least three times, better ten").In("found")
	case n > mostSamples:
		return summary{}, fault.New("counts", "more than 1000 counts", "leave some out").Of(fault.TooLarge).In("found")
	case !(c.Sample > 0) || math.IsInf(float64(c.Sample), 0):
		return summary{}, fault.New("sample", "the size of the sample is missing", "give the hoop's diameter or the length of row").In("sample_m2")
	}
	s := summary{n: float64(n), dispersion: 1, t: tQuantile(1-(1-confidence)/2, n-1)}
	for i, found := range c.Found {
		if found < 0 || found > mostFound {
			return summary{}, fault.New("counts", fmt.Sprintf("count %d is not a number of pieces", i+1), "give what was found in the hoop").In("found")
		}
		s.mean += float64(found) / s.n
	}
	if s.mean > 0 {
		squares := 0.0
		for _, found := range c.Found {
			d := float64(found) - s.mean
			squares += d * d
		}
		s.dispersion = math.Max(1, squares/(s.mean*(s.n-1)))
	}
	return s, nil
}

// interval is the score interval of a quasi-Poisson mean: the means m for
// which |found - m| <= t sqrt(dispersion m / n). Counts of a broadcast stand
// are clumped, so that their variance is Pearson's dispersion times the mean
// (never taken below chance alone), and Student's t stands for the dispersion
// being estimated. It holds for counts of zero, where it starts at zero.
func (s summary) interval() (low, high float64) {
	c := s.t * s.t * s.dispersion / s.n
	half := math.Sqrt(c*s.mean + c*c/4)
	return math.Max(0, s.mean+c/2-half), s.mean + c/2 + half
}

// more is about how many further samples take the interval clear of a limit.
func (s summary) more(limit float64) int {
	gap := s.mean - limit
	needed := s.t * s.t * s.dispersion * limit / (gap * gap)
	return int(math.Max(1, math.Min(mostMore, math.Ceil(needed-s.n))))
}
