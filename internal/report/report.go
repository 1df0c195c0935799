// Package report writes the outcome of a search as one HTML file that needs
// nothing else: what was wanted, the lamps that do it and why, one of them in
// full, and briefs that cannot be met, explained.
package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"

	"dawnsmith/day/dose"
	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/price"
	"dawnsmith/lamp/search"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/portrait"
	"dawnsmith/quantity"
)

//go:embed report.html
var page string

//go:embed report.css
var style string

// Input is a search with its picks worked out (with uncertainty), and other
// searches to explain at the end.
type Input struct {
	Found   search.Found
	Answers []app.Answer
	Others  []search.Found
}

type view struct {
	Style    template.CSS
	Title    string
	Found    search.Found
	Cautions []dose.Caution
	Picks    []pick
	Table    []app.SideRow
	TradeOff template.HTML
	Main     *chapter
	Rest     []chapter
	Others   []wish
	Sources  []source
}

type pick struct{ Title, Why, Sentence string }

type chapter struct {
	Title, Why, Sentence string
	Checks               []check
	Findings             []finding.Finding
	Groups               map[string]app.Group
	Pictures             map[string]template.HTML
	Bill                 price.Bill
	Parts                []price.Line
	Used                 []price.Line
	Tools                []price.Line
	Doubts               []doubt
	Assumptions          []string
	Session              string
	Melanopic            string
	Wires                string
}

type check struct{ Name, Bound, Limit, Got, Verdict string }

type doubt struct{ Name, Value, Unit, From string }

type source struct{ Name, Source string }

type wish struct {
	Found   search.Found
	Relax   []string
	Nearest *search.Point
	Checks  []check
}

// Write writes the report. The answers must belong to the picks in order.
func Write(w io.Writer, in Input) error {
	if len(in.Answers) != len(in.Found.Picks) {
		return fmt.Errorf("report: %d answers for %d picks", len(in.Answers), len(in.Found.Picks))
	}
	var css bytes.Buffer
	if err := draw.CSS(&css); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	v := view{Style: template.CSS(css.String() + style), Title: in.Found.Brief.Name, Found: in.Found, Cautions: dose.Cautions()}
	var err error
	if len(in.Answers) > 0 {
		if v.TradeOff, err = SVG(TradeOff(in.Found), "trade"); err != nil {
			return err
		}
		v.Table = app.SideBySide(in.Answers)
		for i := range in.Answers {
			p := in.Found.Picks[i]
			v.Picks = append(v.Picks, pick{p.Title, p.Why, in.Answers[i].Sentence()})
			c, err := chapterOf(&in.Answers[i], p, i == 0, i)
			if err != nil {
				return err
			}
			if i == 0 {
				v.Main = &c
				v.Sources = sources(&in.Answers[i])
			} else {
				v.Rest = append(v.Rest, c)
			}
		}
	}
	for _, f := range append([]search.Found{in.Found}, in.Others...) {
		if f.Impossible == nil {
			continue
		}
		o := wish{Found: f, Nearest: f.Impossible.Nearest}
		for _, r := range f.Impossible.Relax {
			o.Relax = append(o.Relax, r.Sentence())
		}
		if o.Nearest != nil {
			o.Checks = checks(o.Nearest.Checks, nil)
		}
		v.Others = append(v.Others, o)
	}
	t, err := template.New("report").Funcs(template.FuncMap{
		"capital": func(s string) string { return strings.ToUpper(s[:1]) + s[1:] },
		"group":   func(c *chapter, name string) app.Group { return c.Groups[name] },
		"lux":     func(x float64) string { return quantity.Digits(x, 3) },
		"pack":    func(n price.Line) string { return packText(n) },
		"dict2":   func(a, b any) []any { return []any{a, b} },
	}).Parse(page)
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err = w.Write(b.Bytes())
	return err
}

func packText(n price.Line) string {
	if n.FirstPacks == 0 {
		return "in stock"
	}
	if n.Unit == "piece" {
		return fmt.Sprint(n.FirstPacks)
	}
	if n.Unit == "pack unit" {
		return fmt.Sprintf("%d pack", n.FirstPacks)
	}
	return fmt.Sprintf("%d × %s %s", n.FirstPacks, quantity.Digits(n.Pack, 3), n.Unit)
}

func checks(cs []search.Check, ans *app.Answer) []check {
	var out []check
	for _, c := range cs {
		out = append(out, check{c.Name, string(c.Bound), c.LimitText(), c.Text(c.Got), app.Verdict(c, ans)})
	}
	return out
}

func chapterOf(ans *app.Answer, p search.Pick, full bool, n int) (chapter, error) {
	c := chapter{Title: p.Title, Why: p.Why, Sentence: ans.Sentence(), Checks: checks(ans.Checks, ans), Findings: ans.Result.Findings,
		Groups: map[string]app.Group{}, Pictures: map[string]template.HTML{}, Bill: ans.Bill, Assumptions: ans.Result.Assumptions,
		Session: ans.Session.Photopic.Why, Melanopic: ans.Session.Melanopic.Why}
	for _, g := range ans.Shown() {
		c.Groups[g.Title] = g
	}
	put := func(name string, s draw.Scene, err error) error {
		if err != nil {
			return fmt.Errorf("report: %s: %w", name, err)
		}
		svg, err := SVG(s, fmt.Sprintf("%s%d", name, n))
		c.Pictures[name] = svg
		return err
	}
	if err := put("plan", Plan(ans.Lamp), nil); err != nil || !full {
		return c, err
	}
	for _, line := range ans.Bill.Lines {
		switch line.Class {
		case price.DurableClass:
			c.Parts = append(c.Parts, line)
		case price.ConsumableClass:
			c.Used = append(c.Used, line)
		default:
			c.Tools = append(c.Tools, line)
		}
	}
	receptors, errR := Receptors(ans)
	warm, errW := Warm(ans)
	hot, errH := Hot(ans)
	for _, f := range []struct {
		name string
		s    draw.Scene
		err  error
	}{{"section", portrait.TraySection(ans.Lamp), nil}, {"side", portrait.SideView(ans.Lamp), nil}, {"spectrum", Spectrum(ans), nil},
		{"hues", Hues(ans), nil}, {"receptors", receptors, errR}, {"warm", warm, errW}, {"hot", hot, errH}, {"sure", Sure(ans), nil}} {
		if err := put(f.name, f.s, f.err); err != nil {
			return c, err
		}
	}
	for name, make := range map[string]func(*app.Answer) (draw.Scene, bool){"face": Face, "ripple": Ripple, "currents": Currents, "reach": Reach,
		"from-side": FromSide, "from-above": FromAbove, "volts": Volts, "bright": Bright, "waveform": Waveform, "wavespectrum": WaveSpectrum} {
		if s, ok := make(ans); ok {
			if err := put(name, s, nil); err != nil {
				return c, err
			}
		}
	}
	for _, k := range []string{predict.MeterLux, predict.EyeMelanopic, predict.FaceMean, predict.CCT, predict.Ra, predict.MainsPower, predict.StripTemp, predict.SheetTemp} {
		r, ok := ans.Row(k)
		if !ok {
			continue
		}
		var from []string
		for _, s := range r.From {
			from = append(from, fmt.Sprintf("%s %.0f %%", s.Source, math.Round(100*s.Share)))
		}
		c.Doubts = append(c.Doubts, doubt{r.Name, r.Value, r.Unit, strings.Join(from, "; ")})
	}
	return c, nil
}

// sources lists where the definitions of the shown numbers come from.
func sources(ans *app.Answer) []source {
	var out []source
	at := map[string]int{}
	for _, g := range ans.Shown() {
		for _, r := range g.Rows {
			if i, ok := at[r.Source]; ok {
				out[i].Name += ", " + r.Name
				continue
			}
			at[r.Source] = len(out)
			out = append(out, source{r.Name, r.Source})
		}
	}
	return out
}
