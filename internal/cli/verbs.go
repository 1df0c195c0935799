package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
	"dawnsmith/quantity"
)

// findVerb searches the catalogue for a brief.
type findVerb struct {
	Brief string `arg:"" help:"The brief (*.brief.toml)."`
	Top   int    `default:"3" help:"How many lamps to work out, 1 to 6."`
	Out   string `name:"out" short:"o" placeholder:"FOLDER" help:"Write the lamps as files into this folder."`
}

func (v *findVerb) Run(e *env) error {
	if v.Top < 1 || v.Top > 6 {
		return input(fmt.Errorf("--top is %d; allowed is 1 to 6", v.Top))
	}
	b, _, err := file.OpenBrief(v.Brief)
	if err != nil {
		return err
	}
	a, err := e.app()
	if err != nil {
		return err
	}
	f, answers, err := e.find(a, b, v.Top)
	if err != nil {
		return err
	}
	if v.Out != "" {
		if _, err := saveLamps(v.Out, answers); err != nil {
			return err
		}
	}
	if e.json {
		if err := e.writeJSON(app.FoundToJSON(f, answers)); err != nil {
			return err
		}
	} else {
		e.showFound(f, answers)
		if v.Out != "" && len(answers) > 0 {
			fmt.Fprintf(e.Out, "\nWritten to %s: work one out with \"dawnsmith predict FILE\".\n", v.Out)
		}
		e.showCautions()
	}
	if f.Impossible != nil {
		return errNo
	}
	return nil
}

// find searches and works the picks out with their uncertainty.
func (e *env) find(a *app.App, b brief.Brief, top int) (search.Found, []app.Answer, error) {
	show, end := e.progress("screening lamps")
	f, err := a.Find(e.ctx, b, top, show)
	end()
	if err != nil {
		return f, nil, err
	}
	var answers []app.Answer
	for i := range f.Picks {
		f.Picks[i].Lamp.Spec.Name = pickName(b, f.Picks[i].Title)
		ans, err := a.FromPick(f.Picks[i], b, true)
		if err != nil {
			return f, nil, err
		}
		answers = append(answers, ans)
	}
	return f, answers, nil
}

func pickName(b brief.Brief, title string) string { return b.Name + ": " + title }

func (e *env) showFound(f search.Found, answers []app.Answer) {
	w := e.Out
	fmt.Fprintf(w, "%s\n\n", f.Brief.Name)
	for _, t := range f.Targets {
		fmt.Fprintf(w, "  %s %s %s\n", t.Name, t.Bound, t.LimitText())
	}
	fmt.Fprintf(w, "\n%d lamps screened, %d meet the brief.\n", f.Considered, f.Feasible)
	if f.Spotless {
		fmt.Fprintln(w, "Those that show rows or chips on the face were passed over; set wanted.ripple_max in the brief to allow some.")
	}
	if f.Impossible != nil {
		e.showImpossible(f.Impossible)
		return
	}
	fmt.Fprintln(w)
	keys := []string{predict.MeterLux, predict.EyeMelanopic, predict.FaceMean, predict.CCT, predict.Ra, predict.Ripple, predict.MainsPower, predict.StripTemp, search.PriceFirst, search.PriceNext}
	head := []any{""}
	for _, p := range f.Picks {
		head = append(head, p.Title)
	}
	right := []int{}
	for i := range f.Picks {
		right = append(right, i+2)
	}
	t := newTable(w, head, right...)
	for _, row := range partRows(answers) {
		t.AppendRow(row)
	}
	for _, k := range keys {
		row := table.Row{}
		for i := range answers {
			r, ok := answers[i].Row(k)
			if !ok {
				continue
			}
			if e.inch {
				r = r.Imperial(&answers[i])
			}
			if len(row) == 0 {
				row = append(row, strings.TrimSuffix(r.Name+", "+r.Unit, ", "))
			}
			row = append(row, r.Value)
		}
		t.AppendRow(row)
	}
	t.Render()
	for i, p := range f.Picks {
		fmt.Fprintf(w, "\n%s: %s.\n", strings.ToUpper(p.Title[:1])+p.Title[1:], p.Why)
		fmt.Fprintf(w, "  %s\n", answers[i].Sentence())
		for _, fi := range answers[i].Result.Findings {
			if fi.Severity >= finding.Warn {
				fmt.Fprintf(w, "  %s: %s; %s\n", fi.Severity, fi.What, fi.Mend)
			}
		}
	}
	if len(f.Front) > 1 {
		fmt.Fprintf(w, "\nThe trade-off: %d lamps that no other beats in price, in luminance of the face and in mains power at once.\n\n", len(f.Front))
		t := newTable(w, []any{"tray", "strip", "sheet", "lining", "rows × units", "price", "face, cd/m²", "mains, W", "at the meter, lx"}, 5, 6, 7, 8, 9)
		for i, p := range f.Front {
			if i == 12 {
				t.AppendRow(table.Row{fmt.Sprintf("… %d more", len(f.Front)-i)})
				break
			}
			lining := p.Spec.Lining
			if p.Spec.LineFloor {
				lining += " + floor"
			}
			n := p.Numbers
			t.AppendRow(table.Row{p.Spec.Tray, p.Spec.Strip, p.Spec.Sheet, lining, fmt.Sprintf("%d × %d", p.Spec.Rows, p.Spec.Units), quantity.Decimals(n[search.PriceFirst], 0),
				quantity.Digits(n[predict.FaceMean], 3), quantity.Digits(n[predict.MainsPower], 2), quantity.Digits(n[predict.MeterLux], 3)})
		}
		t.Render()
	}
}

// partRows names the parts of each answer, a row a kind.
func partRows(answers []app.Answer) []table.Row {
	kinds := []string{"tray", "strip", "lining", "sheet", "supply"}
	var out []table.Row
	for _, k := range kinds {
		row := table.Row{k}
		for i := range answers {
			id := app.PartIDs(&answers[i])[k]
			switch {
			case id == "":
				id = "none"
			case k == "lining" && answers[i].Lamp.LineFloor:
				id += " + floor"
			case k == "strip":
				id += fmt.Sprintf(" × %d rows of %d", answers[i].Lamp.Spec.Rows, answers[i].Lamp.Spec.Units)
			}
			row = append(row, id)
		}
		out = append(out, row)
	}
	return out
}

func (e *env) showImpossible(im *search.Impossible) {
	w := e.Out
	fmt.Fprintln(w, "\nNo lamp of this catalogue meets the brief.")
	if im.Proof != "" {
		fmt.Fprintf(w, "\nWhy: %s\n", im.Proof)
	}
	if im.Heat {
		fmt.Fprintln(w, "\nLamps that meet every limit get too hot; a larger tray, a painted back or fewer watts would help.")
	}
	if len(im.Relax) > 0 {
		fmt.Fprintln(w, "\nAny one of these, alone, lets a lamp of this catalogue exist:")
		for _, r := range im.Relax {
			fmt.Fprintf(w, "  %s: %s, %d rows of %s behind %s\n", r.Sentence(), r.Lamp.Spec.Tray, r.Lamp.Spec.Rows, r.Lamp.Spec.Strip, r.Lamp.Spec.Sheet)
		}
	} else {
		fmt.Fprintln(w, "\nNo single limit, given way alone, lets a lamp exist: at least two stand in the way together.")
	}
	if im.Nearest != nil {
		s := im.Nearest.Spec
		fmt.Fprintf(w, "\nNearest: %s, %d rows of %s behind %s:\n\n", s.Tray, s.Rows, s.Strip, s.Sheet)
		t := newTable(w, []any{"Wanted", "", "limit", "got", ""}, 3, 4)
		for _, c := range im.Nearest.Checks {
			t.AppendRow(table.Row{c.Name, string(c.Bound), c.LimitText(), c.Text(c.Got), app.Verdict(c, nil)})
		}
		t.Render()
	}
}

// saveLamps writes each answer's lamp as a file that stands alone and returns
// the paths.
func saveLamps(dir string, answers []app.Answer) ([]string, error) {
	if err := mkdir(dir); err != nil {
		return nil, err
	}
	var paths []string
	for i := range answers {
		l := answers[i].Lamp
		path := filepath.Join(dir, slug(l.Name)+".lamp.toml")
		head := "A lamp found for a brief. Work it out with: dawnsmith predict " + filepath.Base(path)
		if _, err := file.SaveLamp(path, app.Standalone(l), head, file.Overwrite()); err != nil {
			return nil, err
		}
		paths = append(paths, path)
	}
	return paths, nil
}

// slug makes a file name of a title: lower-case words joined by hyphens.
func slug(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	if b.Len() == 0 {
		return "lamp"
	}
	return strings.Trim(b.String(), "-")
}

// predictVerb works one lamp out.
type predictVerb struct {
	Lamp     []string `arg:"" sep:"none" help:"The lamp (*.lamp.toml); several with --together."`
	Brief    string   `short:"b" placeholder:"FILE" help:"Hold it against this brief and use its place."`
	Quick    bool     `help:"Leave the uncertainties out."`
	Together bool     `help:"Add the light of all lamps at one eye, each at the place of its own file."`

	MeasuredTemperature []string `placeholder:"PLACE=T@TIME" sep:"none" help:"Correct the heat by a temperature read on the lamp, such as \"tray=42 °C@30 min\"; tray, strip or sheet."`
}

func (v *predictVerb) Run(e *env) error {
	if v.Together {
		return v.together(e)
	}
	if len(v.Lamp) > 1 {
		return input(fmt.Errorf("%d lamps are named; predict works one out at a time: add --together to see them at one eye", len(v.Lamp)))
	}
	path := v.Lamp[0]
	s, b, a, err := e.lampAndBrief(path, v.Brief)
	if err != nil {
		return err
	}
	for _, text := range v.MeasuredTemperature {
		r, err := app.ParseReading(text)
		if err != nil {
			return input(err)
		}
		s.Readings = append(s.Readings, r)
	}
	ans, err := a.Predict(s, b, !v.Quick)
	if err != nil {
		return input(fmt.Errorf("%s: %w", path, err))
	}
	if e.json {
		err = e.writeJSON(ans.JSON())
	} else {
		e.showAnswer(&ans)
		e.showCautions()
	}
	if err != nil {
		return err
	}
	if worst, _ := finding.Worst(ans.Result.Findings); worst == finding.Stop {
		return errNo
	}
	return nil
}

// lampAndBrief opens a lamp, a brief (unless its path is empty) and the
// catalogue.
func (e *env) lampAndBrief(lampPath, briefPath string) (lamp.Spec, *brief.Brief, *app.App, error) {
	s, _, err := file.OpenLamp(lampPath)
	if err != nil {
		return s, nil, nil, err
	}
	var b *brief.Brief
	if briefPath != "" {
		got, _, err := file.OpenBrief(briefPath)
		if err != nil {
			return s, nil, nil, err
		}
		b = &got
	}
	a, err := e.app()
	return s, b, a, err
}

// mkdir makes a folder and what leads to it.
func mkdir(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("folder %s: %w", dir, err)
	}
	return nil
}

// swapVerb changes one part.
type swapVerb struct {
	Lamp string `arg:"" help:"The lamp (*.lamp.toml)."`
	Kind string `arg:"" help:"What to change: ${kinds}."`
	Part string `arg:"" help:"The id of the new part, or none; a lining may end in +floor."`
	Out  string `name:"out" short:"o" placeholder:"FILE" help:"Write the changed lamp to this file."`
}

func (v *swapVerb) Run(e *env) error {
	s, _, err := file.OpenLamp(v.Lamp)
	if err != nil {
		return err
	}
	a, err := e.app()
	if err != nil {
		return err
	}
	sw, err := a.Swap(s, v.Kind, v.Part)
	if err != nil {
		return input(fmt.Errorf("%s: %w", v.Lamp, err))
	}
	if v.Out != "" {
		if _, err := file.SaveLamp(v.Out, app.Standalone(sw.After.Lamp), fmt.Sprintf("%s %s in place of %s", v.Kind, v.Part, sw.From), file.Overwrite()); err != nil {
			return err
		}
	}
	if e.json {
		return e.writeJSON(sw.JSON())
	}
	e.showSwap(sw)
	e.showCautions()
	return nil
}

func (e *env) showSwap(sw app.Swapped) {
	w := e.Out
	from := sw.From
	if from == "" {
		from = "none"
	}
	fmt.Fprintf(w, "%s: %s → %s\n", sw.Kind, from, sw.To)
	for _, n := range sw.Notes {
		fmt.Fprintf(w, "  %s\n", n)
	}
	if len(sw.Fields) > 0 {
		fmt.Fprintln(w, "\nThe parts differ in:")
		t := newTable(w, []any{"", "before", "after"}, 2, 3)
		for _, f := range sw.Fields {
			t.AppendRow(table.Row{"  " + f.Field, f.From, f.To})
		}
		t.Render()
	}
	if len(sw.Differences) == 0 {
		fmt.Fprintln(w, "\nNo number of the lamp changes.")
	} else {
		fmt.Fprintln(w)
		t := newTable(w, []any{"The lamp changes in", "before", "after", "unit", "change", "why"}, 2, 3, 5)
		for _, d := range sw.Differences {
			before, _ := sw.Before.Row(d.Key)
			after, _ := sw.After.Row(d.Key)
			change := fmt.Sprintf("%+.1f %%", 100*d.Relative)
			if !d.Certain {
				change = "(" + change + ")"
			}
			t.AppendRow(table.Row{d.Name, before.Short(), after.Short(), d.Unit, change, d.Reason})
		}
		t.Render()
		fmt.Fprintln(w, "\nA change in brackets is within the uncertainty of what the two lamps do not share.")
	}
	for _, f := range sw.Cleared {
		fmt.Fprintf(w, "cleared: %s: %s\n", f.Severity, f.What)
	}
	for _, f := range sw.Raised {
		fmt.Fprintf(w, "raised:  %s: %s; %s\n", f.Severity, f.What, f.Mend)
	}
}
