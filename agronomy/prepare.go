package agronomy

import (
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/source"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
)

// sheetFormat is the version of Sheet's layout.
const sheetFormat = 1

// Prepare works out the sheet: what goes on the plot, how the machine is set,
// where it is driven and what that puts where. It reads no clock and keeps no
// state; the same inputs give the same sheet. Faults name the field.
func Prepare(plot Plot, machine spreader.Spreader, goods mix.Mix, o Options) (Sheet, error) {
	j, err := newJob(plot, machine, goods, o)
	if err != nil {
		return Sheet{}, err
	}
	if err := j.drive(); err != nil {
		return Sheet{}, err
	}
	if err := j.pour(); err != nil {
		return Sheet{}, err
	}
	if err := j.set(); err != nil {
		return Sheet{}, err
	}
	if err := j.checkSoil(); err != nil {
		return Sheet{}, err
	}
	j.look()
	if err := j.followUp(); err != nil {
		return Sheet{}, err
	}
	j.answer()
	return j.sheet, nil
}

// job is one sheet while it is being worked out.
type job struct {
	plot    Plot
	machine spreader.Spreader
	goods   mix.Mix
	options Options
	catalog *catalog.Catalog
	result  mix.Result
	sheet   Sheet
}

// newJob checks the inputs and works out the amounts, on which all else rests.
func newJob(plot Plot, machine spreader.Spreader, goods mix.Mix, o Options) (*job, error) {
	if err := checkInputs(plot, machine, o); err != nil {
		return nil, err
	}
	o = o.withDefaults(machine)
	all := o.Catalog
	if all == nil {
		standard, err := catalog.Default()
		if err != nil {
			return nil, err
		}
		all = standard
	}
	result, err := goods.Amounts(units.Area(plot.Survey.AreaM2), all, o.System)
	if err != nil {
		return nil, err
	}
	warnings, err := Cautions(o.System)
	if err != nil {
		return nil, err
	}
	j := &job{plot: plot, machine: machine, goods: goods, options: o, catalog: all}
	j.sheet = Sheet{
		Format: sheetFormat, Property: plot.Property, Plot: plot.Name, Date: o.Date, System: o.System,
		Ground: ground(plot), Mix: goods.Name, Cautions: warnings,
	}
	j.takeAmounts(result)
	return j, nil
}

// takeAmounts puts what goes on, and what to buy, on the sheet.
func (j *job) takeAmounts(result mix.Result) {
	j.result = result
	j.sheet.Materials, j.sheet.Nutrients, j.sheet.Shopping = result.Amounts, result.Nutrients, mix.Shop(result.Amounts)
	j.sheet.Ground.Guess = checkGuess(j.plot, j.goods, result.Amounts, j.options.System)
}

// warn adds a sentence that the driver has to read.
func (j *job) warn(says string, mark source.Mark) {
	j.sheet.Warnings = append(j.sheet.Warnings, Note{Says: says, Mark: mark})
}
