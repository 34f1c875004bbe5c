package mix

import (
	"slices"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/seed"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

// stuff is one item with the catalog's figures filled in.
type stuff struct {
	item         Item
	at           int
	id, name     string
	class        Class
	crop         catalog.Crop
	product      catalog.Product
	grade        catalog.Grade
	bag          units.Mass
	price        float64
	density      units.Density
	densityMark  source.Mark
	seedsPerMass units.CountPerMass
	seedsMark    source.Mark
}

// resolve looks every item up. Own entries join the catalog first, so that
// they are held to its rules; the same own entry may serve several items.
func (m Mix) resolve(cat *catalog.Catalog) ([]stuff, error) {
	cat, err := cat.With(m.own())
	if err != nil {
		return nil, err
	}
	all := make([]stuff, len(m.Items))
	for i, it := range m.Items {
		s, err := it.resolve(cat)
		if err != nil {
			return nil, inItem(err, i)
		}
		s.at = i
		all[i] = s
	}
	return all, nil
}

// own are the entries that the items describe themselves, each once.
func (m Mix) own() (own catalog.Own) {
	for _, it := range m.Items {
		if it.Crop != nil && !slices.ContainsFunc(own.Crops, func(c catalog.Crop) bool { return c.ID == it.Crop.ID }) {
			own.Crops = append(own.Crops, *it.Crop)
		}
		if it.Product != nil && !slices.ContainsFunc(own.Products, func(p catalog.Product) bool { return p.ID == it.Product.ID }) {
			own.Products = append(own.Products, *it.Product)
		}
	}
	return own
}

func (it Item) resolve(cat *catalog.Catalog) (stuff, error) {
	id := it.id()
	if crop, err := cat.Crop(id); err == nil {
		return it.sown(crop), nil
	}
	product, err := cat.Product(id)
	if err != nil {
		return stuff{}, fault.New("not_in_catalog", "there is no material \""+id+"\" in the catalog",
			"search the catalog for its id, or describe it as your own").Of(fault.Missing).In("material")
	}
	if field := it.seedOnly(); field != "" {
		return stuff{}, fault.New("seed_only", product.Name+" is no seed, and this is said of seed alone", "leave it out").In(field)
	}
	return it.fertilized(product), nil
}

// seedOnly is the first field that is set and means something of seed alone;
// a drilled rate or a seed tag would raise the rate of a fertilizer.
func (it Item) seedOnly() string {
	r := it.Rate
	for _, f := range []struct {
		field string
		set   bool
	}{
		{"tag", !it.Tag.None()}, {"coated", it.Coated}, {"inoculated", it.Inoculated}, {"treated", it.Treated},
		{"seeds_per_kg", it.SeedsPerMass > 0}, {"emergence", it.Emergence > 0},
		{"rate.drilled", r.Drilled}, {"rate.seeds_per_m2", r.Seeds > 0}, {"rate.plants_per_m2", r.Plants > 0},
		{"rate.of", r.Of == catalog.OfPLS}, {"rate.full_seeds_per_m2", r.FullSeeds > 0},
	} {
		if f.set {
			return f.field
		}
	}
	return ""
}

func (it Item) sown(c catalog.Crop) stuff {
	s := stuff{item: it, id: c.ID, name: c.Name, class: Seed, crop: c, bag: c.BagMass(),
		density: c.Density(), seedsPerMass: c.SeedsPerMass(), price: it.Price}
	s.densityMark, s.seedsMark = markOf(c.Figure(catalog.BulkDensity)), markOf(c.Figure(catalog.SeedsPerMass))
	if it.SeedsPerMass > 0 {
		s.seedsMark = replaced(s.seedsMark, s.seedsPerMass > 0, s.seedsPerMass.FormatOf("seeds", units.US))
		s.seedsPerMass = it.SeedsPerMass
	}
	return s.overridden()
}

func (it Item) fertilized(p catalog.Product) stuff {
	s := stuff{item: it, id: p.ID, name: p.Name, class: Class(p.Class), product: p, grade: p.Grade(),
		bag: p.BagMass(), density: p.Density(), price: p.Price}
	s.densityMark = markOf(p.Figure(catalog.BulkDensity))
	if it.Price > 0 {
		s.price = it.Price
	}
	return s.overridden()
}

// overridden puts the item's own bag and weighed quart in place of the
// catalog's.
func (s stuff) overridden() stuff {
	if s.item.BagMass > 0 {
		s.bag = s.item.BagMass
	}
	if s.item.Density > 0 {
		s.densityMark = replaced(s.densityMark, s.density > 0, s.density.Format(units.US))
		s.density = s.item.Density
	}
	return s
}

func replaced(old source.Mark, known bool, says string) source.Mark {
	m := source.Mark{Kind: source.Measured}
	if known {
		m.Overrides = says + " (" + old.String() + ")"
	}
	return m
}

func markOf(f catalog.Figure, known bool) source.Mark {
	if !known {
		return source.Mark{}
	}
	return f.Mark
}

// lot is the seed at hand, for the arithmetic of tags and rates.
func (s stuff) lot() seed.Lot {
	lot := seed.Lot{PerMass: s.seedsPerMass, Counted: s.item.SeedsPerMass > 0, Tag: s.item.Tag, Emergence: s.item.Emergence}
	if lot.Emergence == 0 {
		lot.Emergence = usualEmergence
	}
	return lot
}

func (s stuff) coated() bool {
	return s.crop.Coated || s.item.Coated || s.item.Tag.Coating > 0
}

func (s stuff) treated() bool { return s.crop.Treated || s.item.Treated }
