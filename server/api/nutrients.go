package api

import (
	"evenfall/agronomy/mix"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/units"
)

// needRequest is a soil-test report, what else brings nutrients, and the
// products on hand, by their ids. Without a report a modest need is assumed.
type needRequest struct {
	spoken
	goods
	Report      *soil.Report  `json:"report,omitempty"`
	LegumesOnly bool          `json:"legumes_only,omitempty"` // every crop; asks for no nitrogen where there is no report
	Credits     []soil.Credit `json:"credits,omitempty"`
	Products    []string      `json:"products,omitempty"`
}

// needAnswer is the need, what the credits leave of it and have to spare, and
// the exact rates of the products that meet what is left.
type needAnswer struct {
	Need  soil.Need     `json:"need"`
	Left  mix.Nutrients `json:"left"`
	Spare mix.Nutrients `json:"spare"`
	Blend *soil.Blend   `json:"blend,omitempty"`
}

func meetNeed(q needRequest) (a needAnswer, err error) {
	a.Need = soil.DefaultNeed(q.LegumesOnly)
	if q.Report != nil && q.Report.Told() {
		if a.Need, err = q.Report.Need(); err != nil {
			return a, below("report", err)
		}
	}
	if a.Left, a.Spare, err = a.Need.After(q.Credits...); err != nil || len(q.Products) == 0 {
		return a, err
	}
	onHand, err := q.products(q.Products...)
	if err != nil {
		return a, err
	}
	blend, err := soil.PFirst(a.Left, soil.Choose(a.Left, onHand), q.Units)
	a.Blend = &blend
	return a, err
}

// bagsRequest is a need over an area and the products that can be bought.
type bagsRequest struct {
	spoken
	goods
	Need     mix.Nutrients  `json:"need"`
	Area     units.Area     `json:"area_m2"`
	Products []bagged       `json:"products"`
	Limits   *mix.BagLimits `json:"limits,omitempty"`
}

// bagged is a product of the catalog as it is sold: with its price, how many
// bags there are and whether half a bag may be kept.
type bagged struct {
	ID       string  `json:"id"`
	Price    float64 `json:"price_per_bag,omitempty"`
	MostBags int     `json:"most_bags,omitempty"`
	HalfBags bool    `json:"allow_half,omitempty"`
}

func chooseBags(q bagsRequest) (mix.BagChoice, error) {
	ids := make([]string, len(q.Products))
	for i, b := range q.Products {
		ids[i] = b.ID
	}
	products, err := q.products(ids...)
	if err != nil {
		return mix.BagChoice{}, err
	}
	stocks := make([]mix.Stock, len(products))
	for i, p := range products {
		stocks[i] = mix.StockOf(p)
		stocks[i].MostBags, stocks[i].HalfBags = q.Products[i].MostBags, q.Products[i].HalfBags
		if q.Products[i].Price != 0 {
			stocks[i].Price = q.Products[i].Price
		}
	}
	var limits mix.BagLimits
	if q.Limits != nil {
		limits = *q.Limits
	}
	return mix.ChooseBags(q.Need, q.Area, stocks, limits, q.Units)
}

// limeRequest is a laboratory's recommendation and the lime at hand.
type limeRequest struct {
	spoken
	goods
	Product string `json:"product"` // id
	soil.LimeAsk
}

func doseLime(q limeRequest) (soil.LimeDose, error) {
	found, err := q.products(q.Product)
	if err != nil {
		return soil.LimeDose{}, err
	}
	return soil.Lime(found[0], q.LimeAsk)
}
