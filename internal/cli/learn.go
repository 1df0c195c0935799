package cli

import (
	"fmt"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
)

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
