package api

import (
	"encoding/json"
	"net/http"

	"github.com/labstack/echo/v4"

	"evenfall/agronomy/spreader"
	"evenfall/server/record"
)

// correctionRequest is a finished job as a test of the gate: the material that
// was really used over the path that was really driven with the gate open.
type correctionRequest struct {
	spoken
	spreader.CatchTest
	Date string `json:"date,omitempty"` // YYYY-MM-DD; today if left out
}

// correctionAnswer is what the job taught, and the spreader that knows it.
type correctionAnswer struct {
	Correction spreader.Correction `json:"correction"`
	Spreader   record.Spreader     `json:"spreader"`
}

// correctSpreader keeps what a job taught in a new revision of the spreader.
func (s Services) correctSpreader(c echo.Context) error {
	if err := noQuery(c); err != nil {
		return err
	}
	revision, err := namedRevision(c)
	if err != nil {
		return err
	}
	asked := correctionRequest{Date: s.today()}
	if err := readJSON(c, &asked); err != nil {
		return err
	}
	if err := firstFault(asked.settle(), record.CheckDay(asked.Date, "date")); err != nil {
		return err
	}
	ctx := c.Request().Context()
	kept, err := s.Store.Spreaders().Get(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	if kept.Revision != revision {
		return record.Stale("spreader")
	}
	learnt, err := asked.correct(&kept)
	if err != nil {
		return err
	}
	if kept, err = s.Store.Spreaders().Update(ctx, kept); err != nil {
		return err
	}
	c.Response().Header().Set("ETag", etag(&kept.Stamp))
	return c.JSON(http.StatusOK, correctionAnswer{learnt, kept})
}

// correct puts the correction into the spreader's document.
func (q correctionRequest) correct(kept *record.Spreader) (spreader.Correction, error) {
	machine, err := readDocument[spreader.Spreader](kept.Document, "spreader")
	if err != nil {
		return spreader.Correction{}, err
	}
	learnt, err := machine.CorrectFlow(q.CatchTest, q.Date, q.Units)
	if err != nil {
		return learnt, err
	}
	kept.Document, err = json.Marshal(machine.WithCorrection(learnt))
	return learnt, err
}
