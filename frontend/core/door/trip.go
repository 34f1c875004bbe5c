package door

import (
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/trip"
	"evenfall/agronomy/units"
)

// tripRequest is a day with several plots, in the order of driving.
type tripRequest struct {
	Plots  []trip.Asked `json:"plots"`
	Limit  units.Mass   `json:"limit_kg"`
	Hopper mix.Hopper   `json:"hopper"`
	Own    *catalog.Own `json:"own"`
	Units  units.System `json:"units"`
}

func planTrip(q tripRequest) (trip.Day, error) {
	all, err := catalogWith(q.Own)
	if err != nil {
		return trip.Day{}, err
	}
	return trip.MakeDay(trip.Ask{Plots: q.Plots, Limit: q.Limit, Hopper: q.Hopper, System: q.Units}, all)
}
