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
	ans, err := a.Predict(s, b, true)
	if err != nil {
		return input(fmt.Errorf("%s: %w", v.Lamp, err))
	}
	if v.Folder == "" {
		base := strings.TrimSuffix(strings.TrimSuffix(filepath.Base(v.Lamp), ".toml"), ".lamp")
		v.Folder = filepath.Join(filepath.Dir(v.Lamp), base+"-pack")
	}
	files, err := savePack(v.Folder, &ans, app.PackOptions{Date: date, Size: size, ForOthers: v.Others, Serial: v.Serial})
	if err != nil {
		return err
	}
	if e.json {
		return e.writeJSON(map[string]any{"folder": v.Folder, "files": files})
	}
	fmt.Fprintf(e.Out, "%s\n\nWritten to %s:\n", ans.Sentence(), v.Folder)
	for _, f := range files {
		fmt.Fprintf(e.Out, "  %s\n", f)
	}
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
	}{{"pack.pdf", p.PDF}, {"pack.html", p.HTML}, {"shopping.csv", p.ShoppingCSV}, {"cuts.csv", p.CutCSV}, {"wires.csv", p.WireCSV}} {
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			return nil, fmt.Errorf("%s: %w", f.name, err)
		}
		if _, err := file.SaveBytes(filepath.Join(dir, f.name), b.Bytes(), file.Overwrite()); err != nil {
			return nil, err
		}
		names = append(names, f.name)
	}
	if _, err := file.SaveLamp(filepath.Join(dir, "lamp.toml"), app.Standalone(ans.Lamp), "The lamp of this pack, with its parts.", file.Overwrite()); err != nil {
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
	return names, nil
}
