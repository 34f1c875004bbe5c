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

// demoPlot is one outline file with what was guessed before it was measured.
type demoPlot struct {
	File    string             `json:"file"`
	Method  geo.Method         `json:"method"`
	Date    string             `json:"date"`
	Guess   geo.Survey         `json:"guess"`
	KeepOff []agronomy.KeepOff `json:"keep_off"`
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
	for _, p := range demo.Plots {
		if err := p.keep(ctx, store, files, property.ID); err != nil {
			return fmt.Errorf("%s: %w", p.File, err)
		}
	}
	return demo.keepMachinesAndMixes(ctx, store)
}

// keep stores one plot, its measurement in use and its guess.
func (p demoPlot) keep(ctx context.Context, store record.Store, files fs.FS, propertyID string) error {
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
	kept, err := store.Plots().CreateAll(ctx, []record.MeasuredPlot{{
		Plot:   record.Plot{PropertyID: propertyID, Name: found.Name, Outline: record.Outline(found.Polygon), KeepOff: p.KeepOff},
		Survey: &record.Survey{Survey: found.Survey, Outline: record.Outline(found.Polygon)},
	}})
	if err != nil {
		return err
	}
	guess := p.Guess
	guess.Method = geo.Guessed
	_, err = store.Surveys().Create(ctx, record.Survey{PlotID: kept[0].ID, Survey: guess})
	return err
}

func (d demoProperty) keepMachinesAndMixes(ctx context.Context, store record.Store) error {
	for _, document := range d.Spreaders {
		if _, err := store.Spreaders().Create(ctx, record.Spreader{Name: nameIn(document), Document: document}); err != nil {
			return err
		}
	}
	for _, document := range d.Mixes {
		if _, err := store.Mixes().Create(ctx, record.Mix{Name: nameIn(document), Document: document}); err != nil {
			return err
		}
	}
	return nil
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
