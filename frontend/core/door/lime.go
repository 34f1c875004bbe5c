package door

import (
	"evenfall/agronomy/catalog"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
)

// limeRequest is a laboratory's recommendation, or in its place the buffer
// index of its report, and the lime at hand.
type limeRequest struct {
	Product     string       `json:"product"`
	Ask         soil.LimeAsk `json:"ask"`
	BufferIndex float64      `json:"buffer_index"`
	Own         *catalog.Own `json:"own"`
}

// limeAnswer is the dose with the recommendation that it was worked out from,
// and where that comes from.
type limeAnswer struct {
	soil.LimeDose
	Recommended units.MassPerArea `json:"recommended_kg_per_m2"`
	Mark        source.Mark       `json:"mark"`
}

func lime(q limeRequest) (limeAnswer, error) {
	products, err := productsOf([]string{q.Product}, q.Own)
	if err != nil {
		return limeAnswer{}, err
	}
	mark := source.Mark{Kind: source.Stated}
	if q.BufferIndex != 0 {
		if q.Ask.Recommended, mark, err = soil.FromBufferIndex(q.BufferIndex); err != nil {
			return limeAnswer{}, err
		}
		q.Ask.Power = 1 // the table is of pounds of ENP
	}
	dose, err := soil.Lime(products[0], q.Ask)
	return limeAnswer{dose, q.Ask.Recommended, mark}, err
}
