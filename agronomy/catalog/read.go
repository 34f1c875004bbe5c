package catalog

import (
	"embed"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"sync"

	"evenfall/agronomy/source"
	"evenfall/geo/fault"
)

//go:embed data/*.csv
var files embed.FS

// Default is the catalog that comes with the program.
var Default = sync.OnceValues(readDefault)

func readDefault() (*Catalog, error) {
	var open [4]io.Reader
	for i, name := range []string{"entries", "figures", "cautions", "names"} {
		f, err := files.Open("data/" + name + ".csv")
		if err != nil {
			return nil, err
		}
		defer f.Close()
		open[i] = f
	}
	return Read(open[0], open[1], open[2], open[3])
}

// maxRows bounds a file; the program's own has a few hundred rows.
const maxRows = 5000

// Read reads a catalog from its four CSV files: entries (one row per crop or
// product), figures (one figure per row), cautions (one sentence per row) and
// names (one other name per row). The first row of each names the columns, in
// any order. Faults give the line.
func Read(entries, figures, cautions, names io.Reader) (*Catalog, error) {
	c := &Catalog{}
	steps := []struct {
		from    io.Reader
		file    string
		columns string
		add     func(row) error
	}{
		{entries, "entries", "id,name,class,legume,inoculant,season,coated,nitrogen,urea,ammonium,phosphate,kind,source", c.addEntry},
		{figures, "figures", "id,figure,low,typical,high,unit,kind,source", c.addFigure},
		{cautions, "cautions", "id,says,kind,source", c.addCaution},
		{names, "names", "id,name,kind,source", c.addName},
	}
	for _, s := range steps {
		if err := eachRow(s.from, s.file, strings.Split(s.columns, ","), s.add); err != nil {
			return nil, err
		}
	}
	return c, c.check()
}

// row is one line of a file by column name.
type row struct {
	file  string
	line  int
	cells map[string]string
}

func (r row) fault(code, what, remedy, field string) error {
	return fault.New(code, r.file+": "+what, remedy).At(fault.Place{Line: r.line, Field: field})
}

func eachRow(from io.Reader, file string, columns []string, add func(row) error) error {
	in := csv.NewReader(from)
	header, err := in.Read()
	if err != nil {
		return unread(file, err)
	}
	for _, name := range columns {
		if !slices.Contains(header, name) {
			return fault.New("column", file+": the column "+name+" is missing", "add it to the first row").Of(fault.Unread)
		}
	}
	for n := 0; ; n++ {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return unread(file, err)
		}
		if n >= maxRows {
			return fault.New("rows", file+": more than "+strconv.Itoa(maxRows)+" rows", "split the file").Of(fault.TooLarge)
		}
		if err := add(newRow(in, file, header, cells)); err != nil {
			return err
		}
	}
}

func newRow(in *csv.Reader, file string, header, cells []string) row {
	line, _ := in.FieldPos(0)
	r := row{file: file, line: line, cells: make(map[string]string, len(cells))}
	for i, name := range header {
		r.cells[name] = strings.TrimSpace(cells[i])
	}
	return r
}

func unread(file string, err error) error {
	f := fault.New("csv", file+": "+err.Error(), "save the sheet again as comma-separated values in UTF-8").Of(fault.Unread)
	if parse, ok := errors.AsType[*csv.ParseError](err); ok {
		f = f.At(fault.Place{Line: parse.Line})
	}
	return f
}

func (c *Catalog) addEntry(r row) error {
	mark, err := r.mark()
	if err != nil {
		return err
	}
	id, name := r.cells["id"], r.cells["name"]
	if Class(r.cells["class"]) == Seed {
		c.crops = append(c.crops, Crop{
			ID: id, Name: name, Inoculant: r.cells["inoculant"], Season: Season(r.cells["season"]),
			Legume: r.yes("legume"), Coated: r.yes("coated"), Mark: mark,
		})
		return nil
	}
	c.products = append(c.products, Product{
		ID: id, Name: name, Class: Class(r.cells["class"]), Release: Release(r.cells["nitrogen"]),
		Urea: r.yes("urea"), Ammonium: r.yes("ammonium"), ContainsPhosphate: r.yes("phosphate"), Mark: mark,
	})
	return nil
}

func (c *Catalog) addFigure(r row) error {
	mark, err := r.mark()
	if err != nil {
		return err
	}
	f := Figure{Name: Name(r.cells["figure"]), Unit: r.cells["unit"], Mark: mark}
	for i, into := range []*float64{&f.Low, &f.Middle, &f.High} {
		if *into, err = r.number([]string{"low", "typical", "high"}[i]); err != nil {
			return err
		}
	}
	f, err = f.inSI()
	if err != nil {
		return r.fault("unit", err.Error(), "", "unit")
	}
	figures := c.figuresOf(r.cells["id"])
	if figures == nil {
		return r.stray()
	}
	*figures = append(*figures, f)
	return nil
}

func (c *Catalog) addCaution(r row) error {
	return c.addNote(r, "says",
		func(crop *Crop) *[]Note { return &crop.Cautions },
		func(p *Product) *[]Note { return &p.Cautions })
}

// addName adds a name of the trade by which an entry is found too.
func (c *Catalog) addName(r row) error {
	if r.cells["name"] == "" {
		return r.fault("name", "the name is empty", "write it, or drop the row", "name")
	}
	return c.addNote(r, "name",
		func(crop *Crop) *[]Note { return &crop.Also },
		func(p *Product) *[]Note { return &p.Also })
}

// addNote adds the words of a column to the list that is picked of the crop or
// product that the row names.
func (c *Catalog) addNote(r row, column string, ofCrop func(*Crop) *[]Note, ofProduct func(*Product) *[]Note) error {
	mark, err := r.mark()
	if err != nil {
		return err
	}
	var notes *[]Note
	if i := c.cropIndex(r.cells["id"]); i >= 0 {
		notes = ofCrop(&c.crops[i])
	} else if i := c.productIndex(r.cells["id"]); i >= 0 {
		notes = ofProduct(&c.products[i])
	} else {
		return r.stray()
	}
	*notes = append(*notes, Note{Says: r.cells[column], Mark: mark})
	return nil
}

// stray is the fault of a row that belongs to no entry.
func (r row) stray() error {
	return r.fault("id", "no entry has the id "+strconv.Quote(r.cells["id"]), "add it to entries", "id")
}

func (c *Catalog) figuresOf(id string) *[]Figure {
	if i := c.cropIndex(id); i >= 0 {
		return &c.crops[i].Figures
	}
	if i := c.productIndex(id); i >= 0 {
		return &c.products[i].Figures
	}
	return nil
}

func (r row) yes(column string) bool { return r.cells[column] == "yes" }

// number reads a cell; an empty typical value means that none is printed.
func (r row) number(column string) (float64, error) {
	if r.cells[column] == "" && column == "typical" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(r.cells[column], 64)
	if err != nil {
		return 0, r.fault("number", strconv.Quote(shortened(r.cells[column]))+" is not a number", "write it with digits and a point", column)
	}
	return v, nil
}

func (r row) mark() (source.Mark, error) {
	m := source.Mark{Kind: source.Kind(r.cells["kind"]), Cite: r.cells["source"]}
	if problem := markProblem(m); problem != "" {
		return m, r.fault("mark", problem, "kind is published (with a source), practice, memory or definition", "kind")
	}
	return m, nil
}

// shortened keeps a runaway cell from filling a message.
func shortened(cell string) string {
	const most = 40
	if len(cell) <= most {
		return cell
	}
	return strings.ToValidUTF8(cell[:most], "") + "..."
}
