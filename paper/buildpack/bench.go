package buildpack

import (
	"fmt"
	"slices"
	"strings"

	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

func (p *Pack) sheetOfReadings() {
	t := &p.text
	t.Page()
	t.Heading(1, "Sheet of readings")
	t.Paragraph("Keep this sheet beside you: the steps say when each reading is taken. What lies outside is looked up in the table of faults, not explained away.")
	tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "", Width: 10}, {Head: "reading", Width: 74}, {Head: "expected", Align: draw.Right, Width: 30}, {Head: "read", Align: draw.Right, Width: 28}, {Head: "passed", Width: 24}}}
	for _, r := range p.readings {
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{r.ID, r.Name, r.Text(), "__________\u202f" + r.Unit, "☐ yes  ☐ no"}})
	}
	t.Table(tab)
	t.Paragraph("Date __________   Made by ______________   Air at the lamp _______\u202f°C   Meters ______________")
	t.Note(fmt.Sprintf("Temperatures are expected for air at %s at the lamp: warmer air adds as much to each. Tolerances are the prediction's own (k = 2), for currents at least 15 %%, for light at least 10 %%, for temperatures at least 3\u202fK.", short(p.lamp().Spec.Place.Air, quantity.Temperature, 3)))
	t.Heading(2, "How to take each reading")
	tab = draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "", Width: 17}, {Head: "how"}}}
	for i := 0; i < len(p.readings); {
		ids, how := p.readings[i].ID, p.readings[i].How
		// Readings taken alike share a line.
		for i++; i < len(p.readings) && strings.HasPrefix(p.readings[i].How, alike); i++ {
			ids += ", " + p.readings[i].ID
		}
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{ids, how}})
	}
	t.Table(tab)
}

func (p *Pack) faultTable() {
	t := &p.text
	t.Page()
	t.Heading(1, "Table of faults")
	t.Paragraph("Always unplug before you touch or solder.")
	tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "", Width: 9}, {Head: "what you see", Width: 38}, {Head: "likely cause", Width: 46}, {Head: "what to do"}}}
	for _, f := range p.faults {
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{f.ID, f.Sign, sentence(f.Cause), f.Do}})
	}
	t.Table(tab)
	t.Note("Common practice and what builders report; no single source.")
}

func (p *Pack) work() {
	t := &p.text
	t.Page()
	t.Heading(1, "Building it, step by step")
	t.Paragraph("Steps with a box are holds: do not go on before the check has passed and the box is ticked.")
	for _, a := range p.parts {
		t.Need(95)
		t.Heading(2, a.Letter+"  "+a.Title)
		t.Fit(a.Picture, "", 0)
		for _, s := range a.Steps {
			if !s.Hold {
				t.Step(s.ID, s.Do)
				continue
			}
			t.Check("Hold "+s.ID+".", s.Do)
			t.IfNot(s.IfNot)
		}
	}
}

// grounds tells what the pack rests on.
func (p *Pack) grounds() {
	t := &p.text
	t.Page()
	t.Heading(1, "What this rests on")
	t.Heading(2, "Assumptions")
	for _, a := range p.in.Prediction.Assumptions {
		t.Bullet(sentence(a))
	}
	t.Bullet("Lengths of wire hold 3 mm of slack for each gap between rows, 5 mm of tail and 30 mm for handling at each joint with the lead.")
	t.Bullet("Times are for someone who solders now and then.")
	p.unusedOverrides()
	if len(p.in.Prediction.Values) > 0 {
		t.Heading(2, "What to measure to know better")
		tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "figure"}, {Head: "largest contributors to its uncertainty"}}}
		for _, k := range []string{predict.MeterLux, predict.EyeMelanopic, predict.FaceMean, predict.StripTemp, predict.MainsPower} {
			m, _ := predict.Declared(k)
			var words []string
			for _, s := range p.in.Prediction.Values[k].Contributors(3) {
				words = append(words, fmt.Sprintf("%s %.0f\u202f%%", s.Source, 100*s.Share))
			}
			if len(words) > 0 {
				tab.Rows = append(tab.Rows, draw.Row{Cells: []string{m.Name, strings.Join(words, "; ")}})
			}
		}
		t.Table(tab)
	}
	t.Heading(2, "Parts as they were counted")
	tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "kind"}, {Head: "id"}, {Head: "name"}}}
	for _, r := range p.partRows() {
		tab.Rows = append(tab.Rows, draw.Row{Cells: r})
	}
	t.Table(tab)
	if invented := p.inventedParts(); len(invented) > 0 {
		t.Note("Invented, and sold by nobody: " + list(invented) + ". Replace them by parts you can buy and work the lamp out again.")
	}
	t.Heading(2, "Sources")
	tab = draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "for", Width: 58}, {Head: "source"}}}
	for _, s := range p.sources() {
		tab.Rows = append(tab.Rows, draw.Row{Cells: s[:]})
	}
	t.Table(tab)
}

func (p *Pack) unusedOverrides() {
	for _, o := range p.lamp().Overrides {
		if !slices.ContainsFunc(p.over, func(v overridden) bool { return v.Key == o.Finding }) {
			p.text.Bullet(fmt.Sprintf("The lamp's file overrides %q, which no longer stands; it can be left out.", o.Finding))
		}
	}
}

// partRows lists the lamp's own parts.
func (p *Pack) partRows() [][]string {
	l := p.lamp()
	out := [][]string{{"tray", l.Tray.ID, l.Tray.Name}}
	for _, s := range l.Strips() {
		out = append(out, []string{"strip", s.ID, s.Name})
	}
	for _, s := range l.Sheets() {
		out = append(out, []string{"sheet", s.ID, s.Name})
	}
	if l.Lining != nil {
		out = append(out, []string{"lining", l.Lining.ID, l.Lining.Name})
	}
	out = append(out, []string{"supply", l.Supply.ID, l.Supply.Name}, []string{"bus wire", l.Bus.ID, l.Bus.Name}, []string{"lead wire", l.Lead.ID, l.Lead.Name}, []string{"connector", l.Connector.ID, l.Connector.Name})
	if l.Fuse != nil {
		out = append(out, []string{"fuse", l.Fuse.ID, l.Fuse.Name})
	}
	if l.Dimmer != nil {
		out = append(out, []string{"dimmer", l.Dimmer.ID, l.Dimmer.Name})
	}
	if l.Mount != nil {
		out = append(out, []string{"mount", l.Mount.ID, l.Mount.Name})
	}
	return out
}

func (p *Pack) inventedParts() []string {
	l := p.lamp()
	var out []string
	add := func(invented bool, kind string) {
		if invented {
			out = append(out, kind)
		}
	}
	add(l.Tray.Invented, "tray")
	add(slices.ContainsFunc(l.Strips(), func(s part.Strip) bool { return s.Invented }), "strip")
	add(slices.ContainsFunc(l.Sheets(), func(s part.Sheet) bool { return s.Invented }), "sheet")
	add(l.Lining != nil && l.Lining.Invented, "lining")
	add(l.Supply.Invented, "supply")
	add(l.Bus.Invented || l.Lead.Invented, "wire")
	add(l.Connector.Invented, "connector")
	add(l.Fuse != nil && l.Fuse.Invented, "fuse")
	add(l.Dimmer != nil && l.Dimmer.Invented, "dimmer")
	add(l.Mount != nil && l.Mount.Invented, "mount")
	return out
}

// sources names where cautions, findings and measures come from, each once.
func (p *Pack) sources() [][2]string {
	var out [][2]string
	add := func(what, source string) {
		if source == "" {
			return
		}
		s := [2]string{what, sentence(source)}
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for _, k := range keyFigures {
		if m, ok := predict.Declared(k); ok {
			add(m.Name, m.Source)
		}
	}
	for _, c := range slices.Concat(firstCautions(p.lamp()), workCautions(p.lamp())) {
		add("caution, "+strings.ToLower(c.title), c.source)
	}
	for _, c := range healthCautions() {
		add("caution, "+strings.ToLower(c.Topic[:1])+c.Topic[1:], c.Source)
	}
	for _, f := range p.rest {
		add(f.Key, f.Source)
	}
	for _, o := range p.over {
		add(o.Key, o.Source)
	}
	return out
}
