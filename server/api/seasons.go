package api

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"evenfall/agronomy"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
	"evenfall/server/record"
)

// Season is one saved sheet of a plot as a line in the table of its seasons:
// what was guessed, what was measured, what was planned and what was used.
type Season struct {
	SheetID    string           `json:"sheet_id"`
	Date       string           `json:"date"`                // of the sheet
	SpreadOn   string           `json:"spread_on,omitempty"` // once it is done
	Mix        string           `json:"mix"`
	GuessedM2  float64          `json:"guessed_m2,omitempty"`
	GuessRatio float64          `json:"guess_ratio,omitempty"` // guessed over measured
	MeasuredM2 float64          `json:"measured_m2"`
	SpreadM2   float64          `json:"spread_m2"` // the area less what is kept off
	Materials  []SeasonMaterial `json:"materials"`
	CV         float64          `json:"cv"`                    // predicted for the perfect line
	ExpectedCV float64          `json:"expected_cv,omitempty"` // with a driver's wander
	Counts     []record.Count   `json:"counts,omitempty"`
	Note       string           `json:"note,omitempty"`
	DoneNote   string           `json:"done_note,omitempty"`
}

// SeasonMaterial is what was planned of one material and, once it is said,
// what was used; the rates are over the area that was to be covered.
type SeasonMaterial struct {
	ID          string             `json:"id"`
	Material    string             `json:"material"`
	Planned     units.Mass         `json:"planned_kg"`
	PlannedRate units.MassPerArea  `json:"planned_rate_kg_per_m2"`
	Used        *units.Mass        `json:"used_kg,omitempty"`
	UsedRate    *units.MassPerArea `json:"used_rate_kg_per_m2,omitempty"`
	UsedShare   *float64           `json:"used_share,omitempty"` // of what was planned
}

// seasonsOfPlot lists the saved sheets of a plot as seasons, a page at a time,
// in the order in which they were saved.
func (s Services) seasonsOfPlot(c echo.Context) error {
	q, err := listQuery(c, []string{"limit", "after"})
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	q.PlotID = c.Param("id")
	if _, err := s.Store.Plots().Get(ctx, q.PlotID); err != nil {
		return err
	}
	found, err := s.Store.Sheets().List(ctx, q)
	if err != nil {
		return err
	}
	reply := page[Season]{Items: make([]Season, len(found.Items)), Total: found.Total}
	for i, listed := range found.Items { // lists leave the result out
		saved, err := s.Store.Sheets().Get(ctx, listed.ID)
		if err != nil {
			return err
		}
		if reply.Items[i], err = seasonOf(saved); err != nil {
			return err
		}
	}
	if found.Next != "" {
		reply.Next = nextPage(c, found.Next)
	}
	return c.JSON(http.StatusOK, reply)
}

func seasonOf(saved record.Sheet) (Season, error) {
	sheet, err := resultOf(saved)
	if err != nil {
		return Season{}, err
	}
	line := Season{
		SheetID: saved.ID, Date: saved.Date, Mix: sheet.Mix, Note: saved.Note,
		MeasuredM2: sheet.Ground.AreaM2, SpreadM2: sheet.Ground.SpreadM2,
		CV: sheet.Evenness.CV, ExpectedCV: sheet.Evenness.ExpectedCV, Materials: planned(sheet),
	}
	if guess := sheet.Ground.Guess; guess != nil {
		line.GuessedM2, line.GuessRatio = guess.AreaM2, guess.Ratio
	}
	if done := saved.Done; done != nil {
		line.SpreadOn, line.Counts, line.DoneNote = done.Date, done.Counts, done.Note
		for i := range line.Materials {
			line.Materials[i].use(done.Used, units.Area(line.SpreadM2))
		}
	}
	return line, nil
}

func resultOf(saved record.Sheet) (sheet agronomy.Sheet, err error) {
	return sheet, json.Unmarshal(saved.Result, &sheet)
}

// planned sums what a sheet spreads of each material, all hoppers together.
func planned(sheet agronomy.Sheet) []SeasonMaterial {
	all := []SeasonMaterial{}
	for _, a := range sheet.Materials {
		i := slices.IndexFunc(all, func(m SeasonMaterial) bool { return m.ID == a.ID })
		if i < 0 {
			i = len(all)
			all = append(all, SeasonMaterial{ID: a.ID, Material: a.Material})
		}
		all[i].Planned += a.SpreadMass
		all[i].PlannedRate += a.SpreadRate
	}
	return all
}

// use fills in what was really used, if that is known.
func (m *SeasonMaterial) use(used []record.Used, area units.Area) {
	i := slices.IndexFunc(used, func(u record.Used) bool { return u.ID == m.ID })
	if i < 0 || !(area > 0 && m.Planned > 0) {
		return
	}
	rate, share := used[i].Mass.Over(area), float64(used[i].Mass/m.Planned)
	m.Used, m.UsedRate, m.UsedShare = &used[i].Mass, &rate, &share
}

// checkUsed holds what was used to the materials of the sheet.
func checkUsed(s record.Sheet) error {
	if s.Done == nil {
		return nil
	}
	sheet, err := resultOf(s)
	if err != nil {
		return err
	}
	for i, u := range s.Done.Used {
		if !slices.ContainsFunc(sheet.Materials, func(a mix.Amount) bool { return a.ID == u.ID }) {
			return fault.New("material", fmt.Sprintf("the sheet has no material %q", u.ID), "use an id of its materials").
				In(fmt.Sprintf("done.used[%d].id", i))
		}
	}
	return nil
}
