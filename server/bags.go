package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
)

// bagsCommand chooses whole bags for a need.
type bagsCommand struct {
	N     string       `name:"n" help:"Nitrogen needed, such as '40 lb/ac'." placeholder:"RATE"`
	P     string       `name:"p2o5" help:"Phosphate (P2O5) needed." placeholder:"RATE"`
	K     string       `name:"k2o" help:"Potash (K2O) needed." placeholder:"RATE"`
	Area  string       `required:"" help:"Area, such as '0.27 ac'." placeholder:"AREA"`
	Have  []string     `required:"" help:"Product on hand or for sale, with its price if you like, such as '46-0-0=29'; repeat." sep:"none" placeholder:"PRODUCT"`
	Half  bool         `help:"Allow half bags."`
	JSON  bool         `name:"json" help:"Write JSON for programs."`
	Units units.System `help:"Units to write: us or metric." enum:"us,metric" default:"us"`
}

// Run searches the combinations of whole bags.
func (a bagsCommand) Run(c *console) error {
	var need mix.Nutrients
	var area units.Area
	if err := errors.Join(
		quantity("--n", a.N, &need.N, units.ParseMassPerArea),
		quantity("--p2o5", a.P, &need.P2O5, units.ParseMassPerArea),
		quantity("--k2o", a.K, &need.K2O, units.ParseMassPerArea),
		quantity("--area", a.Area, &area, units.ParseArea),
	); err != nil {
		return err
	}
	stocks, err := a.stocks()
	if err != nil {
		return err
	}
	choice, err := mix.ChooseBags(need, area, stocks, mix.BagLimits{}, a.Units)
	if err != nil {
		return err
	}
	if a.JSON {
		return writeJSON(c.out, choice)
	}
	sayCombinations(c.out, "Cheapest", choice.Cheapest)
	sayCombinations(c.out, "Closest to the need", choice.Closest)
	for _, line := range choice.Says {
		fmt.Fprintln(c.out, line)
	}
	return nil
}

func (a bagsCommand) stocks() ([]mix.Stock, error) {
	all, err := catalog.Default()
	if err != nil {
		return nil, err
	}
	var stocks []mix.Stock
	for _, words := range a.Have {
		id, price, _ := strings.Cut(words, "=")
		product, err := all.Product(strings.TrimSpace(id))
		if err != nil {
			return nil, err
		}
		stock := mix.StockOf(product)
		stock.HalfBags = a.Half
		if price != "" {
			if _, err := fmt.Sscan(price, &stock.Price); err != nil {
				return nil, misuse{fmt.Errorf("--have %q: the price is not a number", words)}
			}
		}
		stocks = append(stocks, stock)
	}
	return stocks, nil
}

func sayCombinations(w io.Writer, title string, all []mix.Combination) {
	fmt.Fprintln(w, title)
	for _, one := range all {
		fmt.Fprintln(w, "  "+one.Says)
	}
}
