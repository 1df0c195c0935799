package cli

import (
	"fmt"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/internal/app"
	"dawnsmith/internal/store"
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
