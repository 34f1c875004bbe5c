package mix

import (
	"math"

	"evenfall/agronomy/units"
)

// Shop lists what to buy for one or several plots, in whole bags: amounts out
// of the same kind of bag are bought together, so that what one plot leaves is
// used on the next. Materials come in the order in which they are first needed.
func Shop(plots ...[]Amount) []Purchase {
	var list []Purchase
	price := map[string]float64{}
	at := map[string]int{}
	for _, amounts := range plots {
		for _, a := range amounts {
			key := a.Key()
			i, known := at[key]
			if !known {
				i = len(list)
				at[key] = i
				list = append(list, Purchase{ID: a.ID, Material: a.Material, BagMass: a.BagMass})
			}
			list[i].Mass += a.SpreadMass
			price[key] = max(price[key], a.Price)
			list[i].settle(price[key])
		}
	}
	return list
}

// settle works out the bags, what they leave and what they cost.
func (p *Purchase) settle(price float64) {
	if p.BagMass == 0 {
		return
	}
	p.Bags = math.Ceil(float64(p.Mass/p.BagMass) - bagSlack)
	p.Left = units.Mass(math.Max(0, float64(p.BagMass)*p.Bags-float64(p.Mass)))
	p.Cost = p.Bags * price
}
