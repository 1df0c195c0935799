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

// narrow are the flags that choose lamps.
type narrow struct {
	Where  []string `sep:"none" placeholder:"CONDITION" help:"Only lamps that were measured so, such as \"luminance < 12000\" (may be repeated)."`
	Text   string   `placeholder:"TEXT" help:"Only lamps with this in their name, id or maker."`
	Origin string   `enum:"own,bought,lent,check,any" default:"any" help:"Only lamps that are own, bought, lent or check lamps (${enum})."`
}

func (n narrow) origin() string {
	if n.Origin == "any" {
		return ""
	}
	return n.Origin
}

// listVerb lists lamps.
type listVerb struct {
	Lamp string `arg:"" optional:"" help:"Show all that is known of this lamp."`
	narrow
	With       []string `placeholder:"MEASURE" help:"The measures to show; left out: lux, luminance, cct, ra, watts."`
	Sort       string   `placeholder:"MEASURE" default:"id" help:"Sort by id, name, newest, or a measure."`
	Descending bool     `help:"The other way round."`
	Archived   bool     `help:"Those that were put away instead."`
	All        bool     `help:"Of one lamp, every measure, hue bin by hue bin, and what was left aside."`
}

func (v *listVerb) Run(e *env) error {
	b, done, err := e.openBook(true)
	if err != nil {
		return err
	}
	defer done()
	if v.Lamp != "" {
		return e.showKept(b, v.Lamp, v.All)
	}
	f := store.LampFilter{Text: v.Text, Origin: store.Origin(v.origin()), Archived: v.Archived, Sort: v.Sort, Descending: v.Descending}
	switch v.Sort {
	case "id":
		f.Sort = "slug"
	case "name", "newest":
	default:
		if f.Sort, err = app.MeasureKey(v.Sort); err != nil {
			return input(fmt.Errorf("--sort: %w", err))
		}
	}
	if len(v.With) == 0 {
		v.With = []string{"lux", "luminance", "cct", "ra", "watts"}
	}
	for _, w := range v.With {
		k, err := app.MeasureKey(w)
		if err != nil {
			return input(fmt.Errorf("--with: %w", err))
		}
		f.Keys = append(f.Keys, k)
	}
	for _, c := range v.Where {
		l, err := app.Condition(c)
		if err != nil {
			return input(fmt.Errorf("--where: %w", err))
		}
		f.Limits = append(f.Limits, l)
	}
	rows, err := b.Book.Lamps(e.ctx, f)
	if err != nil {
		return bookError(err)
	}
	if e.json {
		if rows == nil {
			rows = []store.LampRow{}
		}
		return e.writeJSON(rows)
	}
	if len(rows) == 0 {
		fmt.Fprintln(e.Out, "No lamp in the logbook is so. Put one in with \"dawnsmith add\", or ask for less.")
		return nil
	}
	head := []any{"id", "lamp", "whose", "runs"}
	var right []int
	for i, k := range f.Keys {
		m, _ := measure.Declared(k)
		head, right = append(head, heading(m.Name, m.Unit)), append(right, 5+i)
	}
	t := newTable(e.Out, head, append([]int{4}, right...)...)
	for _, r := range rows {
		row := table.Row{r.Slug, r.Name, string(r.Origin), r.Runs}
		for _, k := range f.Keys {
			cell := "–"
			if n, ok := r.Measured[k]; ok {
				cell = storedNumber(n)
			} else if n, ok := r.Predicted[k]; ok {
				cell = "predicted " + storedNumber(n)
			}
			row = append(row, cell)
		}
		t.AppendRow(row)
	}
	t.Render()
	fmt.Fprintf(e.Out, "\n± is k = 2; numbers are those of the newest run. Lux at different distances are different numbers: \"dawnsmith rank lux --at '500 mm'\" puts lamps on equal terms.\n")
	return nil
}

// storedNumber shows a number of a list.
func storedNumber(n store.Number) string {
	s := quantity.FormatUncertain(n.Value, 2*n.U)
	if n.Bound != "" && n.Bound != "estimate" {
		s = n.Bound + " " + s
	}
	if n.Distance > 0 {
		s += fmt.Sprintf(" at %.0f mm", 1e3*n.Distance)
	}
	return s
}

// keptJSON is a lamp of the logbook as JSON.
type keptJSON struct {
	Lamp   store.Lamp      `json:"lamp"`
	Facts  app.Facts       `json:"facts"`
	Runs   []store.KeptRun `json:"runs"`
	Record *measure.Record `json:"record,omitempty"`
	Aside  []string        `json:"aside,omitempty"`
	States []compare.Item  `json:"states"`
	Claim  any             `json:"claim_findings,omitempty"`
	Notes  []store.Note    `json:"notes,omitempty"`
}

// showKept prints all that is known of a lamp; every with each measure.
func (e *env) showKept(b *app.Bench, slug string, every bool) error {
	k, err := b.Known(e.ctx, slug, false)
	if err != nil {
		return bookError(err)
	}
	runs, err := b.Book.Runs(e.ctx, store.RunFilter{Lamp: slug, Withdrawn: true})
	if err != nil {
		return err
	}
	notes, err := b.Book.Notes(e.ctx, store.About{Kind: "lamp", Ref: slug})
	if err != nil {
		return err
	}
	if e.json {
		return e.writeJSON(keptJSON{k.Lamp, k.Facts, runs, k.Record, k.Aside, k.Entry.States(), k.Claim, notes})
	}
	w := e.Out
	fmt.Fprintf(w, "%s\n%s\n\n", k.Lamp.Name, strings.Repeat("=", len([]rune(k.Lamp.Name))))
	fmt.Fprintf(w, "id %s, %s", k.Lamp.Slug, k.Lamp.Origin)
	if k.Lamp.Maker != "" {
		fmt.Fprintf(w, ", maker %s", k.Lamp.Maker)
	}
	if k.Lamp.Price != "" {
		fmt.Fprintf(w, ", %s", k.Lamp.Price)
	}
	fmt.Fprint(w, "\n\n")
	if k.Record == nil {
		fmt.Fprintln(w, "Nothing was read of it yet.")
	} else {
		t := newTable(w, []any{"", "value", "unit", "how"}, 2)
		hidden := 0
		for _, m := range k.Record.Values {
			d, _ := measure.Declared(m.Key)
			if !every && app.OneOfMany(m.Key) {
				hidden++
				continue
			}
			val := m.Value.String()
			if m.Bound != measure.Estimate {
				val = m.Bound.String() + " " + val
			}
			how := m.How
			if m.Distance > 0 {
				how = fmt.Sprintf("at %.0f mm; %s", 1e3*m.Distance, how)
			}
			t.AppendRow(table.Row{d.Name, val, d.Unit, how})
		}
		t.Render()
		fmt.Fprintln(w, "\n± is k = 2.")
		if hidden > 0 || len(k.Aside) > 0 && !every {
			fmt.Fprintf(w, "--all shows %d more measures, and %d numbers of other runs that were left aside as less sure.\n", hidden, len(k.Aside))
		}
		if bd := k.Record.Budget; bd != nil {
			e.showBudget(bd)
		}
		for _, a := range k.Aside {
			if !every {
				break
			}
			fmt.Fprintf(w, "Left aside: %s\n", a)
		}
	}
	fmt.Fprintln(w, "\nRuns:")
	t := newTable(w, []any{"run", "what", "read on", "files", ""}, 4)
	for _, r := range runs {
		note := r.Note
		if r.Withdrawn != "" {
			note = "does not count: " + r.Withdrawn
		}
		t.AppendRow(table.Row{r.Name, string(r.Kind), r.Taken, r.RawFiles, note})
	}
	t.Render()
	if k.Record != nil {
		fmt.Fprintln(w, "\nWhat a fair comparison states:")
		t := newTable(w, nil)
		for _, i := range k.Entry.States() {
			t.AppendRow(table.Row{"  " + i.What, i.Given})
		}
		t.Render()
		e.showFindings(k.Record.Findings)
	}
	if len(k.Claim) > 0 {
		fmt.Fprintln(w, "\nWhat its seller says:")
		for _, f := range k.Claim {
			fmt.Fprintf(w, "  %-4s  %s  [%s]\n        mend:  %s\n", f.Severity, f.What, f.Key, f.Mend)
		}
	}
	for _, n := range notes {
		fmt.Fprintf(w, "\nNote of %s: %s\n", n.At, n.Text)
	}
	return nil
}

// showBudget prints where the uncertainty of the main number comes from.
func (e *env) showBudget(b *measure.Budget) {
	fmt.Fprintf(e.Out, "\nUncertainty of %s, the main number:\n", quantity.Digits(b.X, 4))
	t := newTable(e.Out, []any{"from", "standard", "share"}, 2, 3)
	for _, l := range b.Table() {
		what := l.Source
		if l.What != "" {
			what += " (" + l.What + ")"
		}
		t.AppendRow(table.Row{"  " + what, quantity.Digits(l.Term, 2), fmt.Sprintf("%.0f %%", 100*l.Share)})
	}
	t.Render()
}

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

// learnVerb reconciles.
type learnVerb struct {
	Lamp string `arg:"" help:"The built lamp; the logbook must hold its document and readings."`
	Keep bool   `help:"Keep the corrected parts in the logbook: verbs with --logbook use them from now on."`
	To   string `placeholder:"FILE" help:"Write the corrected parts as a parts file too, for --parts."`
}

func (v *learnVerb) Run(e *env) error {
	b, done, err := e.openBook(!v.Keep)
	if err != nil {
		return err
	}
	defer done()
	r, err := b.Learn(e.ctx, v.Lamp)
	if err != nil {
		return input(err)
	}
	if v.Keep {
		if err := b.KeepLearned(e.ctx, v.Lamp, r); err != nil {
			return input(err)
		}
	}
	if v.To != "" {
		var w strings.Builder
		if err := file.WriteParts(&w, r.Layer, "Parts as the readings of "+v.Lamp+" say they are. Their errors hang together; a parts file cannot say so, the logbook can."); err != nil {
			return err
		}
		if _, err := file.SaveBytes(v.To, []byte(w.String()), file.Stamp{}); err != nil {
			return err
		}
	}
	if e.json {
		return e.writeJSON(r)
	}
	w := e.Out
	l := app.LearnedTable(r)
	fmt.Fprintf(w, "%s\n\n", l.Says)
	t := newTable(w, []any{"", "predicted", "measured", "unit", "apart, in σ", "after correction"}, 2, 3, 5, 6)
	for _, x := range l.Residuals {
		t.AppendRow(table.Row{x.Name, x.Predicted, x.Measured, x.Unit, x.Sigmas, x.After})
	}
	t.Render()
	fmt.Fprintln(w, "\nLikeliest causes:")
	for _, c := range l.Causes {
		fmt.Fprintf(w, "  %s\n", c)
	}
	if len(l.Parts) > 0 {
		fmt.Fprintln(w, "\nParts as the readings say they are:")
		t := newTable(w, []any{"part", "", "stated", "corrected", "learned"}, 3, 4, 5)
		for _, c := range l.Parts {
			t.AppendRow(table.Row{c.Part, c.Name, c.Before, c.After, c.Learned})
		}
		t.Render()
	}
	for _, u := range l.Unused {
		fmt.Fprintf(w, "Not compared: %s\n", u)
	}
	e.showFindings(l.Findings)
	if v.Keep {
		fmt.Fprintf(w, "\nKept as the layer learned-%s. \"dawnsmith find BRIEF --logbook FILE\" uses it.\n", v.Lamp)
	}
	return nil
}
