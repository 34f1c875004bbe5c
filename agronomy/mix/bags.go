package mix

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Stock is a bagged fertilizer that a person has or can buy. The grade is in
// shares of mass, oxide form.
type Stock struct {
	ID       string     `json:"id,omitempty"` // in the catalog, where it comes from there
	Name     string     `json:"name"`
	N        float64    `json:"n_share"`
	P2O5     float64    `json:"p2o5_share"`
	K2O      float64    `json:"k2o_share"`
	BagMass  units.Mass `json:"bag_kg"`
	Price    float64    `json:"price,omitempty"`      // per bag; zero when not known
	MostBags int        `json:"most_bags,omitempty"`  // what there is; zero for no limit of its own
	HalfBags bool       `json:"allow_half,omitempty"` // half a bag may be kept
}

// StockOf is a bagged product of the catalog, as it can be bought.
func StockOf(p catalog.Product) Stock {
	g := p.Grade()
	return Stock{ID: p.ID, Name: p.Name, N: g.N, P2O5: g.P2O5, K2O: g.K2O, BagMass: p.BagMass(), Price: p.Price}
}

// BagLimits bound the search. The zero value asks for the three best answers
// of each kind, at most 40 bags, at most a tenth short of any nutrient and at
// most a tenth over in nitrogen.
type BagLimits struct {
	MostBags     int               `json:"most_bags,omitempty"`
	Keep         int               `json:"keep,omitempty"`
	ShortRel     *float64          `json:"short_share,omitempty"` // of each need, for the cheapest
	NitrogenMost units.MassPerArea `json:"n_most_kg_per_m2,omitempty"`
}

// The bounds of the bag search.
const (
	mostStocks      = 12        // products
	mostBagsAllowed = 1000      // bags
	defaultBags     = 40        // bags
	defaultKeep     = 3         // combinations
	defaultShort    = 0.10      // share of a need; common practice, no source
	nitrogenOver    = 0.10      // share of the nitrogen need; common practice, no source
	bagSearchVisits = 3_000_000 // tried counts; about a second in the slowest case
)

// BagCount is one product's part of a combination. Bags are poured, Buy are
// whole bags to pay for.
type BagCount struct {
	ID      string     `json:"id,omitempty"` // of the product in the catalog
	Product string     `json:"product"`
	Bags    float64    `json:"bags"`
	Buy     float64    `json:"buy_bags"`
	Mass    units.Mass `json:"mass_kg"`
	Price   float64    `json:"price_per_bag,omitempty"`
	Cost    float64    `json:"cost,omitempty"`
}

// Combination is one choice of whole or half bags with what it gives against
// the need. Deviation is the sum of every surplus and shortfall. Cost is
// without the products that Unpriced names.
type Combination struct {
	Bags      []BagCount        `json:"bags"`
	Gives     Nutrients         `json:"gives"`
	Surplus   Nutrients         `json:"surplus"`
	Shortfall Nutrients         `json:"shortfall"`
	Deviation units.MassPerArea `json:"deviation_kg_per_m2"`
	Cost      float64           `json:"cost,omitempty"`
	Unpriced  []string          `json:"unpriced,omitempty"`
	Says      string            `json:"says"`
	counts    []int
}

// BagChoice is the answer: best first. Cheapest is empty when a price is
// missing or nothing meets the need within the limits; Says tells which.
// Proven is false when the search ended at its bound of work.
type BagChoice struct {
	Cheapest []Combination `json:"cheapest"`
	Closest  []Combination `json:"closest"`
	Says     []string      `json:"says,omitempty"`
	Proven   bool          `json:"proven"`
	Mark     source.Mark   `json:"mark"`
}

// ChooseBags finds the cheapest combinations that meet a need and the closest
// ones to it, in whole bags, or half where a product allows it. The need is per
// area over the measured area. Closest means the least sum of surplus and
// shortfall over the three nutrients. No answer passes the nitrogen limit,
// which is the need and a tenth unless NitrogenMost says otherwise.
func ChooseBags(need Nutrients, area units.Area, stocks []Stock, limits BagLimits, sys units.System) (BagChoice, error) {
	if err := checkBagInput(need, area, stocks, limits); err != nil {
		return BagChoice{}, err
	}
	s := newBagSearch(need, area, stocks, limits.filled(need))
	choice := BagChoice{Cheapest: []Combination{}, Mark: source.Mark{Kind: source.Definition}}
	choice.Closest, choice.Proven = s.closest()
	if priced(stocks) {
		cheapest, proven := s.cheapest()
		choice.Cheapest, choice.Proven = cheapest, choice.Proven && proven
	}
	for i := range choice.Closest {
		choice.Closest[i].Says = choice.Closest[i].say(need, sys)
	}
	for i := range choice.Cheapest {
		choice.Cheapest[i].Says = choice.Cheapest[i].say(need, sys)
	}
	choice.Says = s.remarks(choice, priced(stocks), sys)
	return choice, nil
}

func checkBagInput(need Nutrients, area units.Area, stocks []Stock, limits BagLimits) error {
	switch {
	case !(area > 0) || math.IsInf(float64(area), 0):
		return fault.New("area", "the area is not more than zero", "measure the plot first").In("area_m2")
	case len(stocks) == 0:
		return fault.New("no_products", "there is no product to choose from", "add a fertilizer with its grade and bag").In("products")
	case len(stocks) > mostStocks:
		return fault.New("too_many_products", fmt.Sprintf("%d products are more than the %d that can be searched", len(stocks), mostStocks),
			"leave out those that do not fit").Of(fault.TooLarge).In("products")
	case limits.MostBags < 0 || limits.MostBags > mostBagsAllowed || limits.Keep < 0:
		return fault.New("bag_limit", fmt.Sprintf("the most bags must lie between 1 and %d", mostBagsAllowed), "give a smaller number").In("most_bags")
	case limits.ShortRel != nil && (*limits.ShortRel < 0 || *limits.ShortRel > 1):
		return fault.New("short_share", "the accepted shortfall is not a share between 0 and 1", "give 0.1 for a tenth").In("short_share")
	case !(limits.NitrogenMost >= 0):
		return fault.New("nitrogen_limit", "the nitrogen limit is below zero", "leave it out or give a rate").In("n_most_kg_per_m2")
	}
	if err := checkNeed(need); err != nil {
		return err
	}
	for i, p := range stocks {
		if err := p.check(); err != nil {
			return err.At(fault.Place{Feature: i + 1, Field: "products"})
		}
	}
	return nil
}

func checkNeed(need Nutrients) error {
	total := 0.0
	for _, r := range need.vec(1) {
		if !(r >= 0) || math.IsInf(r, 0) {
			return fault.New("need", "a nutrient need is below zero or not a number", "give zero where nothing is needed").In("need")
		}
		total += r
	}
	if total == 0 {
		return fault.New("no_need", "no nutrient is needed", "enter the soil laboratory's figures").In("need")
	}
	return nil
}

func (p Stock) check() *fault.Error {
	grade := []float64{p.N, p.P2O5, p.K2O}
	sum := p.N + p.P2O5 + p.K2O
	switch {
	case slices.ContainsFunc(grade, func(g float64) bool { return !(g >= 0) }) || !(sum > 0 && sum <= 1):
		return fault.New("grade", fmt.Sprintf("the grade of %s does not lie between 0 and 100 %%", p.Name), "enter it as on the bag, such as 19-19-19")
	case !(p.BagMass > 0) || math.IsInf(float64(p.BagMass), 0):
		return fault.New("bag", fmt.Sprintf("the bag of %s weighs nothing", p.Name), "enter the mass on the bag")
	case !(p.Price >= 0) || math.IsInf(p.Price, 0) || p.MostBags < 0:
		return fault.New("price", fmt.Sprintf("the price or the number of bags of %s is below zero", p.Name), "leave it out when not known")
	}
	return nil
}

func priced(stocks []Stock) bool {
	return !slices.ContainsFunc(stocks, func(p Stock) bool { return p.Price == 0 })
}

// filled replaces zeros by the defaults.
func (l BagLimits) filled(need Nutrients) BagLimits {
	if l.MostBags == 0 {
		l.MostBags = defaultBags
	}
	if l.Keep == 0 {
		l.Keep = defaultKeep
	}
	if l.ShortRel == nil {
		short := defaultShort
		l.ShortRel = &short
	}
	if l.NitrogenMost == 0 {
		l.NitrogenMost = need.N * (1 + nitrogenOver)
	}
	return l
}

// vec is the masses of N, P2O5 and K2O on an area.
func (n Nutrients) vec(a units.Area) vec {
	return vec{float64(n.N.On(a)), float64(n.P2O5.On(a)), float64(n.K2O.On(a)), 0}
}

func (a vec) over(area units.Area) Nutrients {
	return Nutrients{units.Mass(a[0]).Over(area), units.Mass(a[1]).Over(area), units.Mass(a[2]).Over(area)}
}

// say is a combination as a sentence: bags, each nutrient against its need, cost.
func (c Combination) say(need Nutrients, sys units.System) string {
	var bags []string
	for _, b := range c.Bags {
		bags = append(bags, fmt.Sprintf("%s of %s", bagWord(b.Bags), b.Product))
	}
	if len(bags) == 0 {
		bags = []string{"no bag at all"}
	}
	parts := []string{
		against("N", c.Gives.N, need.N, sys),
		against("P2O5", c.Gives.P2O5, need.P2O5, sys),
		against("K2O", c.Gives.K2O, need.K2O, sys),
	}
	text := join(bags) + ": " + strings.Join(parts, ", ")
	if c.Cost > 0 {
		text += ", cost " + units.Money(c.Cost)
		if len(c.Unpriced) > 0 {
			text += " without " + join(c.Unpriced)
		}
	}
	return text
}

func against(what string, gives, need units.MassPerArea, sys units.System) string {
	text := fmt.Sprintf("%s %s", gives.Format(sys), what)
	switch diff := gives - need; {
	case math.Abs(float64(diff)) <= 1e-9*float64(need+gives):
		return text
	case diff > 0:
		return text + fmt.Sprintf(" (%s over)", diff.Format(sys))
	default:
		return text + fmt.Sprintf(" (%s short)", (-diff).Format(sys))
	}
}

func bagWord(n float64) string {
	if n <= 1 {
		return units.Bags(n) + " bag"
	}
	return units.Bags(n) + " bags"
}

// join lists things as a person would: a, b and c.
func join(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

// remarks says why an answer is missing and what nitrogen the first ones give
// beyond the need.
func (s *bagSearch) remarks(c BagChoice, priced bool, sys units.System) []string {
	var says []string
	switch {
	case !priced:
		says = append(says, "No cheapest choice: a price is missing")
	case len(c.Cheapest) == 0:
		says = append(says, fmt.Sprintf("No combination of at most %d of these bags comes within %s of every need without more than %s of nitrogen; "+
			"take the closest and top up, add another product, or raise the nitrogen limit knowingly",
			s.budget/2, units.Percent(1-s.needRel), units.Mass(s.capN).Over(s.area).Format(sys)))
	}
	says = append(says, nitrogenOverNote("cheapest", c.Cheapest, sys)...)
	says = append(says, nitrogenOverNote("closest", c.Closest, sys)...)
	if !c.Proven {
		says = append(says, "The search was cut short: good combinations, not proven the best; leave out a product")
	}
	return says
}

// nitrogenOverNote states the nitrogen that the best of a list gives beyond
// the need.
func nitrogenOverNote(which string, list []Combination, sys units.System) []string {
	if len(list) == 0 || list[0].Surplus.N == 0 {
		return nil
	}
	return []string{fmt.Sprintf("The %s gives %s more nitrogen than is needed", which, list[0].Surplus.N.Format(sys))}
}
