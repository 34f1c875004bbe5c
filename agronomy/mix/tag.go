package mix

import "evenfall/geo/fault"

// Tag is what the law has printed on a bag of seed, as shares of its mass from
// 0 to 1. Purity is of all that is in the bag, a coating included, as tags of
// coated seed print it. Hard is hard or dormant seed, which lives but did not
// sprout in the test.
type Tag struct {
	Purity      float64 `json:"purity"`
	Germination float64 `json:"germination"`
	Hard        float64 `json:"hard,omitempty"`
	Coating     float64 `json:"coating,omitempty"`
}

// PLS is the share of the mass that is pure live seed.
func (t Tag) PLS() float64 { return t.Purity * (t.Germination + t.Hard) }

func (t *Tag) check() *fault.Error {
	switch {
	case t == nil:
		return nil
	case !(t.Purity > 0 && t.Purity <= 1) || !(t.Germination >= 0 && t.Hard >= 0) || !(t.Germination+t.Hard > 0 && t.Germination+t.Hard <= 1+1e-9):
		return fault.New("tag", "the tag's purity or germination does not lie between 0 and 100 %", "copy it from the seed tag, such as purity 0.98 and germination 0.85").In("tag")
	case !(t.Coating >= 0) || t.Purity+t.Coating > 1+1e-9:
		return fault.New("tag_coating", "purity and coating together are more than the whole bag", "copy both from the seed tag; pure seed does not count the coating").In("tag.coating")
	}
	return nil
}
