package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"

	"evenfall/agronomy"
	"evenfall/geo"
	"evenfall/geo/exchange"
	"evenfall/geo/intake"
	"evenfall/server/record"
)

// demoProperty is the file that describes the demo.
type demoProperty struct {
	Property  record.Property   `json:"property"`
	Plots     []demoPlot        `json:"plots"`
	Spreaders []json.RawMessage `json:"spreaders"`
	Mixes     []json.RawMessage `json:"mixes"`
}

// demoPlot is one outline file with what was guessed before it was measured,
// and the names of the spreader and the mix that it is worked with.
type demoPlot struct {
	File     string             `json:"file"`
	Method   geo.Method         `json:"method"`
	Date     string             `json:"date"`
	Spreader string             `json:"spreader"`
	Mix      string             `json:"mix"`
	Guess    geo.Survey         `json:"guess"`
	KeepOff  []agronomy.KeepOff `json:"keep_off"`
}

// fillDemo puts the demo into an empty store and leaves any other alone.
func fillDemo(ctx context.Context, store record.Store, files fs.FS) error {
	held, err := store.Properties().List(ctx, record.Query{Limit: 1})
	if err != nil || held.Total > 0 {
		return err
	}
	data, err := fs.ReadFile(files, "demo.json")
	if err != nil {
		return err
	}
	var demo demoProperty
	if err := json.Unmarshal(data, &demo); err != nil {
		return fmt.Errorf("reading the demo: %w", err)
	}
	property, err := store.Properties().Create(ctx, demo.Property)
	if err != nil {
		return err
	}
	ids, err := demo.keepMachinesAndMixes(ctx, store)
	if err != nil {
		return err
	}
	for _, p := range demo.Plots {
		plot := record.Plot{PropertyID: property.ID, SpreaderID: ids[p.Spreader], MixID: ids[p.Mix], KeepOff: p.KeepOff}
		if err := p.keep(ctx, store, files, plot); err != nil {
			return fmt.Errorf("%s: %w", p.File, err)
		}
	}
	return nil
}

// keep stores one plot, its measurement in use and its guess.
func (p demoPlot) keep(ctx context.Context, store record.Store, files fs.FS, plot record.Plot) error {
	file, err := files.Open(p.File)
	if err != nil {
		return err
	}
	defer file.Close()
	measured, err := intake.Read(file, intake.Options{Date: p.Date, ReadOptions: exchange.ReadOptions{}})
	if err != nil {
		return err
	}
	found := measured[0]
	found.Survey.Method = p.Method
	plot.Name, plot.Outline = found.Name, record.Outline(found.Polygon)
	kept, err := store.Plots().CreateAll(ctx, []record.MeasuredPlot{{
		Plot: plot, Survey: &record.Survey{Survey: found.Survey, Outline: plot.Outline},
	}})
	if err != nil {
		return err
	}
	guess := p.Guess
	guess.Method = geo.Guessed
	_, err = store.Surveys().Create(ctx, record.Survey{PlotID: kept[0].ID, Survey: guess})
	return err
}

// keepMachinesAndMixes stores the spreaders and the mixes; it gives their ids by
// their names.
func (d demoProperty) keepMachinesAndMixes(ctx context.Context, store record.Store) (map[string]string, error) {
	ids := map[string]string{}
	for _, document := range d.Spreaders {
		kept, err := store.Spreaders().Create(ctx, record.Spreader{Name: nameIn(document), Document: document})
		if err != nil {
			return nil, err
		}
		ids[kept.Name] = kept.ID
	}
	for _, document := range d.Mixes {
		kept, err := store.Mixes().Create(ctx, record.Mix{Name: nameIn(document), Document: document})
		if err != nil {
			return nil, err
		}
		ids[kept.Name] = kept.ID
	}
	return ids, nil
}

// nameIn is the name that a document carries; the store refuses an empty one.
func nameIn(document json.RawMessage) string {
	var named struct {
		Name string `json:"name"`
	}
	if err := json.Unmarshal(document, &named); err != nil {
		return ""
	}
	return named.Name
}
