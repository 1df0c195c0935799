package cli

import (
	"fmt"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/quantity"
)

// feedVerb ranks the ways of feeding a lamp's rows.
type feedVerb struct {
	Lamp string `arg:"" help:"The lamp (*.lamp.toml)."`
}

func (v *feedVerb) Run(e *env) error {
	s, _, a, err := e.lampAndBrief(v.Lamp, "")
	if err != nil {
		return err
	}
	ans, err := a.Predict(s, nil, false)
	if err != nil {
		return input(fmt.Errorf("%s: %w", v.Lamp, err))
	}
	rows, err := ans.Feeds()
	if err != nil {
		return input(fmt.Errorf("%s: %w", v.Lamp, err))
	}
	if e.json {
		return e.writeJSON(rows)
	}
	fmt.Fprintf(e.Out, "%s: ways of feeding its %d rows, best first.\n\n", ans.Lamp.Name, ans.Lamp.Spec.Rows)
	t := newTable(e.Out, []any{"feed", "least over greatest current", "copper loss, W", "wire, m", "joints", ""}, 2, 3, 4, 5)
	for _, r := range rows {
		mark := ""
		if r.Now {
			mark = "as now"
		}
		t.AppendRow(table.Row{r.Feed, quantity.Decimals(100*r.MinOverMax, 1) + " %", quantity.Digits(r.CopperLoss, 2), quantity.Decimals(r.WireLength, 1), r.Joints, mark})
	}
	t.Render()
	fmt.Fprintln(e.Out, "\nAt least 95 % is wanted, 97 % is the target (common practice, no source). Set feed = \"…\" in the lamp file to take one.")
	return nil
}
