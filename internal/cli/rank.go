package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/internal/report"
	"dawnsmith/internal/store"
	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// terms are the flags that say which lamps are compared, and on what.
type terms struct {
	At        string   `placeholder:"DISTANCE" help:"All at this distance from the face, such as \"500 mm\"."`
	Use       bool     `name:"use-distance" help:"Each at its own use distance."`
	Lux       string   `name:"same-lux" placeholder:"LUX" help:"Each where it gives this, such as \"5000 lx\"; with --at, dimmed to it there."`
	Luminance string   `name:"same-luminance" placeholder:"CD/M2" help:"Each dimmed to this mean luminance of the face."`
	Per       string   `enum:"lamp,watt,price,area,mass" default:"lamp" help:"Share the number out (${enum})."`
	With      []string `placeholder:"MEASURE" help:"Show these beside it, on the same terms."`
	Lamp      []string `placeholder:"ID" help:"Only this lamp (may be repeated)."`
	narrow
	Predicted bool `help:"Let designs that nobody read stand with what is predicted."`
}

// rankVerb ranks lamps.
type rankVerb struct {
	Key string `arg:"" optional:"" name:"measure" help:"What to rank by: lux, luminance, watts, cct, ra …, or the key of any measure."`
	terms

	Save     string `placeholder:"NAME" help:"Keep this comparison under a name."`
	View     string `placeholder:"NAME" help:"Make a kept comparison again; \"?\" lists them."`
	Pictures string `placeholder:"FOLDER" help:"Draw ranking, scatter, spectra and rendition into this folder."`
}

// view reads the flags.
func (v terms) view(key string) (app.View, error) {
	out := app.View{Key: key, More: v.With, Lamps: v.Lamp, Text: v.Text, Origin: v.origin(), Where: v.Where, Predicted: v.Predicted}
	t := &out.Terms
	t.Per = map[string]compare.Per{"lamp": compare.PerLamp, "watt": compare.PerWatt, "price": compare.PerPrice, "area": compare.PerArea, "mass": compare.PerMass}[v.Per]
	t.Where = compare.AsRead
	for _, f := range []struct {
		flag, text string
		dim        quantity.Dimension
		to         *float64
		where      compare.Where
	}{{"--at", v.At, quantity.Length, &t.Distance, compare.SameDistance}, {"--same-lux", v.Lux, quantity.Illuminance, &t.Lux, compare.SameLux},
		{"--same-luminance", v.Luminance, quantity.Luminance, &t.Luminance, compare.SameLuminance}} {
		if f.text == "" {
			continue
		}
		x, err := quantity.Parse(f.text, f.dim)
		if err != nil {
			return out, fmt.Errorf("%s: %w", f.flag, err)
		}
		*f.to, t.Where = x, f.where
	}
	if v.Use {
		t.Where = compare.UseDistance
	}
	n := 0
	for _, on := range []bool{v.Use, v.Luminance != "", v.Lux != "" || v.At != ""} {
		if on {
			n++
		}
	}
	if n > 1 {
		return out, errors.New("lamps are compared on one set of terms: of --use-distance, --same-luminance, and --at or --same-lux give one")
	}
	return out, nil
}

func (v *rankVerb) Run(e *env) error {
	b, done, err := e.openBook(v.Save == "")
	if err != nil {
		return err
	}
	defer done()
	if v.View == "?" {
		return e.showViews(b)
	}
	w, err := v.view(v.Key)
	if err != nil {
		return input(err)
	}
	if v.View != "" {
		if v.Key != "" {
			return input(fmt.Errorf("--view %s says what to rank by; leave %q out", v.View, v.Key))
		}
		if w, err = e.keptView(b, v.View); err != nil {
			return err
		}
	}
	r, err := b.Rank(e.ctx, w)
	if err != nil {
		return rankError(err)
	}
	if v.Save != "" {
		if err := b.Book.PutKept(e.ctx, store.View, v.Save, v.Save, w); err != nil {
			return err
		}
	}
	if v.Pictures != "" {
		if err := drawRanked(v.Pictures, r); err != nil {
			return err
		}
	}
	if e.json {
		return e.writeJSON(rankedJSON(r))
	}
	e.showRanked(r)
	return nil
}

// keptView gives a comparison that was kept.
func (e *env) keptView(b *app.Bench, name string) (app.View, error) {
	var w app.View
	found, err := b.Book.Kept(e.ctx, store.View, name, &w)
	if err == nil && !found {
		err = input(fmt.Errorf("there is no view %q in the logbook; rank --view \"?\" lists them", name))
	}
	return w, err
}

// rankError marks what was asked wrongly.
func rankError(err error) error {
	var in *compare.InputError
	if errors.As(err, &in) || errors.Is(err, store.ErrNotFound) {
		return input(err)
	}
	var other *store.Damaged
	if errors.As(err, &other) || errors.Is(err, context.Canceled) {
		return err
	}
	return input(err)
}

type rankJSON struct {
	View    app.View         `json:"view"`
	Terms   string           `json:"terms"`
	Ranking compare.Ranking  `json:"ranking"`
	Table   []compare.Column `json:"table"`
	Left    []string         `json:"left_out,omitempty"`
}

func rankedJSON(r app.Ranked) rankJSON {
	return rankJSON{r.View, r.View.Terms.String(), r.Ranking, r.Table, r.Left}
}

func (e *env) showViews(b *app.Bench) error {
	ds, err := b.Book.AllKept(e.ctx, store.View)
	if err != nil {
		return err
	}
	if e.json {
		return e.writeJSON(ds)
	}
	if len(ds) == 0 {
		fmt.Fprintln(e.Out, "No comparison was kept; keep one with --save NAME.")
	}
	for _, d := range ds {
		fmt.Fprintf(e.Out, "%s, kept %s\n", d.Slug, d.Changed)
	}
	return nil
}

func (e *env) showRanked(r app.Ranked) {
	w := e.Out
	k := r.Ranking
	fmt.Fprintf(w, "%s, %s\n\n", capitalised(k.Metric.Name), k.Terms)
	if len(k.Rows)+len(k.Unranked) == 0 {
		fmt.Fprintln(w, "No lamp of the logbook is asked for. \"dawnsmith list\" shows what is there.")
		return
	}
	head := []any{"place", "lamp", heading(k.Metric.Name, k.Unit), "cannot be told from"}
	right := []int{3}
	for _, c := range r.Table[1:] {
		head = append(head, heading(c.Metric.Name, c.Unit))
		right = append(right, len(head))
	}
	t := newTable(w, head, right...)
	others := func(row table.Row, id string) table.Row {
		for _, c := range r.Table[1:] {
			i := slices.IndexFunc(c.Cells, func(x compare.Cell) bool { return x.ID == id })
			row = append(row, cellText(c.Cells[i]))
		}
		return row
	}
	for _, x := range k.Rows {
		place := fmt.Sprint(x.Place)
		if x.Low != x.High {
			place = fmt.Sprintf("%d (%d–%d)", x.Place, x.Low, x.High)
		}
		var ties []string
		for _, j := range x.Ties {
			ties = append(ties, k.Rows[j].Name)
		}
		t.AppendRow(others(table.Row{place, x.Name, cellText(x.Cell), strings.Join(ties, ", ")}, x.ID))
	}
	for _, x := range k.Unranked {
		t.AppendRow(others(table.Row{"–", x.Name, cellText(x), ""}, x.ID))
	}
	t.Render()
	fmt.Fprintf(w, "\n± is k = 2; in brackets the places that hold in 95 %% of draws. %s.\n", capitalised(k.Rule))
	if k.LogAxis {
		fmt.Fprintln(w, k.LogWhy)
	}
	for _, l := range r.Left {
		fmt.Fprintf(w, "Left out: %s\n", l)
	}
	for _, l := range r.Carried() {
		fmt.Fprintln(w, l)
	}
	var doubted []string
	for _, l := range r.Lamps {
		if len(l.Claim) > 0 {
			doubted = append(doubted, l.Lamp.Slug)
		}
	}
	if len(doubted) > 0 {
		fmt.Fprintf(w, "What is said of %s by its seller does not hold or is missing something: \"dawnsmith list %s\" tells.\n", strings.Join(doubted, ", "), doubted[0])
	}
	if len(k.Findings) > 0 {
		e.showFindings(k.Findings)
	}
}

func heading(name, unit string) string {
	if unit == "" {
		return name
	}
	return name + ", " + unit
}

func cellText(c compare.Cell) string {
	if c.Missing != "" {
		return compare.Missing + ": " + c.Missing
	}
	s := c.Value.String()
	if c.Bound != measure.Estimate {
		s = c.Bound.String() + " " + s
	}
	return s
}

func capitalised(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// drawRanked draws a comparison.
func drawRanked(folder string, r app.Ranked) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for _, s := range report.RankPictures(r) {
		var b bytes.Buffer
		if err := draw.SVG(&b, s.Scene, draw.SVGOptions{Ground: true}); err != nil {
			return err
		}
		if _, err := file.SaveBytes(filepath.Join(folder, s.Name+".svg"), b.Bytes(), file.Overwrite()); err != nil {
			return err
		}
	}
	return nil
}
