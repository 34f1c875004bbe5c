package api

import (
	"context"
	"fmt"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/trip"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// amountsRequest is a mix and the area that it goes on.
type amountsRequest struct {
	spoken
	goods
	Mix  mix.Mix    `json:"mix"`
	Area units.Area `json:"area_m2"`
}

func workAmounts(q amountsRequest) (mix.Result, error) {
	all, err := q.catalog()
	if err != nil {
		return mix.Result{}, err
	}
	return amountsOn(q.Area, q.Mix, all, q.Units)
}

// amountsOn works a mix out; its faults lie in the mix unless they are of the
// area.
func amountsOn(area units.Area, m mix.Mix, all *catalog.Catalog, sys units.System) (mix.Result, error) {
	result, err := m.Amounts(area, all, sys)
	if found, ok := fault.From(err); ok && found.Where.Field == "area_m2" {
		return result, err
	}
	return result, below("mix", err)
}

// tripRequest is one mix for several plots, in the order of driving: kept ones
// by their ids, or any by name and area. The mix is sent, or is a kept one.
type tripRequest struct {
	spoken
	goods
	Plots []tripStop `json:"plots"`
	Mix   *mix.Mix   `json:"mix,omitempty"`
	MixID string     `json:"mix_id,omitempty"`
	Limit units.Mass `json:"limit_kg,omitempty"` // of the truck or trailer; zero for none
}

// tripStop is one plot of a trip.
type tripStop struct {
	PlotID string     `json:"plot_id,omitempty"`
	Name   string     `json:"name,omitempty"`
	Area   units.Area `json:"area_m2,omitempty"`
}

// mostStops is how many plots a trip has at most; far more than a day holds.
const mostStops = 500

// planTrip works the mix out for every plot and shares the bags among them.
func (s Services) planTrip(ctx context.Context, q tripRequest) (plan trip.Plan, err error) {
	if len(q.Plots) > mostStops {
		return plan, tooMany("plots", len(q.Plots), mostStops)
	}
	all, err := q.catalog()
	if err != nil {
		return plan, err
	}
	goods, err := s.tripMix(ctx, q)
	if err != nil {
		return plan, err
	}
	plots := make([]trip.Plot, len(q.Plots))
	for i, stop := range q.Plots {
		place := fmt.Sprintf("plots[%d]", i)
		if stop, err = s.tripStop(ctx, stop); err != nil {
			return plan, below(place, err)
		}
		worked, err := amountsOn(stop.Area, goods, all, q.Units)
		if found, ok := fault.From(err); ok && found.Where.Field == "area_m2" {
			return plan, below(place, err)
		}
		if err != nil {
			return plan, err
		}
		plots[i] = trip.Plot{Name: stop.Name, Amounts: worked.Amounts}
	}
	return trip.Make(plots, q.Limit, q.Units)
}

func (s Services) tripMix(ctx context.Context, q tripRequest) (mix.Mix, error) {
	switch {
	case (q.Mix == nil) == (q.MixID == ""):
		return mix.Mix{}, fault.New("mix", "a mix or the id of a kept one is needed, and only one of them", "send mix or mix_id").In("mix")
	case q.Mix != nil:
		return *q.Mix, nil
	}
	kept, err := s.Store.Mixes().Get(ctx, q.MixID)
	if err != nil {
		return mix.Mix{}, err
	}
	return readDocument[mix.Mix](kept.Document, "mix")
}

// tripStop looks up a kept plot's name and its area by the survey in use.
func (s Services) tripStop(ctx context.Context, stop tripStop) (tripStop, error) {
	if stop.PlotID == "" {
		return stop, nil
	}
	if stop.Area != 0 {
		return stop, fault.New("plot", "a plot has both an id and an area", "send one of them").In("area_m2")
	}
	found, err := s.Store.Plots().Surveyed(ctx, stop.PlotID)
	if err != nil {
		return stop, err
	}
	used := found.InUse()
	if used == nil {
		return stop, fault.New("no_area", "the plot is not measured yet", "measure it, or send its area").Of(fault.Refused).In("plot_id")
	}
	if stop.Name == "" {
		stop.Name = found.Plot.Name
	}
	stop.Area = units.Area(used.AreaM2)
	return stop, nil
}
