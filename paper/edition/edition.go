package edition

import (
	"crypto/sha256"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
	"dawnsmith/paper/internal/script"
)

// Lamp is one lamp of a comparison.
type Lamp struct {
	Entry compare.Entry
	// Record holds the measured numbers of all runs; nil for a lamp that was
	// predicted or only stated.
	Record *measure.Record
	// Whose is "own", "bought", "lent" or "check".
	Whose string
	Maker string
	// Claim is what is wrong with what its seller states.
	Claim []finding.Finding
	// Claimed says in words what the seller states; "" where nothing was noted.
	Claimed string
}

// Comparison is lamps ranked on equal terms.
type Comparison struct {
	Ranking compare.Ranking
	// Table holds the ranked column first, then those beside it.
	Table []compare.Column
	Lamps []Lamp
	// Left lists in words the lamps that were left out, with why.
	Left []string
}

// Correction is something that an earlier number had wrong.
type Correction struct {
	Number int    // of the edition that was wrong
	Date   string // of the correction
	Text   string
}

// File is a raw file that goes along.
type File struct {
	Lamp, Name string
	Bytes      []byte
}

// Input is what an edition is made of.
type Input struct {
	Slug, Title string
	Number      int
	// Date is that of publication.
	Date time.Time
	// Intro stands at the head; Publisher and Interest say who publishes and
	// what they have to do with the lamps; "" is shown as missing.
	Intro, Publisher, Interest string
	Corrections                []Correction
	Comparison                 Comparison
	// Target is the illuminance that readers ask for, lx; 0: 5000.
	Target float64
	// Raw are attached when it is not empty.
	Raw     []File
	Program string
}

// Edition is a comparison ready to be published.
type Edition struct {
	in      Input
	text    script.Script
	answers []Answer
}

var plainSlug = regexp.MustCompile(`^[a-z0-9][a-z0-9-]*$`)

// New checks the input and sets the edition. The error says what is missing or
// wrong.
func New(in Input) (*Edition, error) {
	switch {
	case !plainSlug.MatchString(in.Slug):
		return nil, fmt.Errorf("edition: the short name is %q; allowed are small letters, digits and hyphens", in.Slug)
	case in.Number < 1:
		return nil, fmt.Errorf("edition: the number is %d; the first is 1", in.Number)
	case in.Date.IsZero():
		return nil, fmt.Errorf("edition: the date of publication is missing")
	case len(in.Comparison.Lamps) == 0:
		return nil, fmt.Errorf("edition: there is no lamp in it")
	case len(in.Comparison.Table) == 0:
		return nil, fmt.Errorf("edition: nothing was compared")
	}
	seen := map[string]bool{}
	for _, l := range in.Comparison.Lamps {
		if l.Entry.ID == "" || seen[l.Entry.ID] {
			return nil, fmt.Errorf("edition: the lamp id %q is empty or stands twice; addresses are made of it", l.Entry.ID)
		}
		seen[l.Entry.ID] = true
	}
	if strings.TrimSpace(in.Title) == "" {
		in.Title = "Lamps compared"
	}
	if in.Target == 0 {
		in.Target = 5000
	}
	e := &Edition{in: in}
	for _, l := range in.Comparison.Lamps {
		e.answers = append(e.answers, answer(l, in.Target))
	}
	e.write()
	return e, nil
}

// title is the title with its number.
func (e *Edition) title() string { return fmt.Sprintf("%s, no. %d", e.in.Title, e.in.Number) }

func (e *Edition) date() string { return e.in.Date.Format("2 January 2006") }

// orMissing shows a gap as one.
func orMissing(s string) string {
	if strings.TrimSpace(s) == "" {
		return compare.Missing
	}
	return s
}

// cell shows a number of a column.
func cell(c compare.Cell) string {
	if c.Missing != "" {
		return compare.Missing
	}
	s := c.Value.String()
	if c.Bound != measure.Estimate {
		s = c.Bound.String() + " " + s
	}
	return s
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func withUnit(name, unit string) string {
	if unit == "" {
		return name
	}
	return name + ", " + unit
}

// write sets the document in reading order.
func (e *Edition) write() {
	s, in, c := &e.text, e.in, e.in.Comparison
	s.Heading(0, e.title())
	s.Paragraph(fmt.Sprintf("Published on %s by %s. Interest: %s.", e.date(), orMissing(in.Publisher), orMissing(in.Interest)))
	if in.Intro != "" {
		s.Paragraph(in.Intro)
	}
	if len(in.Corrections) > 0 {
		s.Heading(1, "Corrections")
		s.Name("corrections")
		for _, k := range in.Corrections {
			s.Bullet(fmt.Sprintf("No. %d, corrected on %s: %s", k.Number, k.Date, k.Text))
		}
	}
	e.writeRanking()
	e.writeTable()
	for _, p := range c.Pictures() {
		if p.Name == "ranking" {
			continue // stands with the ranking
		}
		s.Fit(p.Scene, "", 150)
		s.Name("picture-" + p.Name)
	}
	s.Need(50)
	s.Heading(1, "Short answers")
	s.Name("answers")
	s.Paragraph("Each can be quoted alone with its address.")
	for i, a := range e.answers {
		s.Paragraph(a.Text)
		s.Name("answer-" + c.Lamps[i].Entry.ID)
	}
	s.Heading(1, "The lamps one by one")
	for i := range c.Lamps {
		e.writeLamp(&c.Lamps[i])
	}
	e.writeRules()
	if len(in.Raw) > 0 {
		s.Heading(1, "Raw readings")
		s.Name("raw")
		s.Paragraph("The meters' files as they came; their sums are SHA-256.")
		t := draw.Table{Columns: []draw.Column{{Head: "lamp"}, {Head: "file"}, {Head: "bytes", Align: draw.Right}, {Head: "sum"}}}
		for _, f := range in.Raw {
			sum := fmt.Sprintf("%x", sha256.Sum256(f.Bytes))
			t.Rows = append(t.Rows, draw.Row{Cells: []string{f.Lamp, f.Name, fmt.Sprint(len(f.Bytes)), sum[:32] + " " + sum[32:]}})
		}
		s.Table(t)
	}
}

func (e *Edition) writeRanking() {
	s, k := &e.text, e.in.Comparison.Ranking
	s.Heading(1, capital(k.Metric.Name)+", "+k.Terms.String())
	s.Name("ranking")
	chart := e.in.Comparison.ranked()
	chart.Title = "" // the heading says it
	s.Fit(figure.Ranked(chart), "", 180)
	s.Name("picture-ranking")
	t := draw.Table{Columns: []draw.Column{{Head: "place"}, {Head: "lamp"}, {Head: withUnit(k.Metric.Name, k.Unit), Align: draw.Right}, {Head: "places that hold"}, {Head: "cannot be told from"}}}
	for _, r := range k.Rows {
		var ties []string
		for _, j := range r.Ties {
			ties = append(ties, k.Rows[j].Name)
		}
		t.Rows = append(t.Rows, draw.Row{Cells: []string{fmt.Sprint(r.Place), r.Name, cell(r.Cell), span(r.Low, r.High), orNone(strings.Join(ties, ", "))}})
	}
	if len(t.Rows) > 0 {
		s.Table(t)
	} else {
		s.Paragraph("No lamp has this number on these terms.")
	}
	for _, u := range k.Unranked {
		why := u.Missing
		if why == "" {
			why = "known as a limit only: " + cell(u)
		}
		s.Bullet(u.Name + " has no place: " + why + ".")
	}
	for _, l := range e.in.Comparison.Left {
		s.Bullet("Left out: " + l + ".")
	}
	if k.LogAxis {
		s.Note(capital(k.LogWhy) + ".")
	}
	for _, f := range k.Findings {
		s.Note(capital(f.What) + ".")
	}
}

func orNone(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

func span(lo, hi int) string {
	if lo == hi {
		return fmt.Sprint(lo)
	}
	return fmt.Sprintf("%d–%d", lo, hi)
}

func (e *Edition) writeTable() {
	s, c := &e.text, e.in.Comparison
	s.Heading(1, "Numbers on the same terms")
	s.Name("numbers")
	// A table for every three measures, so that it fits the paper.
	for from := 0; from < len(c.Table); from += 3 {
		cols := c.Table[from:min(from+3, len(c.Table))]
		t := draw.Table{Columns: []draw.Column{{Head: "lamp"}}}
		for _, k := range cols {
			t.Columns = append(t.Columns, draw.Column{Head: withUnit(k.Metric.Name, k.Unit), Align: draw.Right})
		}
		for i, l := range c.Lamps {
			row := draw.Row{Cells: []string{l.Entry.Name}}
			for _, k := range cols {
				row.Cells = append(row.Cells, cell(k.Cells[i]))
			}
			t.Rows = append(t.Rows, row)
		}
		s.Table(t)
	}
	for _, k := range c.Table {
		gone := map[string][]string{}
		var whys []string
		for _, x := range k.Cells {
			if x.Missing == "" {
				continue
			}
			if gone[x.Missing] == nil {
				whys = append(whys, x.Missing)
			}
			gone[x.Missing] = append(gone[x.Missing], x.Name)
		}
		for _, w := range whys {
			s.Note(fmt.Sprintf("%s is missing of %s: %s.", capital(k.Metric.Name), strings.Join(gone[w], ", "), w))
		}
	}
	s.Note("± is the expanded uncertainty, k = 2 (about 95 %).")
	ways := map[string][]string{}
	var order []string
	for _, x := range c.Table[0].Cells {
		if _, how, ok := strings.Cut(x.How, "; carried"); ok {
			if ways[how] == nil {
				order = append(order, how)
			}
			ways[how] = append(ways[how], x.Name)
		}
	}
	for _, how := range order {
		s.Note(fmt.Sprintf("Carried%s: %s.", how, strings.Join(ways[how], ", ")))
	}
}

func (e *Edition) writeLamp(l *Lamp) {
	s := &e.text
	s.Need(60)
	s.Heading(2, l.Entry.Name)
	s.Name("lamp-" + l.Entry.ID)
	about := string(l.Entry.Origin)
	if l.Whose != "" {
		about = l.Whose + ", " + about
	}
	if l.Maker != "" {
		about += ", maker " + l.Maker
	}
	if l.Entry.Price.Cents > 0 {
		about += ", " + l.Entry.Price.String()
	}
	if l.Entry.FaceLength > 0 && l.Entry.FaceWidth > 0 {
		about += fmt.Sprintf(", face %.0f × %.0f mm", 1e3*l.Entry.FaceLength, 1e3*l.Entry.FaceWidth)
	}
	if l.Entry.UseDistance > 0 {
		about += fmt.Sprintf(", meant for %.0f mm", 1e3*l.Entry.UseDistance)
	}
	s.Paragraph(capital(about) + ".")
	e.writeNumbers(l)
	if l.Claimed != "" || len(l.Claim) > 0 {
		s.Paragraph("What its seller says: " + orMissing(l.Claimed) + ".")
	}
	for _, f := range l.Claim {
		s.Bullet(fmt.Sprintf("%s: %s. %s.", f.Severity, f.What, capital(f.Mend)))
	}
	if l.Record != nil {
		for _, f := range l.Record.Findings {
			s.Bullet(fmt.Sprintf("%s: %s. %s.", f.Severity, f.What, capital(f.Cause)))
		}
	}
	t := draw.Table{Columns: []draw.Column{{Head: "a fair comparison states", Width: 62}, {Head: "of this lamp"}}}
	for _, i := range l.Entry.States() {
		t.Rows = append(t.Rows, draw.Row{Cells: []string{i.What, i.Given}})
	}
	s.Table(t)
}

// manyAlike are measures of which there are too many alike for a reader.
var manyAlike = regexp.MustCompile(`_h\d+$|^r([1-8]|1\d)$|^(der|elr)_(s|m|l|rod)|^chroma_[xy]10`)

func (e *Edition) writeNumbers(l *Lamp) {
	t := draw.Table{Columns: []draw.Column{{Head: "measure"}, {Head: "value", Align: draw.Right}, {Head: "unit"}, {Head: "how it was made"}}}
	var ids []string
	add := func(key string, d compare.Datum) {
		m, ok := measure.Declared(key)
		if !ok || manyAlike.MatchString(key) || !d.Value.Finite() {
			return
		}
		how := d.How
		if d.Distance > 0 {
			how = strings.TrimSuffix(fmt.Sprintf("at %.0f mm; %s", 1e3*d.Distance, how), "; ")
		}
		id := "lamp-" + l.Entry.ID + "-" + strings.ReplaceAll(key, "_", "-")
		if slices.Contains(ids, id) {
			id = fmt.Sprintf("%s-%.0f", id, 1e3*d.Distance)
		}
		ids = append(ids, id)
		t.Rows = append(t.Rows, draw.Row{Cells: []string{m.Name, cell(compare.Cell{Value: d.Value, Bound: d.Bound}), m.Unit, how}})
	}
	if l.Record != nil {
		for _, m := range l.Record.Values {
			for _, d := range l.Entry.Values[m.Key] {
				add(m.Key, d)
			}
		}
	} else {
		keys := make([]string, 0, len(l.Entry.Values))
		for k := range l.Entry.Values {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for _, k := range keys {
			for _, d := range l.Entry.Values[k] {
				add(k, d)
			}
		}
	}
	if len(t.Rows) == 0 {
		e.text.Paragraph("Nothing was read of it.")
		return
	}
	e.text.Table(t)
	e.text[len(e.text)-1].RowIDs = ids
}

func (e *Edition) writeRules() {
	s, k := &e.text, e.in.Comparison.Ranking
	s.Heading(1, "How to read this")
	s.Name("rules")
	s.Paragraph(capital(k.Rule) + ".")
	s.Paragraph("A reading is carried to another distance by the law of an even face of the lamp's size, never by the inverse square near a face, and not at all when the size is not known. Uncertainties follow JCGM 100:2008 (GUM), places JCGM 101:2008.")
	s.Paragraph("Minutes are those of two tested protocols, 2500 lx for two hours and 10 000 lx for half an hour, and between them go as one over lux (common practice in guidelines). Outside that span there is no tested protocol and none are given. No effect on anyone's health is promised.")
	s.Caution("Before using bright light", "Eye disease or surgery, medicines or illnesses that make eyes or skin sensitive to light, bipolar disorder (bright light can bring on mania), epilepsy or migraine: ask a clinician first. A published guideline tells patients to use tested lamps, not home-made ones.")
	s.Note("Made by " + orMissing(e.in.Program) + ".")
}
