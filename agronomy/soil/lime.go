package soil

import (
	"fmt"
	"math"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// SliceDepth is the depth of soil that recommendations are made for unless the
// laboratory says otherwise: 2,000,000 lb of soil to the acre (UC Davis).
const SliceDepth = 20.0 / 3 * units.Inch

// LimeAsk is a laboratory's recommendation and how it will be done here.
type LimeAsk struct {
	Recommended units.MassPerArea `json:"recommended_kg_per_m2"`
	// Power is the neutralizing power that the recommendation assumes, as a
	// share of pure fine lime: 1 for pounds of ENP, 0 where the report is silent
	// (taken as 1).
	Power      float64      `json:"power,omitempty"`
	BasisDepth units.Length `json:"basis_depth_m,omitempty"` // zero for SliceDepth
	Depth      units.Length `json:"depth_m,omitempty"`       // worked in; zero for the basis depth
	Area       units.Area   `json:"area_m2"`
}

// LimeDose is what one lime product comes to. Power is the product's; Bags is
// whole and zero for loose lime.
type LimeDose struct {
	Product     string            `json:"product"` // id
	Name        string            `json:"name"`
	Power       float64           `json:"power"`
	DepthFactor float64           `json:"depth_factor"`
	Rate        units.MassPerArea `json:"rate_kg_per_m2"`
	Mass        units.Mass        `json:"mass_kg"`
	BagMass     units.Mass        `json:"bag_kg,omitempty"`
	BagsExact   float64           `json:"bags_exact,omitempty"`
	Bags        float64           `json:"bags,omitempty"`
	Notes       []catalog.Note    `json:"notes"`
}

// Lime scales a recommendation by the product's quality, the working depth and
// the area.
func Lime(p catalog.Product, ask LimeAsk) (LimeDose, error) {
	if err := ask.check(p); err != nil {
		return LimeDose{}, err
	}
	power, note, err := Power(p)
	if err != nil {
		return LimeDose{}, err
	}
	assumed := ask.Power
	if assumed == 0 {
		assumed = 1
	}
	d := LimeDose{Product: p.ID, Name: p.Name, Power: power, DepthFactor: ask.depthFactor(), BagMass: p.BagMass()}
	d.Rate = ask.Recommended * units.MassPerArea(assumed/power*d.DepthFactor)
	d.Mass = d.Rate.On(ask.Area)
	if d.BagMass > 0 {
		d.BagsExact = float64(d.Mass / d.BagMass)
		d.Bags = math.Ceil(d.BagsExact * (1 - 1e-12))
	}
	d.Notes = []catalog.Note{note, apart()}
	return d, nil
}

// apart keeps lime and fertilizer in different hoppers.
func apart() catalog.Note {
	return catalog.Note{
		Says: "Spread lime by itself: it drives ammonia out of nitrogen fertilizer and ties up phosphate",
		Mark: source.Mark{Kind: source.Practice},
	}
}

func (a LimeAsk) depthFactor() float64 {
	basis := a.BasisDepth
	if basis == 0 {
		basis = SliceDepth
	}
	if a.Depth == 0 {
		return 1
	}
	return float64(a.Depth / basis)
}

func (a LimeAsk) check(p catalog.Product) error {
	const most = 20 // tons to the acre; none is sold for more
	limits := []struct {
		field string
		value float64
		most  float64
	}{
		{"recommended_kg_per_m2", float64(a.Recommended), most * float64(units.ShortTon) / float64(units.Acre)},
		{"power", a.Power, 1.8},
		{"basis_depth_m", float64(a.BasisDepth), 1},
		{"depth_m", float64(a.Depth), 1},
		{"area_m2", float64(a.Area), 1e8},
	}
	if p.Class != catalog.Lime {
		return fault.New("lime", p.Name+" is no lime", "choose a lime product").In("product")
	}
	const shallow = 0.01 // metres; less is a slip of the pen
	if a.BasisDepth != 0 && a.BasisDepth < shallow {
		return fault.New("lime", "the depth that the recommendation is for is under a centimetre", "leave it out or copy it from the soil-test report").In("basis_depth_m")
	}
	for _, l := range limits {
		if !(l.value >= 0 && l.value <= l.most) {
			return fault.New("lime", "the figure is below zero, too large or not a number", "copy it from the soil-test report").In(l.field)
		}
	}
	return nil
}

// Power is a product's neutralizing power as a share of pure fine lime, and
// what it was taken from: the ENP on its label, else the ENV of its fineness
// and CCE less the moisture, else the CCE alone as if it were fine.
func Power(p catalog.Product) (float64, catalog.Note, error) {
	if enp, ok := p.Figure(catalog.ENP); ok && enp.Typical() > 0 {
		return enp.Typical(), catalog.Note{Says: p.Name + ": effective neutralizing power " + enp.String(), Mark: enp.Mark}, nil
	}
	cce, ok := p.Figure(catalog.CCE)
	if !ok || cce.Typical() <= 0 {
		return 0, catalog.Note{}, fault.New("lime_quality", p.Name+" has neither an ENP nor a CCE", "copy one from its label").Of(fault.Missing).In(p.ID)
	}
	moisture, _ := p.Figure(catalog.Moisture)
	fineness, known, err := finenessOf(p)
	if err != nil {
		return 0, catalog.Note{}, err
	}
	power := cce.Typical() * fineness * (1 - moisture.Typical())
	if power <= 0 {
		return 0, catalog.Note{}, fault.New("lime_quality", p.Name+" neutralizes nothing by these figures", "check fineness and moisture on the label").In(p.ID)
	}
	if known {
		return power, catalog.Note{Says: fmt.Sprintf("%s: effective neutralizing value %.1f %% from its fineness and CCE", p.Name, power*100), Mark: cce.Mark}, nil
	}
	return power, catalog.Note{Says: p.Name + ": its fineness is not entered, so only its CCE of " + cce.String() + " counts; coarse lime needs more", Mark: cce.Mark}, nil
}

func finenessOf(p catalog.Product) (share float64, known bool, err error) {
	var pass [3]float64
	for i, n := range []catalog.Name{catalog.Pass20, catalog.Pass60, catalog.Pass100} {
		f, ok := p.Figure(n)
		if !ok {
			return 1, false, nil
		}
		pass[i] = f.Typical()
	}
	if pass[0] < pass[1] || pass[1] < pass[2] {
		return 0, false, fault.New("fineness", p.Name+": more passes a finer sieve than a coarser one", "copy the sieve figures from the label").In(p.ID)
	}
	return Fineness(pass[0], pass[1], pass[2]), true, nil
}

// Fineness is the share of lime that works within a few years, from the shares
// that pass sieves of 20, 60 and 100 mesh: 40, 80 and 100 % of the fractions
// (formula Cornell CCA course).
func Fineness(pass20, pass60, pass100 float64) float64 {
	return 0.40*(pass20-pass60) + 0.80*(pass60-pass100) + 1.00*pass100
}

// enpByBuffer is ENP in lb/ac by buffer index, to bring wildlife plots to pH
// 6.0 (Univ. of Minnesota Extension, area 1).
var enpByBuffer = [][2]float64{{6.0, 5000}, {6.2, 4000}, {6.4, 3000}, {6.5, 2500}}

// FromBufferIndex is the ENP that a buffer index calls for, read along straight
// lines between the printed points; valid from 6.0 to 6.5.
func FromBufferIndex(index float64) (units.MassPerArea, source.Mark, error) {
	mark := source.Mark{Kind: source.Published, Cite: "Univ. of Minnesota Extension, wildlife food plots (area 1)"}
	for i := 1; i < len(enpByBuffer); i++ {
		a, b := enpByBuffer[i-1], enpByBuffer[i]
		if index >= a[0] && index <= b[0] {
			lb := a[1] + (b[1]-a[1])*(index-a[0])/(b[0]-a[0])
			return units.MassPerArea(lb) * units.PoundPerAcre, mark, nil
		}
	}
	return 0, mark, fault.New("buffer_index", "the table is printed for a buffer index from 6.0 to 6.5", "take the rate from the soil-test report").In("buffer_index")
}

// sweeteningBelow is the share of the recommendation under which a dose is
// called by its name; common practice, no source.
const sweeteningBelow = 0.5

// Sweetening names a dose that is too small to change the soil much. Without a
// dose from a laboratory, needed is nil and the smallest printed one is taken
// for comparison.
func Sweetening(p catalog.Product, rate units.MassPerArea, needed *LimeDose, sys units.System) (catalog.Note, bool, error) {
	power, _, err := Power(p)
	if err != nil {
		return catalog.Note{}, false, err
	}
	if needed != nil {
		share := float64(rate) * power / (float64(needed.Rate) * needed.Power)
		if !(share < sweeteningBelow) {
			return catalog.Note{}, false, nil
		}
		return catalog.Note{
			Says: fmt.Sprintf("%s of %s is only a sweetening dose: %s of what the laboratory asks for", rate.Format(sys), p.Name, units.Percent(share)),
			Mark: source.Mark{Kind: source.Practice},
		}, true, nil
	}
	least, mark, err := FromBufferIndex(enpByBuffer[len(enpByBuffer)-1][0])
	if err != nil {
		return catalog.Note{}, false, err
	}
	share := float64(rate) * power / float64(least)
	if !(share < sweeteningBelow) {
		return catalog.Note{}, false, nil
	}
	return catalog.Note{
		Says: fmt.Sprintf("%s of %s is only a sweetening dose: %s of the smallest one printed for food plots; only a soil test tells what this ground needs", rate.Format(sys), p.Name, units.Percent(share)),
		Mark: mark,
	}, true, nil
}

// ApartFromLime says whether a fertilizer must be kept apart from lime, and why.
func ApartFromLime(p catalog.Product) (catalog.Note, bool) {
	if !p.Ammonium && !p.ContainsPhosphate && !p.Urea {
		return catalog.Note{}, false
	}
	return catalog.Note{Says: p.Name + ": " + apart().Says, Mark: apart().Mark}, true
}
