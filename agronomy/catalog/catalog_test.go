package catalog

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"evenfall/agronomy/catalog/printed"
	"evenfall/agronomy/source"
	"evenfall/agronomy/units"
	"evenfall/geo/fault"
)

func reference(file string) printed.Table {
	return printed.Table{Folder: os.DirFS("../../testdata/reference"), File: file}
}

func load(t testing.TB) *Catalog {
	t.Helper()
	c, err := Default()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// cropOf finds the catalog's crop for a name as the reference table prints it.
func cropOf(t *testing.T, c *Catalog, name string) Crop {
	t.Helper()
	for _, crop := range c.Crops() {
		if strings.EqualFold(crop.Name, name) {
			return crop
		}
	}
	t.Fatalf("no crop called %q", name)
	return Crop{}
}

// span is the smallest and largest number in a cell of the reference table,
// and whether the cell says that it is from memory.
func span(t *testing.T, row map[string]string, column string) (low, high float64, memory bool) {
	t.Helper()
	cell := row[column]
	memory = strings.Contains(cell, "(memory)") || row["kind"] == "memory"
	for _, drop := range []string{" never over 2", " mean of 9"} {
		cell = strings.Replace(cell, drop, "", 1)
	}
	for i, v := range printed.Numbers(t, cell) {
		if i == 0 || v < low {
			low = v
		}
		high = max(high, v)
	}
	return low, high, memory
}

func TestEveryReferenceCropIsThereWithItsMarks(t *testing.T) {
	c := load(t)
	columns := map[string]Name{"depth_in": Depth, "seeds_per_lb": SeedsPerMass, "lb_per_bu": BulkDensity, "min_soil_F": MinSoilTemp}
	for _, row := range printed.Rows(t, reference("crops.csv")) {
		crop := cropOf(t, c, row["crop"])
		if crop.Legume != (row["legume"] == "yes") {
			t.Errorf("%s: legume %v", crop.ID, crop.Legume)
		}
		for column, name := range columns {
			f, ok := crop.Figure(name)
			if !ok {
				if row[column] != "-" {
					t.Errorf("%s: %s is missing", crop.ID, name)
				}
				continue
			}
			low, high, memory := span(t, row, column)
			sameRange(t, crop.ID, f, low, high)
			if got := f.Mark.Kind == source.Memory; got != memory {
				t.Errorf("%s %s: mark %q, memory in the table %v", crop.ID, name, f.Mark, memory)
			}
		}
	}
}

func sameRange(t *testing.T, id string, f Figure, low, high float64) {
	t.Helper()
	m := f.measure()
	if !near(m.from(f.Low), low, 1e-12) || !near(m.from(f.High), high, 1e-12) {
		t.Errorf("%s %s: %s, the table prints %v to %v", id, f.Name, f, low, high)
	}
}

func near(a, b, rel float64) bool { return a-b <= rel*b && b-a <= rel*b }

// ratesIn reads a cell such as "drilled 64-96 PLS" or
// "32500-46000 plants/ac; 7-15 PLS" into the figures it prints.
var ratesIn = regexp.MustCompile(`(drilled|broadcast|alone|mixed)?\s*(PLS )?(\d[\d.]*)(?:-(\d[\d.]*))?\s*(seeds/ac|plants/ac|PLS)?`)

func TestEveryReferenceRateIsThereWithItsMarks(t *testing.T) {
	c := load(t)
	for _, row := range printed.Rows(t, reference("crops.csv")) {
		crop := cropOf(t, c, row["crop"])
		cell := strings.Replace(row["rate_printed"], " (1 bu)", "", 1)
		memory := strings.Contains(cell, "(memory)") || row["kind"] == "memory"
		found := ratesIn.FindAllStringSubmatch(cell, -1)
		if len(found) != len(crop.Rates()) {
			t.Fatalf("%s: %d rates, the table prints %q", crop.ID, len(crop.Rates()), cell)
		}
		for i, f := range ratesAsWritten(crop) {
			want := found[i]
			name, counts := Name(want[1]), strings.TrimSpace(want[2]+want[5])
			if name == "" {
				name = AnyRate
			}
			if want[4] == "" {
				want[4] = want[3]
			}
			unit := map[string]string{"": "lb/ac", "PLS": "lb PLS/ac"}[counts]
			if unit == "" {
				unit = counts
			}
			if f.Name != name || f.Written != unit || (f.Mark.Kind == source.Memory) != memory {
				t.Errorf("%s: got %s %s %q, the table prints %q", crop.ID, f.Name, f, f.Mark, cell)
			}
			low, _ := strconv.ParseFloat(want[3], 64)
			high, _ := strconv.ParseFloat(want[4], 64)
			sameRange(t, crop.ID, f, low, high)
		}
	}
}

// ratesAsWritten keeps the file's order, which is that of the table.
func ratesAsWritten(c Crop) []Figure {
	var out []Figure
	for _, f := range c.Figures {
		if isRate(f.Name) {
			out = append(out, f)
		}
	}
	return out
}

// A published figure of a crop must name one of the works that its row of the
// reference table names, or one of the bushel-weight and seed-count rows.
func TestPublishedCropFiguresNameAKnownWork(t *testing.T) {
	c := load(t)
	var shared string
	for _, row := range printed.Rows(t, reference("agronomy.csv")) {
		if row["id"] == "BUW" || row["id"] == "S1" || row["id"] == "S3" {
			shared += row["source"] + ";"
		}
	}
	last := ""
	for _, row := range printed.Rows(t, reference("crops.csv")) {
		if row["source"] != "same" {
			last = row["source"]
		}
		for _, f := range cropOf(t, c, row["crop"]).Figures {
			if f.Mark.Kind != source.Published {
				continue
			}
			first := regexp.MustCompile(`[;(,]`).Split(f.Mark.Cite, 2)[0]
			if !strings.Contains(last+";"+shared, strings.TrimSpace(first)) {
				t.Errorf("%s %s cites %q, the table %q", row["crop"], f.Name, f.Mark.Cite, last)
			}
		}
	}
}

// BUW prints lists of names, each list followed by its weight in lb/bu.
func TestBushelWeightsBUW(t *testing.T) {
	c := load(t)
	checked := 0
	for _, group := range strings.Split(printed.Row(t, reference("agronomy.csv"), "BUW")["inputs"], ";") {
		want := printed.Numbers(t, group)[0]
		for _, name := range strings.Split(strings.TrimRight(group, "0123456789 "), ",") {
			checked += weighs(t, c, strings.TrimSpace(name), want)
		}
	}
	if checked < 14 {
		t.Errorf("only %d crops were compared", checked)
	}
}

func weighs(t *testing.T, c *Catalog, list string, want float64) (compared int) {
	t.Helper()
	names := map[string][]string{"alfalfa and true clovers": {"alfalfa", "clover"}, "rapeseed": {"rape"}}[list]
	if names == nil {
		names = []string{list}
	}
	for _, crop := range c.Crops() {
		for _, name := range names {
			if !strings.Contains(" "+strings.ToLower(crop.Name)+" ", " "+name+" ") {
				continue
			}
			if f, ok := crop.Figure(BulkDensity); !ok || !near(f.measure().from(f.High), want, 1e-12) {
				t.Errorf("%s: %s, want %v lb/bu", crop.ID, f, want)
			}
			compared++
		}
	}
	return compared
}

func TestDryQuartDQT(t *testing.T) {
	printed.Check(t, reference("agronomy.csv"), "DQT", 1e-12, float64(units.DryQuart/units.CubicInch))
}

func TestEveryFigureShowsItsMark(t *testing.T) {
	c := load(t)
	n := 0
	check := func(id string, figures []Figure, m source.Mark) {
		if markProblem(m) != "" {
			t.Errorf("%s: %s", id, markProblem(m))
		}
		for _, f := range figures {
			n++
			if problem := f.problem(); problem != "" {
				t.Errorf("%s: %s %s", id, f.Name, problem)
			}
			if f.Mark.Kind == source.Memory && !strings.Contains(f.Footnote(), "unverified") {
				t.Errorf("%s: %q hides that it is from memory", id, f.Footnote())
			}
		}
	}
	for _, crop := range c.Crops() {
		check(crop.ID, crop.Figures, crop.Mark)
	}
	for _, p := range c.Products() {
		check(p.ID, p.Figures, p.Mark)
	}
	if n < 200 {
		t.Errorf("only %d figures", n)
	}
}

func TestGradesAreTheNames(t *testing.T) {
	for _, p := range load(t).Products() {
		if p.Class != Fertilizer {
			continue
		}
		g := p.Grade()
		name := strconv.FormatFloat(g.N*100, 'f', 0, 64) + "-" + strconv.FormatFloat(g.P2O5*100, 'f', 0, 64) + "-" + strconv.FormatFloat(g.K2O*100, 'f', 0, 64)
		if !strings.Contains(p.Name, name) {
			t.Errorf("%s holds %s", p.Name, name)
		}
		if (g.N > 0) != (p.Release != "") || (g.P2O5 > 0) != p.ContainsPhosphate {
			t.Errorf("%s: nitrogen %q, phosphate %v", p.Name, p.Release, p.ContainsPhosphate)
		}
	}
}

func TestJSONRoundTrip(t *testing.T) {
	c := load(t)
	for _, crop := range c.Crops() {
		text, err := json.Marshal(crop)
		if err != nil {
			t.Fatal(err)
		}
		var back Crop
		if err := json.Unmarshal(text, &back); err != nil || !reflect.DeepEqual(crop, back) {
			t.Fatalf("%s came back different (%v): %s", crop.ID, err, text)
		}
	}
	for _, p := range c.Products() {
		text, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		var back Product
		if err := json.Unmarshal(text, &back); err != nil || !reflect.DeepEqual(p, back) {
			t.Fatalf("%s came back different (%v): %s", p.ID, err, text)
		}
	}
}

func TestOverrideSaysWhatItReplaced(t *testing.T) {
	c := load(t)
	out, err := c.With(Own{Overrides: []Override{
		{ID: "oats", Figure: BulkDensity, Typical: 1.05, Unit: "lb/qt", Measured: true},
		{ID: "oats", Figure: Drilled, Low: 70, High: 80, Unit: "lb PLS/ac"},
		{ID: "44-0-0", Figure: Bag, Typical: 40, Unit: "lb"},
		{ID: "44-0-0", Figure: Bag, Typical: 20, Unit: "kg"},
	}})
	if err != nil {
		t.Fatal(err)
	}
	oats, _ := out.Crop("oats")
	rate, _ := oats.Figure(Drilled)
	if got, want := rate.Footnote(), "70 to 80 lb PLS/ac (as you entered it, instead of 64 to 96 lb PLS/ac (Illinois/NRCS forage sheet; NRCS Georgia))"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if d, _ := oats.Figure(BulkDensity); d.Mark.Kind != source.Measured || !strings.HasPrefix(d.Mark.Overrides, "32 lb/bu") {
		t.Errorf("weighed quart: %+v", d.Mark)
	}
	p, _ := out.Product("44-0-0")
	if bag, _ := p.Figure(Bag); p.BagMass() != 20 || bag.Mark.Overrides != "50 lb (common practice, no source)" {
		t.Errorf("bag %v, %q", p.BagMass(), bag.Mark.Overrides)
	}
	if got := out.Changed(); !reflect.DeepEqual(got, []string{"oats", "44-0-0"}) {
		t.Errorf("changed %v", got)
	}
	if before, _ := c.Crop("oats"); !reflect.DeepEqual(before, mustCrop(t, load(t), "oats")) || len(c.Changed()) != 0 {
		t.Error("the catalog itself was changed")
	}
}

func mustCrop(t *testing.T, c *Catalog, id string) Crop {
	t.Helper()
	crop, err := c.Crop(id)
	if err != nil {
		t.Fatal(err)
	}
	return crop
}

func TestOwnEntries(t *testing.T) {
	out, err := load(t).With(Own{
		Crops: []Crop{{ID: "own-teff", Name: "teff", Season: Warm, Figures: []Figure{
			{Name: Broadcast, Low: 8, High: 10, Unit: "lb/ac"}, {Name: SeedsPerMass, Low: 1.3e6, High: 1.3e6, Unit: "seeds/lb"}}}},
		Products: []Product{{ID: "own-8-20-20", Name: "8-20-20", Class: Fertilizer, Release: Plain, Price: 21.5, Figures: []Figure{
			{Name: Nitrogen, Low: 8, High: 8, Unit: "%"}, {Name: Phosphate, Low: 20, High: 20, Unit: "%"}, {Name: Potash, Low: 20, High: 20, Unit: "%"}}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	teff := mustCrop(t, out, "own-teff")
	if f, _ := teff.Figure(Broadcast); f.Of != OfProduct || f.Mark.Kind != source.Stated || !near(f.Typical(), float64(9*units.PoundPerAcre), 1e-12) {
		t.Errorf("%+v", f)
	}
	text, _ := json.Marshal(teff)
	var stored Crop
	if err := json.Unmarshal(text, &stored); err != nil {
		t.Fatal(err)
	}
	again, err := load(t).With(Own{Crops: []Crop{stored}})
	if err != nil || !reflect.DeepEqual(mustCrop(t, again, "own-teff"), teff) {
		t.Errorf("a stored crop comes back different: %v", err)
	}
	if found := out.Search("8-20"); len(found.Products) != 1 || found.Products[0].Grade() != (Grade{0.08, 0.2, 0.2}) {
		t.Errorf("%+v", found)
	}
}

func TestWithRefuses(t *testing.T) {
	figure := func(f Figure) Own { return Own{Crops: []Crop{{ID: "x", Name: "x", Figures: []Figure{f}}}} }
	tests := []struct {
		name string
		own  Own
		code string
	}{
		{"an id in use", Own{Crops: []Crop{{ID: "oats", Name: "my oats"}}}, "duplicate"},
		{"no name", Own{Crops: []Crop{{ID: "x"}}}, "entry"},
		{"an unknown entry", Own{Overrides: []Override{{ID: "x", Figure: Bag, Typical: 1, Unit: "lb"}}}, "not_in_catalog"},
		{"an unknown unit", figure(Figure{Name: Bag, Low: 1, High: 1, Unit: "stone"}), "unit"},
		{"the wrong unit", figure(Figure{Name: Bag, Low: 1, High: 1, Unit: "in"}), "figure"},
		{"an unknown figure", figure(Figure{Name: "taste", Low: 1, High: 1, Unit: "lb"}), "figure"},
		{"low above high", figure(Figure{Name: Bag, Low: 2, High: 1, Unit: "lb"}), "figure"},
		{"typical outside", figure(Figure{Name: Bag, Low: 2, Middle: 9, High: 4, Unit: "lb"}), "figure"},
		{"not a number", figure(Figure{Name: Bag, Low: nan(), High: nan(), Unit: "lb"}), "figure"},
		{"implausible", figure(Figure{Name: Broadcast, Low: 9000, High: 9000, Unit: "lb/ac"}), "figure"},
		{"false citation", figure(Figure{Name: Bag, Low: 1, High: 1, Unit: "lb", Mark: source.Mark{Kind: source.Published}}), "figure"},
		{"season", Own{Crops: []Crop{{ID: "x", Name: "x", Season: "dry"}}}, "season"},
		{"inoculant without legume", Own{Crops: []Crop{{ID: "x", Name: "x", Inoculant: "cowpea"}}}, "inoculant"},
		{"class", Own{Products: []Product{{ID: "x", Name: "x"}}}, "class"},
		{"price", Own{Products: []Product{{ID: "x", Name: "x", Class: Lime, Price: -1}}}, "price"},
		{"nitrogen", Own{Products: []Product{{ID: "x", Name: "x", Class: Lime, Release: "fast"}}}, "nitrogen"},
		{"grade", Own{Products: []Product{{ID: "x", Name: "x", Class: Fertilizer, Figures: []Figure{
			{Name: Nitrogen, Low: 60, High: 60, Unit: "%"}, {Name: Potash, Low: 60, High: 60, Unit: "%"}}}}}, "grade"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := load(t).With(tt.own)
			if f, ok := fault.From(err); !ok || f.Code != tt.code {
				t.Errorf("got %v, want a fault %s", err, tt.code)
			}
		})
	}
}

func nan() float64 { v, _ := strconv.ParseFloat("NaN", 64); return v }

const (
	entriesHead  = "id,name,class,legume,inoculant,season,coated,nitrogen,urea,ammonium,phosphate,kind,source\n"
	figuresHead  = "id,figure,low,typical,high,unit,kind,source\n"
	cautionsHead = "id,says,kind,source\n"
	namesHead    = "id,name,kind,source\n"
	oneEntry     = "x,x,seed,no,,cool,no,,no,no,no,memory,\n"
)

func TestReadFaultsSayTheLine(t *testing.T) {
	tests := []struct {
		name, entries, figures, cautions, code string
		line                                   int
	}{
		{"empty", "", "", "", "csv", 0},
		{"a column missing", "id\n", "", "", "column", 0},
		{"ragged", entriesHead + "x,x\n", "", "", "csv", 2},
		{"no mark", entriesHead + "x,x,seed,no,,cool,no,,no,no,no,,\n", "", "", "mark", 2},
		{"no such entry", entriesHead + oneEntry, figuresHead + "y,bag,1,,1,lb,memory,\n", "", "id", 2},
		{"not a number", entriesHead + oneEntry, figuresHead + "x,bag,1,,1,lb,memory,\nx,depth,a,,1,in,memory,\n", "", "number", 3},
		{"no unit", entriesHead + oneEntry, figuresHead + "x,bag,1,,1,,memory,\n", "", "unit", 2},
		{"figure twice", entriesHead + oneEntry, figuresHead + "x,bag,1,,1,lb,memory,\nx,bag,1,,1,lb,memory,\n", cautionsHead, "duplicate", 0},
		{"no source", entriesHead + oneEntry, figuresHead + "x,bag,1,,1,lb,published,\n", cautionsHead, "mark", 2},
		{"caution of nothing", entriesHead + oneEntry, figuresHead, cautionsHead + "y,mind,practice,\n", "id", 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Read(strings.NewReader(tt.entries), strings.NewReader(tt.figures), strings.NewReader(tt.cautions), strings.NewReader(namesHead))
			f, ok := fault.From(err)
			if !ok || f.Code != tt.code || f.Where.Line != tt.line {
				t.Errorf("got %v, want a fault %s in line %d", err, tt.code, tt.line)
			}
		})
	}
}

func TestReadFaultsOfNames(t *testing.T) {
	for _, tt := range []struct {
		name, row, code string
	}{
		{"of nothing", "y,rye,memory,\n", "id"},
		{"empty", "x,,memory,\n", "name"},
		{"no mark", "x,rye,,\n", "mark"},
	} {
		_, err := Read(strings.NewReader(entriesHead+oneEntry), strings.NewReader(figuresHead), strings.NewReader(cautionsHead), strings.NewReader(namesHead+tt.row))
		if f, ok := fault.From(err); !ok || f.Code != tt.code || f.Where.Line != 2 {
			t.Errorf("%s: got %v", tt.name, err)
		}
	}
}

func TestEntriesAreFoundByTheNamesOfTheTrade(t *testing.T) {
	c := load(t)
	for text, id := range map[string]string{
		"winter rye": "cereal-rye", "ladino": "white-ladino-clover", "Austrian winter pea": "austrian-winter-pea", "field pea": "austrian-winter-pea",
		"MILO": "grain-sorghum", "canola": "forage-rape-kale", "rape": "forage-rape-kale", "Egyptian clover": "berseem-clover", "lucerne": "alfalfa",
		"DAP": "18-46-0", "muriate": "0-0-60", "triple 19": "19-19-19", "pell lime": "pelletized-lime",
	} {
		found := c.Search(text)
		var ids []string
		for _, crop := range found.Crops {
			ids = append(ids, crop.ID)
		}
		for _, p := range found.Products {
			ids = append(ids, p.ID)
		}
		if !slices.Contains(ids, id) || len(ids) > 3 {
			t.Errorf("%q finds %v, not %s", text, ids, id)
		}
	}
}

// A name that an entry has already, or twice, is a slip.
func TestOtherNamesAreOthers(t *testing.T) {
	c := load(t)
	check := func(id, name string, also []Note) {
		seen := []string{strings.ToLower(name)}
		for _, n := range also {
			if other := strings.ToLower(n.Says); slices.Contains(seen, other) {
				t.Errorf("%s is called %q twice", id, n.Says)
			} else {
				seen = append(seen, other)
			}
		}
	}
	for _, crop := range c.Crops() {
		check(crop.ID, crop.Name, crop.Also)
	}
	for _, p := range c.Products() {
		check(p.ID, p.Name, p.Also)
	}
}

func TestReturnedEntriesAreCopies(t *testing.T) {
	c := load(t)
	oats := mustCrop(t, c, "oats")
	oats.Figures[0].Low = 99
	c.Crops()[0].Figures[0].Low = 99
	if again := mustCrop(t, c, "oats"); again.Figures[0].Low == 99 || c.Crops()[0].Figures[0].Low == 99 {
		t.Error("a caller can change the catalog")
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(entriesHead+oneEntry), []byte(figuresHead+"x,bag,1,,1,lb,memory,\n"), []byte(cautionsHead+"x,mind,practice,\n"), []byte(namesHead+"x,y,memory,\n"))
	f.Add([]byte(entriesHead+"\"x"), []byte(figuresHead), []byte(cautionsHead), []byte(namesHead))
	f.Fuzz(func(t *testing.T, entries, figures, cautions, names []byte) {
		c, err := Read(bytes.NewReader(entries), bytes.NewReader(figures), bytes.NewReader(cautions), bytes.NewReader(names))
		if err != nil {
			if _, ok := fault.From(err); !ok {
				t.Fatalf("%v is no fault", err)
			}
			return
		}
		for _, crop := range c.Crops() {
			for _, figure := range crop.Figures {
				if figure.problem() != "" || figure.String() == "" {
					t.Fatalf("%+v was let in: %s", figure, figure.problem())
				}
			}
		}
	})
}

func BenchmarkSearch(b *testing.B) {
	c := load(b)
	for b.Loop() {
		c.Search("clover")
	}
}

func BenchmarkReadDefault(b *testing.B) {
	for b.Loop() {
		if _, err := readDefault(); err != nil {
			b.Fatal(err)
		}
	}
}
