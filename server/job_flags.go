package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"evenfall/agronomy/mix"
	"evenfall/agronomy/spreader"
	"evenfall/agronomy/units"
)

// machineFlags name the spreader.
type machineFlags struct {
	Spreader string `help:"The spreader, as JSON." placeholder:"FILE" type:"path" xor:"spreader"`
	Throw    string `help:"Or just its throw, edge to edge, such as '26 ft'." xor:"spreader" placeholder:"LENGTH"`
	Hopper   string `help:"With --throw: what the hopper holds, such as '100 lb'." default:"100 lb" placeholder:"MASS"`
}

// goodsFlags name what goes on.
type goodsFlags struct {
	Mix string   `help:"What goes on, as JSON." placeholder:"FILE" type:"path" xor:"mix"`
	Put []string `help:"Or one material and how much, such as 'oats=80 lb/ac', '46-0-0=40 lb/ac N', '13-13-13=1 bag', 'corn=2 1/2 qt'; repeat for more." sep:"none" xor:"mix" placeholder:"WHAT"`
}

// machine is the spreader of the file, or a plain one of the given throw: a
// triangular pattern, common practice, no source.
func (a machineFlags) machine() (m spreader.Spreader, err error) {
	if a.Spreader != "" {
		err = readJSON(a.Spreader, &m)
		return m, err
	}
	if a.Throw == "" {
		return m, misuse{errors.New("give --spreader FILE, or --throw LENGTH for a plain one")}
	}
	m = spreader.Spreader{Name: "spreader", Patterns: spreader.Patterns{Usual: spreader.Pattern{Shape: spreader.Triangle}}}
	return m, errors.Join(
		quantity("--throw", a.Throw, &m.Patterns.Usual.Throw, units.ParseLength),
		quantity("--hopper", a.Hopper, &m.HopperMass, units.ParseMass),
	)
}

// goods is the mix of the file, or the materials given one by one.
func (a goodsFlags) goods() (m mix.Mix, err error) {
	if a.Mix != "" {
		err = readJSON(a.Mix, &m)
		return m, err
	}
	if len(a.Put) == 0 {
		return m, misuse{errors.New("give --mix FILE, or --put 'MATERIAL=RATE'")}
	}
	m.Name = "mix"
	for _, words := range a.Put {
		item, err := parsePut(words)
		if err != nil {
			return m, err
		}
		m.Items = append(m.Items, item)
	}
	return m, nil
}

func readJSON(path string, into any) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	decoder := json.NewDecoder(strings.NewReader(string(data)))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	return nil
}
