package cli

import (
	"fmt"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/lamp/unit"
	"dawnsmith/paper/buildpack"
)

// showReadings lists readings against what was expected.
func (e *env) showReadings(rs []unit.Reading) {
	t := newTable(e.Out, []any{"", "reading", "expected", "read", "date", ""}, 3, 4)
	for _, r := range rs {
		want, verdict := "", ""
		if pass, judged := r.Within(); judged {
			want = buildpack.Reading{Expected: r.Expected, Tolerance: r.Tolerance, Unit: r.Unit, Bound: buildpack.Bound(r.Bound)}.Text()
			verdict = "outside"
			if pass {
				verdict = "within"
			}
		}
		t.AppendRow(table.Row{r.ID, r.Name, want, fmt.Sprintf("%g\u202f%s", r.Value, r.Unit), r.Date, verdict})
	}
	t.Render()
}

func changesJSON(u unit.Unit) []map[string]any {
	out := []map[string]any{}
	for _, c := range u.Changes {
		out = append(out, map[string]any{"date": c.Date, "field": c.Field, "value": c.Value, "why": c.Why, "as_built": c.AsBuilt})
	}
	return out
}

func repairsJSON(u unit.Unit) []map[string]any {
	out := []map[string]any{}
	for _, r := range u.Repairs {
		out = append(out, map[string]any{"date": r.Date, "what": r.What})
	}
	return out
}

func readingsJSON(u unit.Unit) []map[string]any {
	out := []map[string]any{}
	for _, r := range u.Readings {
		m := map[string]any{"date": r.Date, "id": r.ID, "name": r.Name, "metric": r.Metric, "value": r.Value, "unit": r.Unit, "distance_m": r.Distance}
		if pass, judged := r.Within(); judged {
			m["expected"], m["tolerance"], m["bound"], m["within"] = r.Expected, r.Tolerance, r.Bound, pass
		}
		out = append(out, m)
	}
	return out
}
