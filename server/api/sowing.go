package api

import (
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// seedRequest is a lot of seed and how much of it is to be sown. What the lot
// leaves out comes from the crop where one is named; a weighed and counted
// sample and a weighed quart replace both.
type seedRequest struct {
	spoken
	goods
	Crop    string      `json:"crop,omitempty"` // id
	Lot     seed.Lot    `json:"lot,omitzero"`
	Rate    *seed.Rate  `json:"rate,omitempty"`    // the crop's own for broadcasting if left out
	Drilled bool        `json:"drilled,omitempty"` // the rate is for a drill, and is raised for broadcasting
	Area    units.Area  `json:"area_m2,omitempty"`
	Sample  *seedSample `json:"sample,omitempty"`
	Quart   *seedVolume `json:"weighed,omitempty"`
}

// seedSample is seed that was counted and weighed.
type seedSample struct {
	Seeds int        `json:"seeds"`
	Mass  units.Mass `json:"mass_kg"`
}

// seedVolume is seed that was measured and weighed, such as a dry quart of it.
type seedVolume struct {
	Mass   units.Mass   `json:"mass_kg"`
	Volume units.Volume `json:"volume_m3"`
}

// seedAnswer is the seeding in every way of saying it. Mass and volume are for
// the area, zero where it or the density is not known.
type seedAnswer struct {
	Sown    seed.Sown      `json:"sown"`
	PLS     float64        `json:"pls_share"` // of the bag's mass
	Lot     seed.Lot       `json:"lot"`       // as it was worked with
	Choice  *seed.Choice   `json:"choice,omitempty"`
	Density units.Density  `json:"density_kg_per_m3,omitempty"`
	Mass    units.Mass     `json:"mass_kg,omitempty"`
	Volume  units.Volume   `json:"volume_m3,omitempty"`
	Notes   []catalog.Note `json:"notes,omitempty"` // on handling the crop's seed
}

func sowSeed(q seedRequest) (a seedAnswer, err error) {
	rate, err := q.fromCrop(&a)
	if err != nil {
		return a, err
	}
	if err := q.fromSamples(&a); err != nil {
		return a, err
	}
	if q.Drilled {
		rate.Mass *= seed.BroadcastFactor
		rate.Count *= seed.BroadcastFactor
	}
	if a.Sown, err = a.Lot.Sow(rate); err != nil {
		return a, err
	}
	if !(q.Area >= 0) {
		return a, fault.New("area", "the area is below zero", "leave it out or measure the plot").In("area_m2")
	}
	a.PLS, a.Mass = a.Lot.Tag.PLS(), a.Sown.Bulk.On(q.Area)
	if a.Density > 0 {
		a.Volume = a.Mass.Filling(a.Density)
	}
	return a, nil
}

// fromCrop fills in what the catalog knows of the crop, and the rate.
func (q seedRequest) fromCrop(a *seedAnswer) (seed.Rate, error) {
	a.Lot = q.Lot
	if q.Crop == "" {
		if q.Rate == nil {
			return seed.Rate{}, fault.New("rate", "there is neither a rate nor a crop", "give one of them").In("rate")
		}
		return *q.Rate, nil
	}
	all, err := q.catalog()
	if err != nil {
		return seed.Rate{}, err
	}
	crop, err := all.Crop(q.Crop)
	if err != nil {
		return seed.Rate{}, err
	}
	if a.Lot.PerMass == 0 {
		a.Lot.PerMass = crop.SeedsPerMass()
	}
	a.Density, a.Notes = crop.Density(), seed.Handling(crop)
	if q.Rate != nil {
		return *q.Rate, nil
	}
	choice, err := seed.ForBroadcast(crop, "")
	a.Choice = &choice
	return choice.Rate(), err
}

// fromSamples puts what the person counted and weighed in place of tables.
func (q seedRequest) fromSamples(a *seedAnswer) (err error) {
	if q.Sample != nil {
		if a.Lot.PerMass, err = seed.Counted(q.Sample.Seeds, q.Sample.Mass); err != nil {
			return below("sample", err)
		}
		a.Lot.Counted = true
	}
	if q.Quart != nil {
		a.Density, err = seed.Weighed(q.Quart.Mass, q.Quart.Volume)
	}
	return below("weighed", err)
}

// countRequest is what was found in samples, and what there should be. A hoop's
// diameter may stand for the size of a sample.
type countRequest struct {
	spoken
	stand.Counts
	stand.Target
	Hoop units.Length `json:"hoop_m,omitempty"`
}

func judgeCounts(q countRequest) (stand.Judgment, error) {
	if q.Hoop != 0 {
		q.Sample = stand.Hoop(q.Hoop)
	}
	return stand.Judge(q.Counts, q.Target, q.Units)
}
