package cli

import (
	"fmt"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/lamp"
)

// together works several lamps out and adds them at the eye.
func (v *predictVerb) together(e *env) error {
	if v.Brief != "" || len(v.MeasuredTemperature) > 0 {
		return input(fmt.Errorf("--together takes every lamp at the place of its own file; leave --brief and --measured-temperature out"))
	}
	var ss []lamp.Spec
	for _, path := range v.Lamp {
		s, _, err := file.OpenLamp(path)
		if err != nil {
			return err
		}
		ss = append(ss, s)
	}
	a, err := e.app()
	if err != nil {
		return err
	}
	t, err := a.Together(ss, !v.Quick)
	if err != nil {
		return input(err)
	}
	if e.json {
		if err := e.writeJSON(t.JSON()); err != nil {
			return err
		}
	} else {
		e.showTogether(&t)
		e.showCautions()
	}
	if worst, _ := t.Worst(); worst == finding.Stop {
		return errNo
	}
	return nil
}

func (e *env) showTogether(t *app.Together) {
	w := e.Out
	title := fmt.Sprintf("%d lamps at one eye", len(t.Lamps))
	if len(t.Lamps) == 1 {
		title = "One lamp at the eye"
	}
	fmt.Fprintf(w, "%s\n%s\n\n", title, strings.Repeat("=", len(title)))
	list := newTable(w, []any{"", "at the eye, lx", "melanopic EDI, lx"}, 2, 3)
	for i, u := range t.Lamps {
		eye, mel := t.Lux(i)
		list.AppendRow(table.Row{fmt.Sprintf("%d  %s", i+1, u.Lamp.Name), eye, mel})
	}
	list.Render()
	fmt.Fprintln(w)
	all := newTable(w, []any{"All at once", "value", "unit", "mostly from"}, 2)
	for _, r := range t.Rows() {
		from := r.Range
		if from == "" && len(r.From) > 0 {
			from = fmt.Sprintf("%s (%.0f %%)", r.From[0].Source, 100*r.From[0].Share)
		} else if from == "" && r.Value == "–" {
			from = r.Line
		}
		all.AppendRow(table.Row{"  " + r.Name, r.Value, r.Unit, from})
	}
	all.Render()
	fmt.Fprintln(w, "\nMinutes go by the light at the eye; doubts that lamps share add up, the others in squares. No lamp is taken to hide another.")
	e.showFindings(t.Findings)
	for i, u := range t.Lamps {
		for _, f := range u.Findings {
			if f.Severity >= finding.Warn {
				fmt.Fprintf(w, "  %-4s  lamp %d: %s; %s  [%s]\n", f.Severity, i+1, f.What, f.Mend, f.Key)
			}
		}
	}
}
