package catalog

import (
	"slices"
	"strconv"
	"strings"

	"evenfall/geo/fault"
)

// Catalog is a set of crops and products, in the order of its files. It never
// changes; With returns another.
type Catalog struct {
	crops    []Crop
	products []Product
}

// Crops returns every crop in the catalog's order.
func (c *Catalog) Crops() []Crop {
	all := make([]Crop, len(c.crops))
	for i, crop := range c.crops {
		all[i] = crop.copied()
	}
	return all
}

// Products returns every fertilizer and lime in the catalog's order.
func (c *Catalog) Products() []Product {
	all := make([]Product, len(c.products))
	for i, p := range c.products {
		all[i] = p.copied()
	}
	return all
}

// Crop finds a crop by id; a fault of the missing kind says when there is none.
func (c *Catalog) Crop(id string) (Crop, error) {
	if i := c.cropIndex(id); i >= 0 {
		return c.crops[i].copied(), nil
	}
	return Crop{}, missing("crop", id)
}

// Product finds a product by id; a fault of the missing kind says when there
// is none.
func (c *Catalog) Product(id string) (Product, error) {
	if i := c.productIndex(id); i >= 0 {
		return c.products[i].copied(), nil
	}
	return Product{}, missing("product", id)
}

// Found is what a search came to.
type Found struct {
	Crops    []Crop    `json:"crops"`
	Products []Product `json:"products"`
}

// Search finds the entries whose id and names hold every word of the text,
// whatever the case; an empty text finds all.
func (c *Catalog) Search(text string) Found {
	words := strings.Fields(strings.ToLower(text))
	found := Found{Crops: []Crop{}, Products: []Product{}}
	for _, crop := range c.crops {
		if holds(called(crop.ID, crop.Name, crop.Also), words) {
			found.Crops = append(found.Crops, crop.copied())
		}
	}
	for _, p := range c.products {
		if holds(called(p.ID, p.Name, p.Also), words) {
			found.Products = append(found.Products, p.copied())
		}
	}
	return found
}

// called is everything that an entry goes by.
func called(id, name string, also []Note) string {
	text := id + " " + name
	for _, n := range also {
		text += " " + n.Says
	}
	return text
}

func holds(text string, words []string) bool {
	text = strings.ToLower(text)
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) })
}

func (c *Catalog) cropIndex(id string) int {
	return slices.IndexFunc(c.crops, func(crop Crop) bool { return crop.ID == id })
}

func (c *Catalog) productIndex(id string) int {
	return slices.IndexFunc(c.products, func(p Product) bool { return p.ID == id })
}

func missing(what, id string) error {
	return fault.New("not_in_catalog", "there is no "+what+" "+strconv.Quote(id)+" in the catalog",
		"search the catalog for its id, or add it as your own").Of(fault.Missing)
}
