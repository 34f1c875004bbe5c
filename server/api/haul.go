package api

import (
	"context"
	"fmt"
	"slices"
	"strings"

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

// tripRequest is several plots in the order of driving: kept ones by their ids,
// or any by name and area. One mix goes on all that name none of their own; a
// mix is sent, or is a kept one.
type tripRequest struct {
	spoken
	goods
	Plots []tripStop `json:"plots"`
	Mix   *mix.Mix   `json:"mix,omitempty"`
	MixID string     `json:"mix_id,omitempty"`
	Limit units.Mass `json:"limit_kg,omitempty"` // of the truck or trailer; zero for none
}

// tripStop is one plot of a trip, with the mix that goes on it alone.
type tripStop struct {
	PlotID string     `json:"plot_id,omitempty"`
	Name   string     `json:"name,omitempty"`
	Area   units.Area `json:"area_m2,omitempty"`
	Mix    *mix.Mix   `json:"mix,omitempty"`
	MixID  string     `json:"mix_id,omitempty"`
}

// own tells whether the stop has a mix of its own.
func (stop tripStop) own() bool { return stop.Mix != nil || stop.MixID != "" }

// mostStops is how many plots a trip has at most; far more than a day holds.
const mostStops = 500

// planTrip works every plot's mix out and shares the bags among the plots.
func (s Services) planTrip(ctx context.Context, q tripRequest) (plan trip.Plan, err error) {
	if len(q.Plots) > mostStops {
		return plan, tooMany("plots", len(q.Plots), mostStops)
	}
	all, err := q.catalog()
	if err != nil {
		return plan, err
	}
	var common mix.Mix
	if q.Mix != nil || q.MixID != "" || !slices.ContainsFunc(q.Plots, tripStop.own) {
		if common, err = s.tripMix(ctx, q.Mix, q.MixID); err != nil {
			return plan, err
		}
	}
	plots := make([]trip.Plot, len(q.Plots))
	for i, stop := range q.Plots {
		if plots[i], err = s.workStop(ctx, stop, common, all, q.Units); err != nil {
			return plan, inStop(err, i, stop.own())
		}
	}
	return trip.Make(plots, q.Limit, q.Units)
}

// inStop puts a fault below its plot, unless it lies in the mix for all.
func inStop(err error, at int, own bool) error {
	found, ok := fault.From(err)
	if ok && !own && strings.HasPrefix(found.Where.Field, "mix.") {
		return err
	}
	return below(fmt.Sprintf("plots[%d]", at), err)
}

// workStop works out what goes on one plot: its own mix, or the one for all.
func (s Services) workStop(ctx context.Context, stop tripStop, common mix.Mix, all *catalog.Catalog, sys units.System) (trip.Plot, error) {
	stop, err := s.tripStop(ctx, stop)
	if err != nil {
		return trip.Plot{}, err
	}
	goods := common
	if stop.own() || len(common.Items) == 0 && common.Name == "" {
		if goods, err = s.tripMix(ctx, stop.Mix, stop.MixID); err != nil {
			return trip.Plot{}, err
		}
	}
	worked, err := amountsOn(stop.Area, goods, all, sys)
	return trip.Plot{Name: stop.Name, Amounts: worked.Amounts}, err
}

func (s Services) tripMix(ctx context.Context, sent *mix.Mix, id string) (mix.Mix, error) {
	switch {
	case (sent == nil) == (id == ""):
		return mix.Mix{}, fault.New("mix", "a mix or the id of a kept one is needed, and only one of them", "send mix or mix_id").In("mix")
	case sent != nil:
		return *sent, nil
	}
	kept, err := s.Store.Mixes().Get(ctx, id)
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
