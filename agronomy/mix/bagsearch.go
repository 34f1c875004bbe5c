package mix

import (
	"cmp"
	"math"
	"slices"

	"evenfall/agronomy/units"
)

// bagSearch is an exact branch and bound over whole numbers of steps, a step
// being a bag or half of one. Products are decided in turn. What the products
// still to come could do at best, if they came in any fraction, is a linear
// program in three nutrients and the bags left; its dual's corners are found
// once per depth, so a bound is a few dot products. The bound is convex in the count that is being
// decided: the counts are tried outwards from its lowest point, and a side is
// left as soon as it passes the worst answer that is still kept.
type bagSearch struct {
	area    units.Area
	need    vec // kilograms on the area
	needRel float64
	capN    float64 // kilograms of nitrogen
	stocks  []Stock
	order   []int     // of stocks, the order in which they are decided
	step    []vec     // kilograms of nutrients per step, in that order
	halves  []int     // half bags per step
	price   []float64 // per step
	limit   []int     // most steps
	budget  int       // half bags
	keep    int
	visits  int
	goal    bagGoal
	found   []Combination
	counts  []int
}

// forbidden outweighs any cost that a person pays, in money per kilogram.
const forbidden = 1e18

// bagGoal is what a search minimises: linear in the counts, convex in what is
// left of the need.
type bagGoal struct {
	corners [][]vec // per depth, of the dual
	carried [][]vec // per depth, of the dual for the least nitrogen that meeting the rest carries
	target  vec
	priced  bool
	beyond  float64 // no combination can pass this
	primary func(Combination) float64
	second  func(Combination) float64
	accept  func(Combination) bool
}

func newBagSearch(need Nutrients, area units.Area, stocks []Stock, l BagLimits) *bagSearch {
	s := &bagSearch{area: area, need: need.vec(area), needRel: 1 - *l.ShortRel,
		capN: float64(l.NitrogenMost.On(area)), stocks: stocks, budget: 2 * l.MostBags, keep: l.Keep}
	s.order = byLargestBag(stocks)
	for _, at := range s.order {
		p := stocks[at]
		share, halves := 1.0, 2
		if p.HalfBags {
			share, halves = 0.5, 1
		}
		kg := float64(p.BagMass) * share
		s.step = append(s.step, vec{p.N * kg, p.P2O5 * kg, p.K2O * kg, float64(halves)})
		s.halves = append(s.halves, halves)
		s.price = append(s.price, p.Price*share)
		s.limit = append(s.limit, s.mostSteps(p, halves))
	}
	return s
}

// byLargestBag decides the coarsest products first: few counts are possible for
// them, and the fine ones fill what is left.
func byLargestBag(stocks []Stock) []int {
	order := make([]int, len(stocks))
	for i := range order {
		order[i] = i
	}
	weight := func(i int) float64 {
		p := stocks[i]
		w := (p.N + p.P2O5 + p.K2O) * float64(p.BagMass)
		if p.HalfBags {
			w /= 2
		}
		return w
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(weight(b), weight(a)) })
	return order
}

func (s *bagSearch) mostSteps(p Stock, halves int) int {
	bags := s.budget / 2
	if p.MostBags > 0 {
		bags = min(bags, p.MostBags)
	}
	return bags * 2 / halves
}

// closest keeps the combinations with the least sum of surplus and shortfall.
// Dual: |y| <= 1 per nutrient, and y.step <= 0 for the products to come.
func (s *bagSearch) closest() ([]Combination, bool) {
	box := dualBox(1, 1)
	return s.run(bagGoal{
		corners: s.duals(box, make([]float64, len(s.step))),
		target:  s.upTo(s.need),
		beyond:  math.Inf(1),
		primary: func(c Combination) float64 { return float64(c.Deviation) },
		second:  func(c Combination) float64 { return c.Cost },
		accept:  func(Combination) bool { return true },
	})
}

// cheapest keeps the combinations of least cost that meet the need less the
// accepted shortfall. Dual: 0 <= y <= ruin, and y.step <= price for the
// products to come, where ruin makes a need that none of them meets too dear.
func (s *bagSearch) cheapest() ([]Combination, bool) {
	ruin := 0.0
	for i, a := range s.step {
		ruin = max(ruin, s.price[i]/(a[0]+a[1]+a[2]))
	}
	ruin *= 1e5
	dearest := 0.0
	for i := range s.step {
		dearest += s.price[i] * float64(s.limit[i]+1)
	}
	box := dualBox(ruin, 0)
	least := vec{}.plus(s.need, s.needRel)
	noNitrogen := slices.Clone(box)
	noNitrogen[1].limit = 0 // its worth
	return s.run(bagGoal{
		corners: s.duals(box, s.price),
		carried: s.duals(noNitrogen, s.nitrogen()),
		target:  s.upTo(least),
		priced:  true,
		beyond:  dearest,
		primary: func(c Combination) float64 { return c.Cost },
		second:  func(c Combination) float64 { return float64(c.Deviation) },
		accept:  func(c Combination) bool { return s.meets(c.Gives.vec(s.area), least) },
	})
}

// dualBox bounds the worth of a nutrient from above and below; a bag left is
// worth nothing or, where bags run out, less.
func dualBox(most, least float64) []halfspace {
	box := []halfspace{{vec{0, 0, 0, 1}, 0}}
	for k := range 3 {
		var up, down vec
		up[k], down[k] = 1, -1
		box = append(box, halfspace{up, most}, halfspace{down, least})
	}
	return box
}

func (s *bagSearch) nitrogen() []float64 {
	n := make([]float64, len(s.step))
	for i, a := range s.step {
		n[i] = a[0]
	}
	return n
}

func (s *bagSearch) meets(gives, least vec) bool {
	for k := range 3 {
		if gives[k] < least[k]*(1-1e-9) {
			return false
		}
	}
	return true
}

// upTo is a target with the bags that may be used on it.
func (s *bagSearch) upTo(nutrients vec) vec {
	nutrients[3] = float64(s.budget)
	return nutrients
}

// duals finds the corners of the dual at every depth, the last being the box.
func (s *bagSearch) duals(box []halfspace, price []float64) [][]vec {
	at := make([][]vec, len(s.step)+1)
	faces := box
	for depth := len(s.step); depth >= 0; depth-- {
		if depth < len(s.step) {
			faces = append(faces, halfspace{s.step[depth], price[depth]})
		}
		at[depth] = corners(faces)
	}
	return at
}

func (s *bagSearch) run(goal bagGoal) ([]Combination, bool) {
	s.goal, s.found, s.visits = goal, []Combination{}, bagSearchVisits
	s.counts = make([]int, len(s.step))
	s.decide(0, vec{}, 0, s.budget)
	return s.found, s.visits > 0
}

// bound is the least goal that the products from depth on could reach. Where
// meeting the other needs carries more nitrogen than is allowed it rises
// steeply, so that it stays convex.
func (s *bagSearch) bound(depth int, given vec, spent float64) float64 {
	left := s.goal.target.plus(given, -1)
	least := spent + max(0, steepest(s.goal.corners[depth], left))
	if s.goal.carried == nil {
		return least
	}
	excess := given[0] + max(0, steepest(s.goal.carried[depth], left)) - s.capN*(1+1e-9)
	return least + forbidden*max(0, excess)
}

// worst is the goal that a new combination has to stay under to be kept, with
// room for rounding so that ties are seen.
func (s *bagSearch) worst() float64 {
	if len(s.found) < s.keep {
		return s.goal.beyond
	}
	w := s.goal.primary(s.found[len(s.found)-1])
	if !s.goal.priced {
		w *= float64(s.area) // the deviation is kept per area
	}
	return w*(1+1e-9) + 1e-12*(s.need[0]+s.need[1]+s.need[2])
}

func (s *bagSearch) decide(depth int, given vec, spent float64, budget int) {
	if depth == len(s.step) {
		s.offer()
		return
	}
	most := min(s.limit[depth], budget/s.halves[depth])
	if a := s.step[depth][0]; a > 0 {
		most = min(most, int(math.Floor((s.capN*(1+1e-12)-given[0])/a)))
	}
	if most < 0 {
		return
	}
	at := func(n int) float64 {
		return s.bound(depth+1, given.plus(s.step[depth], float64(n)), s.spend(depth, spent, n))
	}
	try := func(n int) bool {
		s.visits--
		if s.visits <= 0 || at(n) > s.worst() {
			return false
		}
		s.counts[depth] = n
		s.decide(depth+1, given.plus(s.step[depth], float64(n)), s.spend(depth, spent, n), budget-n*s.halves[depth])
		return true
	}
	low := lowest(most, at)
	for n := low; n <= most && try(n); n++ {
	}
	for n := low - 1; n >= 0 && try(n); n-- {
	}
	s.counts[depth] = 0
}

func (s *bagSearch) spend(depth int, spent float64, n int) float64 {
	if !s.goal.priced {
		return spent
	}
	return spent + s.price[depth]*float64(n)
}

// lowest is where a convex function over 0..most is least.
func lowest(most int, at func(int) float64) int {
	low, high := 0, most
	for low < high {
		middle := (low + high) / 2
		if at(middle) <= at(middle+1) {
			high = middle
		} else {
			low = middle + 1
		}
	}
	return low
}

// offer keeps the decided counts if they are among the best.
func (s *bagSearch) offer() {
	counts := make([]int, len(s.counts))
	for depth, at := range s.order {
		counts[at] = s.counts[depth] * s.halves[depth]
	}
	c := s.combine(counts)
	if !s.goal.accept(c) {
		return
	}
	at, same := slices.BinarySearchFunc(s.found, c, s.compare)
	if same {
		return
	}
	s.found = slices.Insert(s.found, at, c)
	s.found = s.found[:min(len(s.found), s.keep)]
}

// compare ranks by the goal, then by the other goal, then fewer bags, then by
// the products' order, so that the same input always gives the same answer.
func (s *bagSearch) compare(a, b Combination) int {
	if c := roughly(s.goal.primary(a), s.goal.primary(b)); c != 0 {
		return c
	}
	if c := roughly(s.goal.second(a), s.goal.second(b)); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(total(a.counts), total(b.counts)), slices.Compare(a.counts, b.counts))
}

// roughly compares to nine figures, so that rounding does not decide.
func roughly(a, b float64) int {
	if math.Abs(a-b) <= 1e-9*max(math.Abs(a), math.Abs(b)) {
		return 0
	}
	return cmp.Compare(a, b)
}

func total(counts []int) (sum int) {
	for _, n := range counts {
		sum += n
	}
	return sum
}

// combine works out what a number of half bags of each product gives.
func (s *bagSearch) combine(halves []int) Combination {
	c := Combination{counts: halves}
	var gives vec
	for i, p := range s.stocks {
		if halves[i] == 0 {
			continue
		}
		bags := float64(halves[i]) / 2
		kg := bags * float64(p.BagMass)
		b := BagCount{ID: p.ID, Product: p.Name, Bags: bags, Buy: math.Ceil(bags), Mass: units.Mass(kg), Price: p.Price}
		b.Cost = b.Buy * p.Price
		gives = gives.plus(vec{p.N, p.P2O5, p.K2O, 0}, kg)
		c.Bags = append(c.Bags, b)
		c.Cost += b.Cost
		if p.Price == 0 && bags > 0 {
			c.Unpriced = append(c.Unpriced, p.Name)
		}
	}
	c.Gives = gives.over(s.area)
	var over, short vec
	for k := range 3 {
		over[k], short[k] = max(0, gives[k]-s.need[k]), max(0, s.need[k]-gives[k])
	}
	c.Surplus, c.Shortfall = over.over(s.area), short.over(s.area)
	sum := over.plus(short, 1)
	c.Deviation = units.Mass(sum[0] + sum[1] + sum[2]).Over(s.area)
	return c
}
