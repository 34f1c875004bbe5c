package mix

import (
	"slices"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// Catalog is the catalog with the entries of the mix's own and with those of
// more whose ids are not taken.
func (m Mix) Catalog(cat *catalog.Catalog, more catalog.Own) (*catalog.Catalog, error) {
	all, err := cat.With(m.own())
	if err != nil {
		return nil, err
	}
	more.Crops = slices.DeleteFunc(slices.Clone(more.Crops), func(c catalog.Crop) bool { _, err := all.Crop(c.ID); return err == nil })
	more.Products = slices.DeleteFunc(slices.Clone(more.Products), func(p catalog.Product) bool { _, err := all.Product(p.ID); return err == nil })
	return all.With(more)
}

// Fertilizers are the names of the materials of the mix that feed the ground,
// lime aside, in the order of its items. The catalog knows the mix's own.
func (m Mix) Fertilizers(cat *catalog.Catalog) ([]string, error) {
	names := []string{}
	for i, it := range m.Items {
		s, err := it.resolve(cat)
		if err != nil {
			return nil, inItem(err, i)
		}
		if s.class == Fertilizer {
			names = append(names, s.name)
		}
	}
	return names, nil
}

// Stocked are products as the mix buys them: in its bags and at its prices
// where it has some of its own.
func (m Mix) Stocked(products []catalog.Product) []Stock {
	stocks := make([]Stock, len(products))
	for i, p := range products {
		stocks[i] = StockOf(p)
		for _, it := range m.Items {
			if it.id() != p.ID {
				continue
			}
			if it.BagMass > 0 {
				stocks[i].BagMass = it.BagMass
			}
			if it.Price > 0 {
				stocks[i].Price = it.Price
			}
		}
	}
	return stocks
}

// Fed is the mix with bags of fertilizer in place of every fertilizer that it
// had, so that on the area it gives what the bags give and no more. They go in
// as the rate that they come to on the area, in square metres: the mix may be
// spread on other ground too. A product that the mix had keeps what was said of
// it; the others go into the filling that they take over. The catalog knows the
// mix's own, and the products of the bags.
func (m Mix) Fed(bags []BagCount, area units.Area, cat *catalog.Catalog) (Mix, error) {
	if !(area > 0) {
		return Mix{}, fault.New("area", "the area is not more than zero", "measure the plot first").In("area_m2")
	}
	fed := m
	fed.Items = nil
	var out []Item
	at := -1 // where the first of those that go out stood
	for i, it := range m.Items {
		s, err := it.resolve(cat)
		switch {
		case err != nil:
			return Mix{}, inItem(err, i)
		case s.class != Fertilizer:
			fed.Items = append(fed.Items, it)
			continue
		case at < 0:
			at = len(fed.Items)
		}
		out = append(out, it)
	}
	if at < 0 {
		at = len(fed.Items)
	}
	for _, it := range out {
		fed.PartsRate -= m.partsRate(it.Rate.Parts) // what stays of the blend keeps its rates
	}
	in, err := itemsOf(bags, out, area, cat)
	fed.Items = slices.Insert(fed.Items, at, in...)
	return fed.blended(), err
}

// itemsOf are bags as items of a mix, made of those that they take the place of.
func itemsOf(bags []BagCount, out []Item, area units.Area, cat *catalog.Catalog) ([]Item, error) {
	var in []Item
	for _, b := range bags {
		if b.Bags <= 0 {
			continue
		}
		item, err := taken(b, out, cat)
		if err != nil {
			return nil, err
		}
		item.Rate = Rate{Mass: b.Mass.Over(area)}
		if b.Price > 0 {
			item.Price = b.Price
		}
		in = append(in, item)
	}
	return in, nil
}

// taken is the item that a product of the bags becomes, without its rate.
func taken(b BagCount, out []Item, cat *catalog.Catalog) (Item, error) {
	if i := slices.IndexFunc(out, func(it Item) bool { return it.id() == b.ID }); i >= 0 {
		return out[i], nil
	}
	item := Item{Material: b.ID}
	if len(out) > 0 {
		item.Group = out[0].Group
	}
	standard, err := catalog.Default()
	if err != nil {
		return item, err
	}
	if _, err := standard.Product(b.ID); err == nil {
		return item, nil
	}
	product, err := cat.Product(b.ID)
	item.Material, item.Product = "", &product
	return item, err
}

// id is the item's id in the catalog.
func (it Item) id() string {
	switch {
	case it.Crop != nil:
		return it.Crop.ID
	case it.Product != nil:
		return it.Product.ID
	}
	return it.Material
}

// blended is the mix without the rate of a blend that has no parts left.
func (m Mix) blended() Mix {
	if !slices.ContainsFunc(m.Items, func(it Item) bool { return it.Rate.Parts > 0 }) {
		m.PartsRate = 0
	}
	return m
}
