package mix

import (
	"fmt"
	"math"
	"strings"

	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Hopper is what a spreader holds. A limit of zero is not known, but one of
// them must be. Scoop is the measure for seed; zero takes a dry cup, or a dry
// quart where a layer takes many cups.
type Hopper struct {
	Mass   units.Mass   `json:"mass_kg,omitempty"`
	Volume units.Volume `json:"volume_m3,omitempty"`
	Scoop  units.Volume `json:"scoop_m3,omitempty"`
}

// The bounds of a sensible filling.
const (
	defaultLayers = 3    // thirds; common practice, no source
	mostLayers    = 20   // layers
	mostLoads     = 500  // fillings of one hopper group
	lastLayerTold = 0.05 // how far the last layer may differ, over a layer, before it is worth a note; common practice, no source
	scoopCoarse   = 0.1  // error of a layer from which a smaller scoop is advised; common practice, no source
)

// Loads splits what is spread into equal hopper fillings, group by group in
// spreading order. Every load carries its share of each of its group's
// materials, in equal layers (zero for thirds; one where there is nothing to
// mix), and lasts its share of the path, in metres of the path with the gate
// open: each group goes over the whole plot. Sentences are in the given units.
func Loads(amounts []Amount, h Hopper, pathM float64, layers int, sys units.System) ([]Load, error) {
	if err := h.check(pathM, layers); err != nil {
		return nil, err
	}
	if layers == 0 {
		layers = defaultLayers
	}
	var loads []Load
	for number := range mostGroups + 1 {
		in := ofGroup(amounts, number)
		if len(in) == 0 {
			continue
		}
		fillings, err := h.fill(in, pathM, layers, sys)
		if err != nil {
			return nil, err
		}
		for _, l := range fillings {
			l.Number = len(loads) + 1
			loads = append(loads, l)
		}
	}
	return loads, nil
}

func (h Hopper) check(pathM float64, layers int) error {
	switch {
	case !usable(float64(h.Mass)) || !usable(float64(h.Volume)) || !usable(float64(h.Scoop)):
		return fault.New("hopper", "a limit of the hopper or the scoop is below zero", "give what the maker states").In("hopper")
	case h.Mass == 0 && h.Volume == 0:
		return fault.New("hopper", "nothing is known of what the hopper holds", "give its mass or its volume").In("hopper.mass_kg")
	case !usable(pathM):
		return fault.New("path", "the path is not a length", "plan the passes first").In("path_m")
	case layers < 0 || layers > mostLayers:
		return fault.New("layers", fmt.Sprintf("the layers do not lie between 1 and %d", mostLayers), "three is common").In("layers")
	}
	return nil
}

func ofGroup(amounts []Amount, number int) []Amount {
	var in []Amount
	for _, a := range amounts {
		if a.Group == number && a.SpreadMass > 0 {
			in = append(in, a)
		}
	}
	return in
}

// fill splits one group into equal loads, no fewer than either limit asks for.
func (h Hopper) fill(in []Amount, pathM float64, layers int, sys units.System) ([]Load, error) {
	var mass units.Mass
	var volume units.Volume
	for _, a := range in {
		mass += a.SpreadMass
		volume += a.Volume
	}
	count := math.Max(fillings(float64(mass), float64(h.Mass)), fillings(float64(volume), float64(h.Volume)))
	if count > mostLoads {
		return nil, fault.New("loads", fmt.Sprintf("%s would take %s hopper fillings", mass.Format(sys), units.Count(count)),
			"check the rate, the area and what the hopper holds").Of(fault.TooLarge).In("hopper")
	}
	if len(in) == 1 {
		layers = 1
	}
	load := Load{Group: in[0].Group, Mass: mass / units.Mass(count), Volume: volume / units.Volume(count), Layers: layers}
	for _, a := range in {
		load.Layer = append(load.Layer, h.layer(a, count, layers, sys))
	}
	load.Notes = load.notes(in, h, sys)
	load.Says = load.say(sys)
	loads := make([]Load, int(count))
	for i := range loads {
		load.FromM, load.ToM = pathM*float64(i)/count, pathM*float64(i+1)/count
		loads[i] = load
	}
	return loads, nil
}

// fillings is how many times a limit goes into an amount; one without a limit.
func fillings(amount, limit float64) float64 {
	if limit == 0 {
		return 1
	}
	return math.Max(1, math.Ceil(amount/limit-bagSlack))
}

// layer is one material's part of each layer. Only seed is measured in scoops;
// fertilizer is poured by the part of a bag.
func (h Hopper) layer(a Amount, loads float64, layers int, sys units.System) Layer {
	parts := loads * float64(layers)
	l := Layer{Material: a.Material, Mass: a.SpreadMass / units.Mass(parts), Volume: a.Volume / units.Volume(parts)}
	if a.Class != Seed || a.Volume == 0 {
		return l
	}
	l.Scoop = h.scoopFor(l.Volume, sys)
	perLoad := float64(a.Volume / l.Scoop / units.Volume(loads))
	perLayer := perLoad / float64(layers)
	l.Scoops, l.LoadScoops = nearestHalf(perLayer), nearestHalf(perLoad)
	l.LastScoops = l.LoadScoops - l.Scoops*float64(layers-1)
	for l.LastScoops < 0 {
		l.Scoops -= 0.5
		l.LastScoops = l.LoadScoops - l.Scoops*float64(layers-1)
	}
	l.ErrorRel, l.LoadErrorRel = l.Scoops/perLayer-1, l.LoadScoops/perLoad-1
	return l
}

// manyCups is how many cups a layer may take before they are tedious to count;
// common practice, no source.
const manyCups = 8

// scoopFor is the person's own scoop, else the measure that suits a layer: a
// cup or a quart, a quarter of a litre or a litre.
func (h Hopper) scoopFor(layer units.Volume, sys units.System) units.Volume {
	small, large := units.DryCup, units.DryQuart
	if sys == units.Metric {
		small, large = units.Litre/4, units.Litre
	}
	switch {
	case h.Scoop > 0:
		return h.Scoop
	case layer >= manyCups*small:
		return large
	}
	return small
}

func nearestHalf(x float64) float64 { return math.Round(x*2) / 2 }

// say tells how to fill the hopper once.
func (l Load) say(sys units.System) string {
	var parts []string
	for _, layer := range l.Layer {
		parts = append(parts, layer.say(sys))
	}
	says := join(parts)
	if l.Layers > 1 {
		says = fmt.Sprintf("%d equal layers, each %s", l.Layers, says)
	}
	return strings.Join(append([]string{says}, l.Notes...), "; ")
}

// notes are what a person has to know beyond the amounts.
func (l Load) notes(in []Amount, h Hopper, sys units.System) []string {
	var notes []string
	for i, layer := range l.Layer {
		notes = append(notes, layer.notes(in[i], l.Layers, h, sys)...)
	}
	if seedWithFertilizer(in) {
		notes = append(notes, "spread it at once, never store it mixed")
	}
	return notes
}

func (l Layer) say(sys units.System) string {
	if l.Scoops == 0 {
		return l.Mass.Format(sys) + " of " + l.Material
	}
	return fmt.Sprintf("%s (%s) of %s", scoopWord(l.Scoops), l.Mass.Format(sys), l.Material)
}

// leftWord is what the last layer gets.
func (l Layer) leftWord() string {
	if l.LastScoops == 0 {
		return "none"
	}
	return "the " + scoopWord(l.LastScoops) + " left"
}

func scoopWord(n float64) string {
	if n <= 1 {
		return units.Bags(n) + " scoop"
	}
	return units.Bags(n) + " scoops"
}

// notes are what a person has to know of one material of the load: the last
// layer, the rounding, a density that is missing.
func (l Layer) notes(a Amount, layers int, h Hopper, sys units.System) []string {
	var notes []string
	if l.LoadScoops > 0 && layers > 1 && math.Abs(l.LastScoops-l.Scoops) > lastLayerTold*l.Scoops {
		notes = append(notes, fmt.Sprintf("measure %s of %s for the load first: the last layer takes %s", scoopWord(l.LoadScoops), l.Material, l.leftWord()))
	}
	if l.LoadScoops > 0 {
		notes = append(notes, "a scoop of "+l.Material+" is "+l.Scoop.Format(sys)+l.roundingNote())
	}
	if a.Class == Seed && a.Volume > 0 && math.Abs(l.LoadErrorRel) > scoopCoarse {
		notes = append(notes, fmt.Sprintf("weigh %s of %s instead, or take a smaller scoop", (l.Mass*units.Mass(layers)).Format(sys), l.Material))
	}
	if a.Volume == 0 && h.Volume > 0 {
		notes = append(notes, fmt.Sprintf("%s may not fit: weigh a level quart of it to know its volume", l.Material))
	}
	return notes
}

// roundingNote states what half scoops do to the seed of a load, from half a
// percent up.
func (l Layer) roundingNote() string {
	switch {
	case math.Abs(l.LoadErrorRel) < 0.005:
		return ""
	case l.LoadErrorRel < 0:
		return fmt.Sprintf("; in half scoops the load has %s less than meant", units.Percent(-l.LoadErrorRel))
	default:
		return fmt.Sprintf("; in half scoops the load has %s more than meant", units.Percent(l.LoadErrorRel))
	}
}

func seedWithFertilizer(in []Amount) bool {
	has := map[Class]bool{}
	for _, a := range in {
		has[a.Class] = true
	}
	return has[Seed] && has[Fertilizer]
}
