package agronomy

import (
	"fmt"
	"math"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/units"
	"evenfall/geo"
)

// A guess this near to the measurement is worth no words: it is within what a
// careful tape gives. Share of the area; our own choice.
const guessNear = 0.03

// checkGuess compares the newest guess with the measured area; nil without one.
func checkGuess(p Plot, goods mix.Mix, amounts []mix.Amount, sys units.System) *GuessCheck {
	guess := newestGuess(p.Surveys)
	if guess == nil || p.Survey.Method == geo.Guessed || guess.AreaM2 <= 0 {
		return nil
	}
	ratio := guess.AreaM2 / p.Survey.AreaM2
	check := &GuessCheck{AreaM2: guess.AreaM2, Date: guess.Date, Ratio: ratio, RateFactor: ratio}
	for i, a := range amounts {
		if goods.Items[i].Rate.ForPlot() {
			continue // so much on the plot, however large it was thought to be
		}
		short := units.Mass(float64(a.Mass) * (1 - ratio))
		bags := 0.0
		if a.BagMass > 0 {
			bags = float64(short / a.BagMass)
		}
		check.Bags = append(check.Bags, BagsShort{Material: a.Material, Mass: short, Bags: bags})
	}
	check.Says = guessWords(*check, sys)
	return check
}

func newestGuess(surveys []geo.Survey) *geo.Survey {
	var newest *geo.Survey
	for i := range surveys {
		if surveys[i].Method == geo.Guessed && (newest == nil || surveys[i].Date >= newest.Date) {
			newest = &surveys[i]
		}
	}
	return newest
}

// guessWords says what spreading the guess's goods on the true area would do.
func guessWords(g GuessCheck, sys units.System) string {
	area := units.Area(g.AreaM2).Format(sys)
	switch {
	case math.Abs(g.Ratio-1) < guessNear:
		return fmt.Sprintf("The guess of %s was right within %s.", area, units.Percent(guessNear))
	case g.Ratio > 1:
		return fmt.Sprintf("The guess was %s: spreading what that calls for would put down %s the rate%s.",
			area, timesWord(g.RateFactor), bagWords(g.Bags, -1, "too many"))
	}
	return fmt.Sprintf("The guess was %s: spreading what that calls for would put down only %s of the rate%s.",
		area, units.Percent(g.RateFactor), bagWords(g.Bags, 1, "short"))
}

// timesWord is how often the rate goes down, in two figures.
func timesWord(factor float64) string {
	if factor < 9.95 {
		return fmt.Sprintf("%.2g times", factor)
	}
	return units.Count(math.Round(factor)) + " times"
}

// bagWords counts the bags over all materials that are bagged.
func bagWords(bags []BagsShort, sign float64, word string) string {
	var sum float64
	for _, b := range bags {
		sum += sign * b.Bags
	}
	if sum < 0.25 {
		return ""
	}
	noun := "bags"
	if sum < 1.125 {
		noun = "bag"
	}
	return fmt.Sprintf(", %s %s %s", units.Bags(sum), noun, word)
}
