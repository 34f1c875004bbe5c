package catalog

import (
	"slices"

	"evenfall/agronomy/source"
	"evenfall/geo/fault"
)

// Own is what a user adds to the catalog. Figures may be in any unit that the
// catalog's files may use; a figure without a mark counts as stated.
type Own struct {
	Crops     []Crop     `json:"crops,omitempty"`
	Products  []Product  `json:"products,omitempty"`
	Overrides []Override `json:"overrides,omitempty"`
}

// Override replaces one figure of an entry, or adds it. Low, Typical and High
// are in Unit; Low and High may be left out where Typical says all. Measured
// marks a figure that the user weighed or counted.
type Override struct {
	ID       string  `json:"id"`
	Figure   Name    `json:"figure"`
	Low      float64 `json:"low,omitempty"`
	Typical  float64 `json:"typical,omitempty"`
	High     float64 `json:"high,omitempty"`
	Unit     string  `json:"unit"`
	Of       Of      `json:"of,omitempty"`
	Measured bool    `json:"measured,omitempty"`
}

// With is the catalog with the user's own entries and figures. The mark of an
// overridden figure says what it replaced.
func (c *Catalog) With(own Own) (*Catalog, error) {
	if len(own.Crops)+len(own.Products)+len(own.Overrides) == 0 {
		return c, nil // nobody can change a catalog
	}
	out := &Catalog{crops: c.Crops(), products: c.Products()}
	for _, crop := range own.Crops {
		crop = crop.copied()
		crop.Mark = orStated(crop.Mark)
		if err := settle(crop.ID, crop.Figures); err != nil {
			return nil, err
		}
		out.crops = append(out.crops, crop)
	}
	for _, p := range own.Products {
		p = p.copied()
		p.Mark = orStated(p.Mark)
		if err := settle(p.ID, p.Figures); err != nil {
			return nil, err
		}
		out.products = append(out.products, p)
	}
	for _, o := range own.Overrides {
		if err := out.override(o); err != nil {
			return nil, err
		}
	}
	if err := out.check(); err != nil {
		return nil, err
	}
	return out, nil
}

func settle(id string, figures []Figure) error {
	for i, f := range figures {
		f.Mark = orStated(f.Mark)
		inSI, err := f.inSI()
		if err != nil {
			return within(err, id)
		}
		figures[i] = inSI
	}
	return nil
}

func orStated(m source.Mark) source.Mark {
	if m.Kind == "" {
		m.Kind = source.Stated
	}
	return m
}

func within(err error, id string) error {
	if f, ok := fault.From(err); ok {
		return f.In(id + "." + f.Where.Field)
	}
	return err
}

func (c *Catalog) override(o Override) error {
	figures := c.figuresOf(o.ID)
	if figures == nil {
		return missing("crop or product", o.ID)
	}
	f, err := o.figure().inSI()
	if err != nil {
		return within(err, o.ID)
	}
	i := slices.IndexFunc(*figures, func(old Figure) bool { return old.Name == f.Name && (old.Of == f.Of || !isRate(f.Name)) })
	if i < 0 {
		*figures = append(*figures, f)
		return nil
	}
	f.Mark.Overrides = original((*figures)[i])
	(*figures)[i] = f
	return nil
}

func (o Override) figure() Figure {
	f := Figure{Name: o.Figure, Low: o.Low, Middle: o.Typical, High: o.High, Unit: o.Unit, Of: o.Of}
	f.Mark.Kind = source.Stated
	if o.Measured {
		f.Mark.Kind = source.Measured
	}
	if o.Low == 0 && o.High == 0 {
		f.Low, f.High, f.Middle = o.Typical, o.Typical, 0
	}
	return f
}

// original is what a footnote says of the figure that an override replaced; a
// second override still names the catalog's figure.
func original(f Figure) string {
	if f.Mark.Overrides != "" {
		return f.Mark.Overrides
	}
	return f.Footnote()
}

func isRate(n Name) bool { return slices.Contains(RateNames(), n) }

// Changed lists the ids of the entries that a user has overridden or added, as
// a sheet has to say.
func (c *Catalog) Changed() []string {
	var ids []string
	note := func(id string, figures []Figure) {
		if slices.ContainsFunc(figures, func(f Figure) bool {
			return f.Mark.Kind == source.Stated || f.Mark.Kind == source.Measured
		}) {
			ids = append(ids, id)
		}
	}
	for _, crop := range c.crops {
		note(crop.ID, crop.Figures)
	}
	for _, p := range c.products {
		note(p.ID, p.Figures)
	}
	return ids
}
