package edition

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/spectrum"
	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

func light(t *testing.T, name string) *spectrum.Spectrum {
	t.Helper()
	s, err := spectrum.Illuminant(name)
	if err != nil {
		t.Fatal(err)
	}
	return &s
}

// lamps are invented: one of each kind of trouble.
func lamps(t *testing.T) []Lamp {
	t.Helper()
	make_ := func(id, name string, lux, lum, d float64) Lamp {
		r := measure.Record{Run: id + "-run", Subject: measure.Subject{Lamp: id, Name: name}, Instrument: "lx-1", Spectrum: light(t, "FL11"),
			Conditions: measure.Conditions{FaceLength: 0.5, FaceWidth: 0.3, Distance: 0.4, Date: "2026-11-21"}}
		if lux > 0 {
			r.Values = append(r.Values, measure.Measured{Key: predict.MeterLux, Value: quantity.Measured(lux, 0.02*lux, id), Distance: 0.4, How: "read by hand"})
		}
		if lum > 0 {
			r.Values = append(r.Values, measure.Measured{Key: predict.FaceMean, Value: quantity.Measured(lum, 0.02*lum, id+" face"), How: "read by hand"})
		}
		e := compare.Measured(id, r)
		e.UseDistance = d
		e.Price = part.Money{Cents: 8900, Currency: "EUR"}
		return Lamp{Entry: e, Record: &r, Whose: "bought", Maker: "invented maker A"}
	}
	a, b := make_("panel", "large panel", 6300, 8200, 0.5), make_("tray", "tray lamp <nine rows>", 6400, 11000, 0.4)
	a.Claimed = "10 000 lx at no distance"
	a.Claim = []finding.Finding{{Severity: finding.Warn, Key: "claim.lux_without_distance", What: "10 000 lx are stated without a distance", Mend: "ask at what distance"}}
	dark := make_("attic", "a lamp from the attic whose name somebody thought should say everything about where it came from", 0, 0, 0)
	dark.Record.Spectrum, dark.Record.Values = nil, nil
	dark.Entry = compare.Measured("attic", *dark.Record)
	wall := make_("wall", "wall of light", 120000, 60000, 1)
	wall.Entry.FaceLength, wall.Entry.FaceWidth = 2, 1
	return []Lamp{a, b, dark, wall}
}

func compared(t *testing.T, ls []Lamp) Comparison {
	t.Helper()
	var entries []compare.Entry
	for _, l := range ls {
		entries = append(entries, l.Entry)
	}
	tab, err := compare.Table(entries, []string{predict.MeterLux, predict.FaceMean, predict.Ra, predict.MainsPower}, compare.Terms{Where: compare.SameDistance, Distance: 0.4})
	if err != nil {
		t.Fatal(err)
	}
	r, err := compare.Rank(tab[0], compare.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return Comparison{Ranking: r, Table: tab, Lamps: ls, Left: []string{"check lamp: only watches the meter"}}
}

func input(t *testing.T) Input {
	return Input{Slug: "winter", Title: "Lamps of a winter", Number: 3, Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), Comparison: compared(t, lamps(t)), Interest: "one was built by the publisher",
		Corrections: []Correction{{2, "2026-11-25", "the tray lamp had been read too near"}}, Raw: []File{{"panel", "log.txt", []byte("minutes,lx\n0,6300\n")}}, Program: "dawnsmith test"}
}

func edition(t *testing.T, in Input) *Edition {
	t.Helper()
	e, err := New(in)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func page(t *testing.T, e *Edition) string {
	t.Helper()
	var b bytes.Buffer
	if err := e.HTML(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// texts joins the words of a page.
func texts(t *testing.T, page string) string {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	var walk func(*html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.ElementNode && (n.Data == "style" || n.Data == "svg") {
			return
		}
		if n.Type == html.TextNode {
			b.WriteString(n.Data + " ")
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(root)
	return b.String()
}

func TestPage(t *testing.T) {
	e := edition(t, input(t))
	p := page(t, e)
	words := texts(t, p)
	for _, want := range []string{"Lamps of a winter, no. 3", "25 November 2026", "by missing", "one was built by the publisher", "No. 2, corrected on 2026-11-25: the tray lamp had been read too near",
		"Left out: check lamp", "tray lamp <nine rows>", "6300 ± 250", "has no place", "10 000 lx are stated without a distance", "photographs of the set-up missing", "ask a clinician first", "Published", "log.txt", "Nothing was read of it"} {
		if !strings.Contains(strings.ReplaceAll(strings.Join(strings.Fields(words), " "), "\u202f", " "), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if strings.Contains(p, "NaN") || strings.Contains(p, "Inf") || strings.Contains(p, "<nine") {
		t.Error("nonsense or markup of a name on the page")
	}
	// It needs nothing else.
	if m := regexp.MustCompile(`(src|href)="(https?:|//|/)[^"]*"|url\((["']?)(https?:|//)|<script|@import`).FindString(p); m != "" {
		t.Errorf("the page asks for %q", m)
	}
	// Addresses are there once, and all that are pointed at exist.
	ids := map[string]int{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(p, -1) {
		if ids[m[1]]++; ids[m[1]] > 1 {
			t.Errorf("the address %s stands twice", m[1])
		}
	}
	for _, id := range []string{"ranking", "numbers", "answers", "corrections", "rules", "raw", "lamp-panel", "lamp-panel-meter-illuminance-lx", "answer-tray", "picture-scatter"} {
		if ids[id] == 0 {
			t.Errorf("no address %s", id)
		}
	}
	for _, m := range regexp.MustCompile(`href="#([^"]+)"`).FindAllStringSubmatch(p, -1) {
		if ids[m[1]] == 0 {
			t.Errorf("#%s leads nowhere", m[1])
		}
	}
}

// Page, table and data say the same.
func TestAgreement(t *testing.T) {
	e := edition(t, input(t))
	words := texts(t, page(t, e))
	var b bytes.Buffer
	if err := e.CSV(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 1+4*4 {
		t.Errorf("%d rows, want a head and four measures of four lamps", len(rows))
	}
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	var d data
	b.Reset()
	if err := e.JSON(&b); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b.Bytes(), &d); err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		if r[col["missing"]] != "" {
			if r[col["value"]] != "" {
				t.Errorf("%v: a missing number has a value", r)
			}
			continue
		}
		var x, u float64
		fmt.Sscan(r[col["value"]], &x)
		fmt.Sscan(r[col["standard_uncertainty"]], &u)
		if s := quantity.FormatUncertain(x, 2*u); !strings.Contains(words, s) {
			t.Errorf("%s of %s is %s in the table and not on the page", r[col["key"]], r[col["lamp"]], s)
		}
		found := false
		for _, c := range d.Table {
			for _, cell := range c.Cells {
				found = found || c.Metric.Key == r[col["key"]] && cell.ID == r[col["lamp"]] && cell.Value.X == x
			}
		}
		if !found {
			t.Errorf("%s of %s is not among the data", r[col["key"]], r[col["lamp"]])
		}
	}
	if len(d.Lamps) != 4 || d.Number != 3 || len(d.Answers) != 4 || len(d.Raw) != 1 || len(d.Raw[0].Sum) != 64 {
		t.Errorf("data: %d lamps, no. %d, %d answers, %v", len(d.Lamps), d.Number, len(d.Answers), d.Raw)
	}
}

func TestPaper(t *testing.T) {
	for _, size := range []draw.PageSize{draw.A4, draw.Letter} {
		var a, b bytes.Buffer
		if err := edition(t, input(t)).PDF(&a, size); err != nil {
			t.Fatal(err)
		}
		if err := edition(t, input(t)).PDF(&b, size); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a.Bytes(), b.Bytes()) || !bytes.HasPrefix(a.Bytes(), []byte("%PDF-")) {
			t.Error("the PDF is none, or differs from run to run")
		}
	}
}

// A short answer's numbers against the closed form: an even 500 × 300 mm face
// that gives 6300 lx at 400 mm (four corner rectangles, as in every handbook of
// configuration factors).
func TestAnswers(t *testing.T) {
	e := edition(t, input(t))
	a := e.Answers()
	f := func(d float64) float64 {
		x, y := 0.25/d, 0.15/d
		return x/math.Sqrt(1+x*x)*math.Atan(y/math.Sqrt(1+x*x)) + y/math.Sqrt(1+y*y)*math.Atan(x/math.Sqrt(1+y*y))
	}
	l := 6300 / f(0.4)
	if want := l * f(0.5); math.Abs(a[0].Lux-want) > 1 {
		t.Errorf("at 500 mm %g lx, want %g", a[0].Lux, want)
	}
	// 30 min · 10 000 lx / E between the tested protocols (Terman et al. 1989).
	if want := 3e5 / a[0].Lux; math.Abs(a[0].Minutes-want) > 0.5 {
		t.Errorf("%g minutes, want %g", a[0].Minutes, want)
	}
	for lux, d := range a[0].At {
		var x float64
		fmt.Sscan(lux, &x)
		if got := l * f(d); math.Abs(got/x-1) > 1e-3 {
			t.Errorf("%s lx are said to be at %g m; there are %g", lux, d, got)
		}
	}
	if a[0].Enough != "no" || a[1].Enough != "yes" || a[2].Enough != "" || a[2].Minutes != 0 {
		t.Errorf("enough: %q, %q, %q", a[0].Enough, a[1].Enough, a[2].Enough)
	}
	if !strings.Contains(a[2].Text, "nobody said at what distance") {
		t.Errorf("of a lamp nobody read: %s", a[2].Text)
	}
	for _, x := range a {
		if strings.Contains(x.Text, "NaN") || !strings.HasSuffix(x.Text, ".") {
			t.Errorf("%s", x.Text)
		}
	}
}

func TestFramed(t *testing.T) {
	for _, size := range []image.Point{Video, Article} {
		for _, p := range edition(t, input(t)).Pictures() {
			s, per := Framed(p.Scene, size)
			var b bytes.Buffer
			if err := draw.PNG(&b, s, draw.PNGOptions{PerMM: per}); err != nil {
				t.Fatal(err)
			}
			c, err := png.DecodeConfig(&b)
			if err != nil || c.Width != size.X || c.Height != size.Y {
				t.Errorf("%s: %d × %d, want %v, %v", p.Name, c.Width, c.Height, size, err)
			}
		}
	}
}

func TestRefused(t *testing.T) {
	for name, spoil := range map[string]func(*Input){
		"slug": func(i *Input) { i.Slug = "A b" }, "number": func(i *Input) { i.Number = 0 }, "date": func(i *Input) { i.Date = time.Time{} },
		"lamps": func(i *Input) { i.Comparison.Lamps = nil }, "twice": func(i *Input) { i.Comparison.Lamps[1].Entry.ID = "panel" }, "table": func(i *Input) { i.Comparison.Table = nil },
	} {
		in := input(t)
		spoil(&in)
		if _, err := New(in); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	// One lamp, without anything.
	in := input(t)
	in.Comparison = compared(t, lamps(t)[2:3])
	in.Raw, in.Corrections, in.Title = nil, nil, ""
	if p := page(t, edition(t, in)); !strings.Contains(p, "No lamp has this number") || !strings.Contains(p, "Lamps compared, no. 3") {
		t.Error("an edition of a lamp that nobody read does not say so")
	}
}
