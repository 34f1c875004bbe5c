package door

import (
	"cmp"
	"fmt"

	"evenfall/agronomy/catalog"
	"evenfall/agronomy/mix"
	"evenfall/agronomy/soil"
	"evenfall/agronomy/source"
	"evenfall/agronomy/stand"
	"evenfall/agronomy/units"
)

// catalogWith is the program's catalog with what the person added to it.
func catalogWith(own *catalog.Own) (*catalog.Catalog, error) {
	standard, err := catalog.Default()
	if err != nil || own == nil {
		return standard, err
	}
	return standard.With(*own)
}

// catalogOf is the catalog with what the mix describes itself, and with what
// the person described elsewhere.
func catalogOf(goods mix.Mix, own *catalog.Own) (*catalog.Catalog, error) {
	standard, err := catalog.Default()
	if err != nil {
		return nil, err
	}
	var more catalog.Own
	if own != nil {
		more = *own
	}
	return goods.Catalog(standard, more)
}

type searchRequest struct {
	Text string       `json:"text"`
	Own  *catalog.Own `json:"own"`
}

type figureText struct {
	Name     catalog.Name `json:"name"`
	Text     string       `json:"text"`
	Footnote string       `json:"footnote"`
	Mark     source.Mark  `json:"mark"`
}

type cropEntry struct {
	Crop    catalog.Crop `json:"crop"`
	Figures []figureText `json:"figures"`
}

type productEntry struct {
	Product catalog.Product `json:"product"`
	Figures []figureText    `json:"figures"`
	Grade   string          `json:"grade"`
}

type searchAnswer struct {
	Crops    []cropEntry    `json:"crops"`
	Products []productEntry `json:"products"`
}

func search(q searchRequest) (searchAnswer, error) {
	all, err := catalogWith(q.Own)
	if err != nil {
		return searchAnswer{}, err
	}
	found := all.Search(q.Text)
	answer := searchAnswer{Crops: []cropEntry{}, Products: []productEntry{}}
	for _, c := range found.Crops {
		answer.Crops = append(answer.Crops, cropEntry{c, figureTexts(c.Figures)})
	}
	for _, p := range found.Products {
		answer.Products = append(answer.Products, productEntry{p, figureTexts(p.Figures), gradeText(p.Grade())})
	}
	return answer, nil
}

func figureTexts(figures []catalog.Figure) []figureText {
	texts := make([]figureText, len(figures))
	for i, f := range figures {
		texts[i] = figureText{f.Name, f.String(), f.Footnote(), f.Mark}
	}
	return texts
}

// gradeText is the grade as a bag prints it; empty when there is none.
func gradeText(g catalog.Grade) string {
	if g == (catalog.Grade{}) {
		return ""
	}
	return fmt.Sprintf("%.4g-%.4g-%.4g", g.N*100, g.P2O5*100, g.K2O*100)
}

type needRequest struct {
	Report      *soil.Report  `json:"report"`
	LegumesOnly bool          `json:"legumesOnly"`
	Credits     []soil.Credit `json:"credits"`
}

// needAnswer is the need, and what the credits leave of it.
type needAnswer struct {
	soil.Need
	Left mix.Nutrients `json:"left"`
}

func need(q needRequest) (a needAnswer, err error) {
	a.Need = soil.DefaultNeed(q.LegumesOnly)
	if q.Report != nil && q.Report.Told() {
		if a.Need, err = q.Report.Need(); err != nil {
			return a, err
		}
	}
	a.Left, _, err = a.After(q.Credits...)
	return a, err
}

type blendRequest struct {
	Need     mix.Nutrients `json:"need"`
	Products []string      `json:"products"`
	Own      *catalog.Own  `json:"own"`
	Units    units.System  `json:"units"`
}

func blend(q blendRequest) (soil.Blend, error) {
	onHand, err := productsOf(q.Products, q.Own)
	if err != nil {
		return soil.Blend{}, err
	}
	return soil.PFirst(q.Need, soil.Choose(q.Need, onHand), q.Units)
}

func productsOf(ids []string, own *catalog.Own) ([]catalog.Product, error) {
	all, err := catalogWith(own)
	if err != nil {
		return nil, err
	}
	return productsIn(all, ids)
}

func productsIn(all *catalog.Catalog, ids []string) ([]catalog.Product, error) {
	var products []catalog.Product
	for _, id := range ids {
		p, err := all.Product(id)
		if err != nil {
			return nil, err
		}
		products = append(products, p)
	}
	return products, nil
}

type bagRequest struct {
	Need     mix.Nutrients      `json:"need"`
	Area     units.Area         `json:"area_m2"`
	Products []string           `json:"products"`
	Prices   map[string]float64 `json:"prices"` // of a bag, by product
	Stocks   []mix.Stock        `json:"stocks"`
	Limits   mix.BagLimits      `json:"limits"`
	Mix      mix.Mix            `json:"mix"` // that the bags go into; may be left out
	Own      *catalog.Own       `json:"own"`
	Units    units.System       `json:"units"`
}

// bagAnswer is the choice, and which fertilizers of the mix go out for it.
type bagAnswer struct {
	mix.BagChoice
	Replaces []string `json:"replaces"`
}

func bags(q bagRequest) (a bagAnswer, err error) {
	all, err := catalogOf(q.Mix, q.Own)
	if err != nil {
		return a, err
	}
	products, err := productsIn(all, q.Products)
	if err != nil {
		return a, err
	}
	stocks := q.Mix.Stocked(products)
	for i := range stocks {
		stocks[i].Price = cmp.Or(q.Prices[stocks[i].ID], stocks[i].Price)
	}
	if a.Replaces, err = q.Mix.Fertilizers(all); err != nil {
		return a, err
	}
	a.BagChoice, err = mix.ChooseBags(q.Need, q.Area, append(q.Stocks, stocks...), q.Limits, q.Units)
	return a, err
}

// takeRequest asks for a mix with bags in place of its fertilizers.
type takeRequest struct {
	Mix  mix.Mix        `json:"mix"`
	Bags []mix.BagCount `json:"bags"`
	Area units.Area     `json:"area_m2"` // that gets anything
	Own  *catalog.Own   `json:"own"`
}

func takeBags(q takeRequest) (mix.Mix, error) {
	all, err := catalogOf(q.Mix, q.Own)
	if err != nil {
		return mix.Mix{}, err
	}
	return q.Mix.Fed(q.Bags, q.Area, all)
}

type lookRequest struct {
	Mix mix.Mix `json:"mix"`
}

// lookAtMix says of every item of a mix what it is and how its rate can be given.
func lookAtMix(q lookRequest) ([]mix.Look, error) {
	all, err := catalogOf(q.Mix, nil)
	if err != nil {
		return nil, err
	}
	return q.Mix.Looks(all), nil
}

type recountRequest struct {
	Mix  mix.Mix    `json:"mix"`
	Item int        `json:"item"` // from 0
	Way  mix.Way    `json:"way"`
	Area units.Area `json:"area_m2"` // that gets anything; zero when not known
}

func recount(q recountRequest) (mix.Mix, error) {
	all, err := catalogOf(q.Mix, nil)
	if err != nil {
		return mix.Mix{}, err
	}
	return q.Mix.Recounted(q.Item, q.Way, q.Area, all)
}

type judgeRequest struct {
	Counts stand.Counts `json:"counts"`
	Target stand.Target `json:"target"`
	Units  units.System `json:"units"`
}

func judge(q judgeRequest) (stand.Judgment, error) { return stand.Judge(q.Counts, q.Target, q.Units) }
