package edition

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"slices"
	"strconv"

	"dawnsmith/bench/compare"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/internal/script"
	"dawnsmith/quantity"
)

// css is what this page adds to the script's own.
const css = `nav ol{columns:2 14rem;font-size:.9rem}
:target{background:var(--tint,#f2e4d8)}
a{color:var(--accent)}
th.r{white-space:normal}
figure svg{width:100%;height:auto}
#raw~.wide td:last-child{overflow-wrap:anywhere}
@media(max-width:40rem){main{padding:.8rem}table{font-size:.82rem}figure{overflow-x:auto}figure svg{min-width:34rem}}
`

// HTML writes the edition as one page that needs nothing else.
func (e *Edition) HTML(w io.Writer) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>%s</title>\n<style>\n", html.EscapeString(e.title()))
	if err := draw.CSS(&b); err != nil {
		return fmt.Errorf("edition: %w", err)
	}
	b.WriteString(script.CSS + css + "</style>\n</head>\n<body>\n<main>\n")
	// The title and who publishes, then the way to everything, then the rest.
	if err := e.text[:2].HTML(&b); err != nil {
		return err
	}
	b.WriteString("<nav aria-label=\"In this edition\"><ol>\n")
	for _, k := range e.text[2:] {
		if k.Kind == script.Heading && k.ID != "" {
			fmt.Fprintf(&b, "<li><a href=\"#%s\">%s</a></li>\n", html.EscapeString(k.ID), html.EscapeString(k.Text))
		}
	}
	b.WriteString("</ol></nav>\n")
	if err := e.text[2:].HTML(&b); err != nil {
		return err
	}
	for _, f := range e.in.Raw {
		fmt.Fprintf(&b, "<p>Attached: <a download=\"%s\" href=\"data:application/octet-stream;base64,%s\">%s</a>, of %s.</p>\n",
			html.EscapeString(f.Name), base64.StdEncoding.EncodeToString(f.Bytes), html.EscapeString(f.Name), html.EscapeString(f.Lamp))
	}
	fmt.Fprintf(&b, "<footer>%s, %s. No effect on health is claimed.</footer>\n</main>\n</body>\n</html>\n", html.EscapeString(e.title()), html.EscapeString(e.date()))
	_, err := w.Write(b.Bytes())
	return err
}

func (e *Edition) document(size draw.PageSize) (*draw.Document, error) {
	var files []draw.Attachment
	for _, f := range e.in.Raw {
		files = append(files, draw.Attachment{Name: f.Lamp + "-" + f.Name, Text: "raw readings of " + f.Lamp, Data: f.Bytes})
	}
	d := draw.NewDocument(draw.DocumentOptions{Title: e.title(), Subject: "Lamps compared on equal terms", Author: e.in.Publisher, Size: size,
		Header: e.title(), Footer: e.date() + ". No effect on health is claimed.", Date: e.in.Date, Palette: draw.Print(), Attachments: files})
	return d, e.text.Lay(d, size)
}

// PDF writes the edition on paper, raw readings attached; the same bytes each
// time.
func (e *Edition) PDF(w io.Writer, size draw.PageSize) error {
	d, err := e.document(size)
	if err != nil {
		return fmt.Errorf("edition: %w", err)
	}
	return d.PDF(w)
}

// number writes a number with all its digits; "" where there is none.
func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// CSV writes one row for each lamp and measure on the terms of the comparison.
func (e *Edition) CSV(w io.Writer) error {
	c := csv.NewWriter(w)
	k := e.in.Comparison.Ranking
	rows := [][]string{{"edition", "number", "date", "lamp", "name", "measure", "key", "unit", "terms", "value", "standard_uncertainty", "low_k2", "high_k2", "bound", "distance_m", "place", "place_low", "place_high", "missing", "how"}}
	for n, col := range e.in.Comparison.Table {
		for _, x := range col.Cells {
			r := []string{e.in.Slug, strconv.Itoa(e.in.Number), e.in.Date.Format("2006-01-02"), x.ID, x.Name, col.Metric.Name, col.Metric.Key, col.Unit, col.Terms.String(), "", "", "", "", "", "", "", "", "", x.Missing, x.How}
			if x.Missing == "" {
				u := x.Value.U()
				r[9], r[10], r[11], r[12], r[13] = number(x.Value.X), number(u), number(x.Value.X-2*u), number(x.Value.X+2*u), x.Bound.String()
			}
			if x.Distance > 0 {
				r[14] = number(x.Distance)
			}
			if i := slices.IndexFunc(k.Rows, func(y compare.Row) bool { return y.ID == x.ID }); n == 0 && i >= 0 {
				r[15], r[16], r[17] = strconv.Itoa(k.Rows[i].Place), strconv.Itoa(k.Rows[i].Low), strconv.Itoa(k.Rows[i].High)
			}
			rows = append(rows, r)
		}
	}
	if err := c.WriteAll(rows); err != nil {
		return fmt.Errorf("edition: %w", err)
	}
	return nil
}

// data is an edition as JSON; docs/json.md describes it.
type data struct {
	Slug        string           `json:"slug"`
	Number      int              `json:"number"`
	Title       string           `json:"title"`
	Date        string           `json:"date"`
	Publisher   string           `json:"publisher"`
	Interest    string           `json:"interest"`
	Corrections []correctionData `json:"corrections"`
	Terms       string           `json:"terms"`
	Ranking     compare.Ranking  `json:"ranking"`
	Table       []compare.Column `json:"table"`
	Lamps       []lampData       `json:"lamps"`
	Answers     []Answer         `json:"answers"`
	Left        []string         `json:"left_out"`
	Raw         []rawData        `json:"raw"`
	Program     string           `json:"program"`
}

type correctionData struct {
	Number int    `json:"number"`
	Date   string `json:"date"`
	Text   string `json:"text"`
}

type lampData struct {
	ID      string               `json:"id"`
	Name    string               `json:"name"`
	Whose   string               `json:"whose"`
	Origin  compare.Origin       `json:"origin"`
	Address string               `json:"address"` // within the page
	Claimed string               `json:"claimed,omitempty"`
	Values  map[string][]numData `json:"values"`
	States  []compare.Item       `json:"states"`
}

type numData struct {
	Value    float64 `json:"value"`
	U        float64 `json:"u"`
	Bound    string  `json:"bound"`
	Distance float64 `json:"distance_m,omitempty"`
	How      string  `json:"how"`
}

type rawData struct {
	Lamp string `json:"lamp"`
	Name string `json:"name"`
	Sum  string `json:"sha256"`
}

// JSON writes the edition as data.
func (e *Edition) JSON(w io.Writer) error {
	in := e.in
	d := data{Slug: in.Slug, Number: in.Number, Title: in.Title, Date: in.Date.Format("2006-01-02"), Publisher: in.Publisher, Interest: in.Interest,
		Corrections: []correctionData{}, Terms: in.Comparison.Ranking.Terms.String(), Ranking: in.Comparison.Ranking, Table: in.Comparison.Table,
		Answers: e.answers, Left: append([]string{}, in.Comparison.Left...), Raw: []rawData{}, Program: in.Program}
	for _, c := range in.Corrections {
		d.Corrections = append(d.Corrections, correctionData(c))
	}
	for _, l := range in.Comparison.Lamps {
		x := lampData{ID: l.Entry.ID, Name: l.Entry.Name, Whose: l.Whose, Origin: l.Entry.Origin, Address: "#lamp-" + l.Entry.ID, Claimed: l.Claimed, Values: map[string][]numData{}, States: l.Entry.States()}
		for key, ds := range l.Entry.Values {
			for _, v := range ds {
				if v.Value.Finite() {
					x.Values[key] = append(x.Values[key], numData{v.Value.X, v.Value.U(), v.Bound.String(), v.Distance, v.How})
				}
			}
		}
		d.Lamps = append(d.Lamps, x)
	}
	for _, f := range in.Raw {
		d.Raw = append(d.Raw, rawData{f.Lamp, f.Name, fmt.Sprintf("%x", sha256.Sum256(f.Bytes))})
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(d)
}

// Claimed says in words what a seller states.
func Claimed(c compare.Claim) string {
	var out []byte
	add := func(f string, x ...any) {
		if len(out) > 0 {
			out = append(out, ", "...)
		}
		out = fmt.Appendf(out, f, x...)
	}
	if c.Lux > 0 {
		add("%s lx", quantity.Digits(c.Lux, 4))
		if c.Distance > 0 {
			out = fmt.Appendf(out, " at %s", mm(c.Distance))
		} else {
			out = append(out, " at no distance"...)
		}
	}
	if c.Lumens > 0 {
		add("%s lm", quantity.Digits(c.Lumens, 4))
	}
	if c.Watts > 0 {
		add("%s W", quantity.Digits(c.Watts, 3))
		if c.LEDWatts {
			out = append(out, " of LEDs"...)
		}
	}
	if c.CCT > 0 {
		add("%.0f K", c.CCT)
	}
	if c.Ra > 0 {
		add("Ra %.0f", c.Ra)
	}
	return string(out)
}
