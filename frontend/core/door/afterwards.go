package door

import (
	"evenfall/agronomy"
	"evenfall/agronomy/finished"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
)

// lookBackRequest is a saved sheet, the spreader as it is known now if it still
// is, and what became of the job.
type lookBackRequest struct {
	Sheet    agronomy.Sheet     `json:"sheet"`
	Spreader *spreader.Spreader `json:"spreader"`
	Told     finished.Told      `json:"told"`
	Units    units.System       `json:"units"`
}

func lookBack(q lookBackRequest) (finished.Job, error) {
	return finished.LookBack(q.Sheet, q.Spreader, q.Told, q.Units)
}
