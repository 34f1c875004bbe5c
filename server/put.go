package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
)

// parsePut reads one material and how much of it, as people say it:
//
//	oats=80 lb/ac            oats=64 lb/ac PLS drilled    46-0-0=40 lb/ac N
//	corn=28,000 seeds/ac     sunflower=20,000 plants/ac   oats=75 %
//	13-13-13=1 1/2 bags      corn=2 1/2 qt                oats=2 bu/ac
func parsePut(words string) (mix.Item, error) {
	material, said, ok := strings.Cut(words, "=")
	item := mix.Item{Material: strings.TrimSpace(material)}
	if !ok || item.Material == "" {
		return item, misuse{fmt.Errorf("--put %q: write it as MATERIAL=RATE, such as 'oats=80 lb/ac'", words)}
	}
	rate, err := parseRate(strings.TrimSpace(said))
	if err != nil {
		return item, misuse{fmt.Errorf("--put %q: %w", words, err)}
	}
	item.Rate = rate
	return item, nil
}

func parseRate(said string) (rate mix.Rate, err error) {
	said, rate.Drilled = cutWord(said, "drilled")
	said, pure := cutWord(said, "PLS")
	if pure {
		rate.Of = catalog.OfPLS
	}
	for nutrient, into := range map[string]*units.MassPerArea{"N": &rate.N, "P2O5": &rate.P2O5, "K2O": &rate.K2O} {
		if rest, found := cutWord(said, nutrient); found {
			*into, err = units.ParseMassPerArea(rest)
			return rate, err
		}
	}
	if share, found := strings.CutSuffix(said, "%"); found {
		percent, err := strconv.ParseFloat(strings.TrimSpace(share), 64)
		rate.Share = percent / 100
		return rate, err
	}
	return parseAmount(said, rate)
}

// cutWord takes a word off the end of what was said.
func cutWord(said, word string) (rest string, found bool) {
	rest, found = strings.CutSuffix(said, " "+word)
	return strings.TrimSpace(rest), found
}

// parseAmount tries the ways of saying how much, each by its unit.
func parseAmount(said string, rate mix.Rate) (mix.Rate, error) {
	for _, bags := range []string{"bags", "bag"} {
		if count, found := cutWord(said, bags); found {
			// A fraction reads as it does before any other unit.
			quarts, err := units.ParseVolume(count + " qt")
			rate.Bags = quarts.DryQuarts()
			return rate, err
		}
	}
	for _, plants := range []string{" plants/", " plants per "} {
		if strings.Contains(said, plants) {
			var err error
			rate.Plants, err = units.ParseCountPerArea(strings.Replace(said, plants, strings.Replace(plants, "plants", "seeds", 1), 1))
			return rate, err
		}
	}
	var errs [5]error
	if rate.Mass, errs[0] = units.ParseMassPerArea(said); errs[0] == nil {
		return rate, nil
	}
	if rate.Seeds, errs[1] = units.ParseCountPerArea(said); errs[1] == nil {
		return rate, nil
	}
	if rate.Volume, errs[2] = units.ParseVolumePerArea(said); errs[2] == nil {
		return rate, nil
	}
	if rate.PlotVolume, errs[3] = units.ParseVolume(said); errs[3] == nil {
		return rate, nil
	}
	if rate.PlotMass, errs[4] = units.ParseMass(said); errs[4] == nil {
		return rate, nil
	}
	return rate, errors.New("that is no amount: say lb/ac, kg/ha, bu/ac, seeds/ac, plants/ac, %, bags, or quarts or pounds on the plot")
}
