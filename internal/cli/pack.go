package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/paper/buildpack"
	"dawnsmith/paper/draw"
)

// packVerb makes the build pack of a lamp.
type packVerb struct {
	Lamp   string `arg:"" help:"The lamp (*.lamp.toml)."`
	Folder string `arg:"" optional:"" help:"Where to put the pack; left out: a folder beside the lamp, named after it."`
	Brief  string `short:"b" placeholder:"FILE" help:"Hold the lamp against this brief on page 1."`
	Paper  string `default:"A4" help:"A4 or Letter."`
	Serial string `help:"The name of the unit to be built, printed on its label."`
	Others bool   `name:"for-others" help:"A pack for somebody else: no stop may be overridden."`
	Guide  bool   `help:"A guide for strangers: no stock, no serial, with a table of variants and room for notes on the parts."`
	Date   string `placeholder:"YYYY-MM-DD" help:"The date printed; left out: today."`
}

func (v *packVerb) Run(e *env) error {
	size, err := paperSize(v.Paper)
	if err != nil {
		return input(err)
	}
	date := time.Now()
	if v.Date != "" {
		if date, err = time.Parse("2006-01-02", v.Date); err != nil {
			return input(fmt.Errorf("--date is %q; write year, month and day, such as 2026-12-01", v.Date))
		}
	}
	s, b, a, err := e.lampAndBrief(v.Lamp, v.Brief)
	if err != nil {
		return err
	}
	if v.Guide {
		a.Stock = nil
	}
	ans, err := a.Predict(s, b, true)
	if err != nil {
		return input(fmt.Errorf("%s: %w", v.Lamp, err))
	}
	o := app.PackOptions{Date: date, Size: size, ForOthers: v.Others, Serial: v.Serial}
	if v.Guide {
		if o.Guide, err = a.Guide(e.ctx, s); err != nil {
			return input(err)
		}
	}
	if v.Folder == "" {
		base := strings.TrimSuffix(strings.TrimSuffix(filepath.Base(v.Lamp), ".toml"), ".lamp")
		v.Folder = filepath.Join(filepath.Dir(v.Lamp), base+map[bool]string{false: "-pack", true: "-guide"}[v.Guide])
	}
	files, err := savePack(v.Folder, &ans, o)
	if err != nil {
		return err
	}
	if e.json {
		return e.writeJSON(map[string]any{"folder": v.Folder, "files": files})
	}
	fmt.Fprintf(e.Out, "%s\n\nWritten to %s:\n", ans.Sentence(), v.Folder)
	drawn := 0
	for _, f := range files {
		if strings.HasPrefix(f, "drawings/") {
			drawn++
			continue
		}
		fmt.Fprintf(e.Out, "  %s\n", f)
	}
	fmt.Fprintf(e.Out, "  drawings/: %d drawings, each as SVG, PDF, PNG and DXF\n", drawn/4)
	fmt.Fprintln(e.Out, "\nPrint pack.pdf without scaling: the check ruler on its template page must measure 100.0 mm.")
	if ans.Fit != nil {
		fmt.Fprintln(e.Out, "stock.after.toml is what you will have left: give it as --stock for the next lamp.")
	}
	e.showCautions()
	return nil
}

func paperSize(s string) (draw.PageSize, error) {
	switch strings.ToLower(s) {
	case "a4":
		return draw.A4, nil
	case "letter":
		return draw.Letter, nil
	}
	return draw.A4, fmt.Errorf("--paper is %q; allowed is A4 or Letter", s)
}

// savePack writes every file of the pack and returns their names.
func savePack(dir string, ans *app.Answer, o app.PackOptions) ([]string, error) {
	var doc bytes.Buffer
	if err := file.WriteLamp(&doc, app.Standalone(ans.Lamp), "The lamp of this pack, with its parts."); err != nil {
		return nil, err
	}
	o.Files = append(o.Files, draw.Attachment{Name: "lamp.toml", Text: "the lamp of this pack, with its parts", Data: doc.Bytes()})
	p, err := ans.Pack(o)
	var refused *buildpack.Refused
	if errors.As(err, &refused) {
		return nil, input(err)
	}
	if err != nil {
		return nil, err
	}
	if err := mkdir(dir); err != nil {
		return nil, err
	}
	var names []string
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{{"pack.pdf", p.PDF}, {"pack.html", p.HTML}, {"shopping.csv", p.ShoppingCSV}, {"cuts.csv", p.CutCSV}, {"wires.csv", p.WireCSV}, {"readings.csv", p.ReadingsCSV}} {
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			return nil, fmt.Errorf("%s: %w", f.name, err)
		}
		if _, err := file.SaveBytes(filepath.Join(dir, f.name), b.Bytes(), file.Overwrite()); err != nil {
			return nil, err
		}
		names = append(names, f.name)
	}
	if _, err := file.SaveBytes(filepath.Join(dir, "lamp.toml"), doc.Bytes(), file.Overwrite()); err != nil {
		return nil, err
	}
	names = append(names, "lamp.toml")
	if ans.Fit != nil {
		head := "What is on hand when everything on the shopping list was bought and the lamp\nis built. Measure the leftovers before you trust it."
		if _, err := file.SaveStock(filepath.Join(dir, "stock.after.toml"), ans.Fit.After, head, file.Overwrite()); err != nil {
			return nil, err
		}
		names = append(names, "stock.after.toml")
	}
	drawn, err := saveDrawings(filepath.Join(dir, "drawings"), p)
	if err != nil {
		return nil, err
	}
	for _, n := range drawn {
		names = append(names, "drawings/"+n)
	}
	return names, nil
}

// saveDrawings writes every drawing as SVG, PDF, PNG and DXF.
func saveDrawings(dir string, p *buildpack.Pack) ([]string, error) {
	if err := mkdir(dir); err != nil {
		return nil, err
	}
	var names []string
	for _, d := range p.Drawings() {
		for _, f := range []struct {
			ext   string
			write func(io.Writer) error
		}{
			{"svg", func(w io.Writer) error {
				return draw.SVG(w, d.Scene, draw.SVGOptions{Palette: draw.Print(), Ground: true})
			}},
			{"pdf", func(w io.Writer) error {
				pages, err := p.DrawingPages(d)
				if err != nil {
					return err
				}
				return draw.PDF(w, pages, draw.PDFOptions{Title: d.Title, Author: "Dawnsmith", Date: p.Date()})
			}},
			{"png", func(w io.Writer) error { return draw.PNG(w, d.Scene, draw.PNGOptions{Palette: draw.Print()}) }},
			{"dxf", func(w io.Writer) error { return draw.DXF(w, d.Scene) }},
		} {
			var b bytes.Buffer
			name := d.File + "." + f.ext
			if err := f.write(&b); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			if _, err := file.SaveBytes(filepath.Join(dir, name), b.Bytes(), file.Overwrite()); err != nil {
				return nil, err
			}
			names = append(names, name)
		}
	}
	return names, nil
}
