// Command evenness prints how evenly the planner covers the plots of
// testdata/plots against the trade's habit: one line per size and kind of
// room, medians over the plots of that size.
//
//	go run ./geo/passes/evenness testdata/plots
package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"text/tabwriter"
	"time"

	"evenfall/geo/coverage"
	"evenfall/geo/passes"
)

// The machine of the report: a triangular pattern of 26 ft throw, turning in
// 8 ft.
const (
	foot      = 0.3048
	halfThrow = 13 * foot
	turn      = 8 * foot
)

func main() {
	folder := "testdata/plots"
	if len(os.Args) > 1 {
		folder = os.Args[1]
	}
	if err := report(os.Stdout, folder); err != nil {
		fmt.Fprintln(os.Stderr, "evenness:", err)
		os.Exit(1)
	}
}

// setting is one block of the report.
type setting struct {
	says    string
	options passes.SearchOptions
}

func settings() []setting {
	return []setting{
		{"room to turn outside", passes.SearchOptions{TurnRadiusM: turn, Room: passes.RoomAllRound}},
		{"no room, at most 6 % outside", passes.SearchOptions{TurnRadiusM: turn}},
		{"no room, backing up to turn", passes.SearchOptions{TurnRadiusM: turn, BacksUp: true}},
		{"no room, loss outside not limited", passes.SearchOptions{TurnRadiusM: turn, OutsideMost: 1}},
	}
}

func report(w io.Writer, folder string) error {
	plots, err := readPlots(folder)
	if err != nil {
		return err
	}
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, s := range settings() {
		fmt.Fprintf(table, "%s\n", s.says)
		fmt.Fprintln(table, "acres\tplots\thabit CV\tbest CV\twith wander\tloss outside\thabit's loss\tpath / bound\tturns\tcandidates\tms")
		for _, acres := range sizes(plots) {
			rows, err := searchAll(plots, acres, s.options)
			if err != nil {
				return err
			}
			printRow(table, acres, rows)
		}
		fmt.Fprintln(table)
	}
	return table.Flush()
}

func sizes(plots []plot) []float64 {
	var all []float64
	for _, p := range plots {
		all = append(all, p.acres)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// figures are one plot's.
type figures struct {
	habit, best, wander, outside, habitOutside, ratio, turns, candidates, ms float64
}

func searchAll(plots []plot, acres float64, o passes.SearchOptions) ([]figures, error) {
	var rows []figures
	for _, p := range plots {
		if p.acres != acres {
			continue
		}
		ground, err := passes.NewGround(p.local)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.name, err)
		}
		start := time.Now()
		result, err := ground.Search(triangle(), o)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.name, err)
		}
		rows = append(rows, figuresOf(result, float64(time.Since(start).Microseconds())/1000))
	}
	return rows, nil
}

func figuresOf(r passes.Result, ms float64) figures {
	best := r.Options[0]
	f := figures{
		best: best.Figures.CV, wander: best.Wander.ExpectedCV, outside: best.Figures.OutsideShare, ratio: best.Plan.BoundRatio,
		turns: float64(best.Plan.Turns), candidates: float64(r.Candidates), ms: ms,
	}
	for _, o := range r.Options {
		if o.Habit {
			f.habit, f.habitOutside = o.Figures.CV, o.Figures.OutsideShare
		}
	}
	return f
}

func printRow(w io.Writer, acres float64, rows []figures) {
	mid := func(of func(figures) float64) float64 {
		var all []float64
		for _, r := range rows {
			all = append(all, of(r))
		}
		return median(all)
	}
	fmt.Fprintf(w, "%g\t%d\t%.3f\t%.3f\t%.3f\t%.1f %%\t%.1f %%\t%.2f\t%.0f\t%.0f\t%.0f\n", acres, len(rows),
		mid(func(f figures) float64 { return f.habit }), mid(func(f figures) float64 { return f.best }),
		mid(func(f figures) float64 { return f.wander }), 100*mid(func(f figures) float64 { return f.outside }),
		100*mid(func(f figures) float64 { return f.habitOutside }),
		mid(func(f figures) float64 { return f.ratio }), mid(func(f figures) float64 { return f.turns }),
		mid(func(f figures) float64 { return f.candidates }), mid(func(f figures) float64 { return f.ms }))
}

func median(all []float64) float64 {
	slices.Sort(all)
	n := len(all)
	return (all[(n-1)/2] + all[n/2]) / 2
}

func triangle() coverage.Profile {
	const n = 128
	p := coverage.Profile{StartM: -halfThrow, StepM: 2 * halfThrow / n, Share: make([]float64, n)}
	for i := range p.Share {
		x := (float64(i) + 0.5) / n * 2
		p.Share[i] = min(x, 2-x) * 2 / n
	}
	return p
}
