package buildpack

import (
	"fmt"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/lamp/predict"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/portrait"
	"dawnsmith/quantity"
)

// write sets down the whole pack in the order of use.
func (p *Pack) write() {
	p.front()
	p.cautions()
	p.variants()
	p.shopping()
	p.drawings()
	p.cutting()
	p.wiring()
	p.rulers()
	p.template()
	p.sheetOfReadings()
	p.faultTable()
	p.work()
	p.grounds()
}

// keyFigures are the measures of page 1.
var keyFigures = []string{
	predict.MeterLux, predict.EyeLux, predict.EyeMelanopic, predict.FaceMean, predict.Ripple, predict.CCT, predict.Ra,
	predict.MainsPower, predict.StripTemp, predict.BackTemp, predict.LampMass,
}

// figureRow is one measure as a row of a table: name, value ± U, unit, where.
func (p *Pack) figureRow(key string) []string {
	m, ok := predict.Declared(key)
	x, u := p.value(key)
	if !ok {
		return nil
	}
	unit := m.Unit
	if key == predict.Ripple {
		x, u, unit = x*100, u*100, "%"
	}
	value := quantity.Digits(x, 3)
	if u > 0 {
		value = quantity.FormatUncertain(x, u)
	}
	place := p.lamp().Spec.Place
	where := map[string]string{
		predict.MeterLux:     fmt.Sprintf("meter facing the lamp, on its axis, %s from the sheet", mm(place.MeterDistance)),
		predict.EyeLux:       fmt.Sprintf("upright plane at the eye, %s from the middle of the face", mm(place.EyeDistance)),
		predict.EyeMelanopic: "upright plane at the eye", predict.FaceMean: "whole face, seen squarely", predict.Ripple: "middle of the face", predict.CCT: "light at the eye", predict.Ra: "light at the eye",
		predict.MainsPower: "at the plug", predict.StripTemp: fmt.Sprintf("air at the lamp %s", short(place.Air, quantity.Temperature, 3)),
		predict.BackTemp: "the hottest place that can be touched", predict.LampMass: "without supply and mount",
	}[key]
	return []string{m.Name, value, unit, where}
}

func (p *Pack) front() {
	l, t := p.lamp(), &p.text
	t.Heading(0, p.kind()+": "+p.title())
	p.welcome()
	r := l.Spec
	t.Paragraph(fmt.Sprintf("Revision %d, made on %s. %d rows of %d cut units of strip in a tray of %s × %s inside, %s deep. The electrical work takes someone who seldom solders %s; paint and tape want a day or two more.",
		l.Revision, p.date(), r.Rows, r.Units, mm(l.Tray.Length), mm(l.Tray.Width), mm(l.Tray.Depth), p.hours()))
	for _, o := range p.over {
		t.Caution("Stop overridden by the owner: "+o.Key, sentence(o.What)+" The owner's reason: "+sentence(o.Reason))
	}
	if len(p.over) > 0 {
		t.Note("A pack with an overridden stop is for its owner alone and must not be passed on.")
	}
	cautions := func() {
		for _, c := range firstCautions(l) {
			t.Caution(c.title, c.text)
		}
	}
	if len(p.over) > 0 {
		cautions() // before anything that might push them off the page
	}
	t.Fit(portrait.Cover(l), "", 58)
	tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "Expected"}, {Head: "value", Align: draw.Right}, {Head: "unit"}, {Head: "where and how"}}}
	bare := true
	for _, k := range keyFigures {
		if row := p.figureRow(k); row != nil {
			tab.Rows = append(tab.Rows, draw.Row{Cells: row})
			_, u := p.value(k)
			bare = bare && u == 0
		}
	}
	b := p.in.Bill
	tab.Rows = append(tab.Rows, draw.Row{Cells: []string{"price of the first lamp", amount(b.First.String()), "", "parts in whole packs, without tools" + unpriced(b.Unpriced)}})
	t.Table(tab)
	if bare {
		t.Note("Predicted, without uncertainty.")
	} else {
		t.Note("Predicted. The figure after ± is the expanded uncertainty (k = 2): about 95 of 100 such lamps should lie within it.")
	}
	if len(p.over) == 0 {
		cautions()
	}
}

func amount(s string) string { return strings.TrimSpace(s) }

func unpriced(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return "; one part has no price"
	}
	return fmt.Sprintf("; %d parts have no price", len(names))
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	r := []rune(s)
	s = strings.ToUpper(string(r[0])) + string(r[1:])
	if !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return s
}

func (p *Pack) cautions() {
	t := &p.text
	t.Page()
	t.Heading(1, "Read this first")
	if p.in.ForOthers {
		t.Paragraph("This pack was made for somebody else: no stop has been overridden in it.")
	}
	for _, c := range workCautions(p.lamp()) {
		t.Bullet(c.title + ". " + c.text)
	}
	if p.in.Dose != "" {
		t.Heading(2, "How long to sit in its light")
		t.Paragraph(sentence(p.in.Dose) + " A rule from published protocols, no advice for you: the lamp's real light, measured at your eye, decides.")
	}
	t.Heading(2, "Ask a clinician first, or stop")
	tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "If", Width: 38}, {Head: "then"}}}
	for _, c := range healthCautions() {
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{c.Topic, c.Text}})
	}
	t.Table(tab)
	p.remarks()
}

// remarks lists what the models say about this lamp besides stops.
func (p *Pack) remarks() {
	t := &p.text
	if len(p.rest) == 0 && len(p.in.Checks) == 0 {
		return
	}
	if len(p.in.Checks) > 0 {
		t.Heading(2, "The brief against this lamp")
		tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "wanted"}, {Head: "limit"}, {Head: "expected"}, {Head: ""}}}
		for _, c := range p.in.Checks {
			met := "not met"
			if c.Met {
				met = "met"
			}
			tab.Rows = append(tab.Rows, draw.Row{Cells: []string{c.Name, c.Wanted, c.Found, met}})
		}
		t.Table(tab)
	}
	if len(p.rest) > 0 {
		t.Heading(2, "What the models say about this lamp")
		for _, f := range p.rest {
			word := "Note: "
			if f.Severity == finding.Warn {
				word = "Warning: "
			}
			s := word + sentence(f.What)
			if f.Cause != "" {
				s += " " + sentence(f.Cause)
			}
			if f.Mend != "" {
				s += " Mend: " + sentence(f.Mend)
			}
			t.Bullet(s)
		}
	}
}
