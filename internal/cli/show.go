package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"dawnsmith/finding"
	"dawnsmith/internal/app"
)

// newTable makes a plain table: no frame but a rule under the header, the
// columns named in right aligned right.
func newTable(w io.Writer, header []any, right ...int) table.Writer {
	t := table.NewWriter()
	t.SetOutputMirror(w)
	st := table.StyleLight
	st.Options = table.Options{SeparateHeader: true}
	st.Format.Header = text.FormatDefault
	st.Format.Footer = text.FormatDefault
	st.Box.PaddingLeft, st.Box.PaddingRight = "", "  "
	t.SetStyle(st)
	if len(header) > 0 {
		t.AppendHeader(header)
	}
	cfg := make([]table.ColumnConfig, len(header))
	for i := range cfg {
		cfg[i] = table.ColumnConfig{Number: i + 1, WidthMax: 110, WidthMaxEnforcer: text.WrapSoft}
	}
	for _, n := range right {
		cfg[n-1].Align, cfg[n-1].AlignHeader = text.AlignRight, text.AlignRight
	}
	t.SetColumnConfigs(cfg)
	return t
}

// showAnswer prints a lamp worked out.
func (e *env) showAnswer(ans *app.Answer) {
	w := e.Out
	fmt.Fprintf(w, "%s\n%s\n\n", ans.Lamp.Name, strings.Repeat("=", len([]rune(ans.Lamp.Name))))
	fmt.Fprintln(w, ans.Sentence())
	fmt.Fprintln(w)
	if len(ans.Checks) > 0 {
		t := newTable(w, []any{"Wanted", "", "limit", "got", ""}, 3, 4)
		for _, c := range ans.Checks {
			t.AppendRow(table.Row{c.Name, string(c.Bound), c.LimitText(), c.Text(c.Got), app.Verdict(c, ans)})
		}
		t.Render()
		fmt.Fprintln(w)
	}
	t := newTable(w, []any{"", "value", "unit", "mostly from"}, 2)
	for i, g := range ans.Shown() {
		if i > 0 {
			t.AppendRow(table.Row{"", "", "", ""})
		}
		t.AppendRow(table.Row{strings.ToUpper(g.Title[:1]) + g.Title[1:] + ":", "", "", ""})
		for _, r := range g.Rows {
			if e.inch {
				r = r.Imperial(ans)
			}
			from := ""
			if len(r.From) > 0 {
				from = fmt.Sprintf("%s (%.0f %%)", r.From[0].Source, 100*r.From[0].Share)
			}
			switch {
			case r.Range != "":
				from = r.Range
			case r.Value == "–":
				from = r.Line
			}
			t.AppendRow(table.Row{"  " + r.Name, r.Value, r.Unit, from})
		}
	}
	t.Render()
	if ans.Values != nil {
		fmt.Fprintln(w, "\n± is the expanded uncertainty (k = 2, about 95 %); \"mostly from\" names what to measure to know better.")
	}
	e.showFindings(ans.Result.Findings)
	e.showBill(ans)
}

// showFindings prints findings, gravest first.
func (e *env) showFindings(fs []finding.Finding) {
	w := e.Out
	fmt.Fprintln(w)
	if len(fs) == 0 {
		fmt.Fprintln(w, "Findings: none.")
		return
	}
	fmt.Fprintln(w, "Findings:")
	for _, f := range fs {
		fmt.Fprintf(w, "  %-4s  %s  [%s]\n", f.Severity, f.What, f.Key)
		if f.Cause != "" {
			fmt.Fprintf(w, "        cause: %s\n", f.Cause)
		}
		if f.Mend != "" {
			fmt.Fprintf(w, "        mend:  %s\n", f.Mend)
		}
	}
}

// showBill prints the sums of the shopping list.
func (e *env) showBill(ans *app.Answer) {
	b := ans.Bill
	fmt.Fprintf(e.Out, "\nPrice: first lamp %s without tools, tools %s, next lamp %s.\n", b.First, b.Tools, b.Next)
	if len(b.Unpriced) > 0 {
		fmt.Fprintf(e.Out, "Not counted, price unknown: %s.\n", strings.Join(b.Unpriced, ", "))
	}
}

// Cautions are printed under every answer of the terminal.
const cautions = "Local electrical codes and a licensed electrician come first; eye disease, light-sensitive skin or medicines, bipolar disorder,\n" +
	"epilepsy or migraine: ask a clinician first. A published guideline advises patients against home-made lamps. Numbers are predictions."

func (e *env) showCautions() { fmt.Fprintf(e.Out, "\n%s\n", cautions) }
