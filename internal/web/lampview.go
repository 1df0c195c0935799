package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/internal/album"
	"dawnsmith/internal/app"
	"dawnsmith/internal/form"
	"dawnsmith/internal/shelf"
	"dawnsmith/lamp"
	"dawnsmith/lamp/price"
	"dawnsmith/lamp/search"
	"dawnsmith/lamp/wiring"
	"dawnsmith/quantity"
)

// lampView is what the page of a lamp shows.
type lampView struct {
	frame
	s *Server
	p *lampPage

	Name, Path, Query string
	// Ans is nil when the lamp could not be worked out; Trouble says why.
	Ans      *app.Answer
	Trouble  string
	Sure     bool // the uncertainties are in
	Noscript bool // say how to get what script would fetch

	Findings  []findingView
	Revisions []shelf.Revision
	Others    []string // lamps to compare with
	fields    []form.Field
	briefs    []form.Option
	groups    map[string]app.Group
}

// fieldView is one input.
type fieldView struct {
	form.Field
	Text, Err string
	Options   []form.Option
	// Slider holds the place of the slider's knob, "" for none.
	Slider string
	// Try is where the form is sent to see what the other choices would do.
	Try string
}

// findingView is a finding with its ways out.
type findingView struct {
	finding.Finding
	// Mends lead to the lamp with the mend made.
	Mends []link
	// Try leads to changes that clear it.
	Try string
	// Override is the key of the field for a reason; "" when it cannot be.
	Override, Reason string
}

type link struct{ Text, Href string }

// changeView is one changed field with the way back.
type changeView struct{ Name, From, To, Back string }

// numberView is one number.
type numberView struct {
	app.Row
	X, U    string
	Formula string
	Inputs  []string // "flux of the LEDs: 5210 lm"
	From    []string // "strip flux (assumed): 61 %"
}

// lampView makes the view; err is why there is no answer.
func (s *Server) lampView(r *http.Request, p *lampPage, ans app.Answer, err error) *lampView {
	v := &lampView{frame: s.frame(r, p.state.Doc.Name), s: s, p: p, Name: p.name, Path: lampPath(p.name), Query: p.encoded,
		fields: p.fields(s.lamps)}
	v.Back = p.at("")
	if err != nil {
		v.Trouble = err.Error()
		return v
	}
	v.Ans = &ans
	v.groups = map[string]app.Group{}
	for _, g := range ans.Shown() {
		v.groups[g.Title] = g
	}
	v.Findings = v.findings()
	return v
}

// findings joins what prediction, wiring and session say, gravest first, with
// their ways out.
func (v *lampView) findings() []findingView {
	fs := slices.Clone(v.Ans.Result.Findings)
	for _, f := range wiring.Of(v.Ans.Lamp, wiring.Options{}).Findings {
		if !finding.Has(fs, f.Key) {
			fs = append(fs, f)
		}
	}
	for _, f := range v.Ans.Session.Findings {
		if !finding.Has(fs, f.Key) {
			fs = append(fs, f)
		}
	}
	finding.Sort(fs)
	var out []findingView
	for _, f := range fs {
		fv := findingView{Finding: f, Reason: form.Get(v.p.state.Doc, form.Override(f.Key))}
		if len(f.Changes) > 0 {
			changes := map[string]string{}
			var words []string
			for _, c := range f.Changes {
				changes[c.Path] = plainValue(c.Value)
				words = append(words, fmt.Sprintf("%s %s", v.fieldName(c.Path), orNone(plainValue(c.Value))))
			}
			next := v.p.state.With(changes)
			if next.Query().Encode() != v.p.state.Query().Encode() {
				fv.Mends = append(fv.Mends, link{strings.Join(words, ", "), v.to(next.Query())})
			}
		}
		if f.Severity >= finding.Warn && len(fv.Mends) == 0 {
			fv.Try = v.p.at("/try/" + escapePath(f.Key))
		}
		if f.Severity == finding.Stop && !f.NoOverride {
			fv.Override = form.Override(f.Key).Key
		}
		out = append(out, fv)
	}
	return out
}

// plainValue takes the quotes off a value written as in a document.
func plainValue(s string) string {
	if len(s) >= 2 && s[0] == '"' && s[len(s)-1] == '"' {
		return s[1 : len(s)-1]
	}
	return s
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func (v *lampView) fieldName(key string) string {
	for _, f := range v.fields {
		if f.Key == key {
			return f.Name
		}
	}
	return strings.ReplaceAll(key, "_", " ")
}

// to is the address of another state of this lamp.
func (v *lampView) to(q url.Values) string {
	if v.p.brief != "" {
		q.Set("brief", v.p.brief)
	}
	return address(v.Path, q)
}

// Changes lists what differs from the file.
func (v *lampView) Changes() []changeView {
	var out []changeView
	for _, c := range v.p.state.Changes() {
		back := v.p.state.With(map[string]string{c.Field.Key: c.From})
		out = append(out, changeView{c.Field.Name, orNone(c.From), orNone(c.To), v.to(back.Query())})
	}
	return out
}

// Bad counts the fields that were not understood.
func (v *lampView) Bad() int { return len(v.p.state.Bad) }

// Notes say what else had to change.
func (v *lampView) Notes() []string { return v.p.state.Notes }

// Opened is the file as it was opened.
func (v *lampView) Opened() shelf.Opened[lamp.Spec] { return v.p.opened }

// Doc is the lamp's document.
func (v *lampView) Doc() lamp.Spec { return v.p.state.Doc }

// New tells that the lamp is on no shelf yet.
func (v *lampView) New() bool { return v.p.opened.Token == "" }

// As suggests a name to save under.
func (v *lampView) As() string {
	if v.p.name != newName {
		return v.p.name
	}
	return slug(v.p.state.Doc.Name)
}

// ticks lists the fields that are yes or no.
func (v *lampView) Ticks() string {
	var keys []string
	for _, f := range v.fields {
		if f.Kind == form.Tick {
			keys = append(keys, f.Key)
		}
	}
	return strings.Join(keys, " ")
}

// Drives lists the ids of the channels' fields.
func (v *lampView) Drives() []string {
	var ids []string
	for _, f := range v.fields {
		if strings.HasPrefix(f.Key, "drive.") {
			ids = append(ids, "f-"+f.ID())
		}
	}
	return ids
}

// field makes the view of one input.
func (v *lampView) field(f form.Field) fieldView {
	fv := fieldView{Field: f, Text: v.p.state.Text(f)}
	if b, ok := v.p.state.Bad[f.Key]; ok {
		fv.Err = capital(b.Why) + "."
	}
	if f.Kind == form.Pick {
		fv.Options = f.Options
		if f.Part != "" {
			set := v.s.app.Parts.Layer(v.p.state.Doc.Parts)
			fv.Options = form.PartOptions(set, f.Part)
			fv.Try = v.Path + "/try/" + escapePath(f.Key)
		}
		if f.Optional {
			fv.Options = append([]form.Option{{Value: "", Label: "none"}}, fv.Options...)
		}
		if !slices.ContainsFunc(fv.Options, func(o form.Option) bool { return o.Value == fv.Text }) {
			fv.Options = append(fv.Options, form.Option{Value: fv.Text, Label: fv.Text + " (not in the catalogue)"})
		}
	}
	if f.Key == "row_lines" {
		fv.Try = v.Path + "/try/" + f.Key
	}
	if v.Ans != nil {
		switch f.Key {
		case "rows":
			fv.High = float64(v.Ans.Lamp.RowsThatFit())
		case "units_per_row":
			fv.High = float64(v.Ans.Lamp.UnitsThatFit())
		}
	}
	if fv.High > fv.Low {
		fv.Slider = v.knob(f)
	}
	return fv
}

// knob is where a field's slider stands.
func (v *lampView) knob(f form.Field) string {
	probe := v.p.state.Doc
	x := quantity.Digits(0, 1)
	text := form.Get(probe, f)
	if f.Kind == form.Whole {
		return text
	}
	si, err := quantity.Parse(text, f.Dim)
	if err != nil {
		return x
	}
	y, ok := f.Dim.In(si, f.Unit)
	if !ok {
		y = si
		if f.Unit == "%" {
			y = 100 * si
		}
	}
	return fmt.Sprintf("%.6g", y)
}

// numbers makes the view of a group.
func (v *lampView) numbers(title string) []numberView {
	var out []numberView
	for _, r := range v.groups[title].Rows {
		n := numberView{Row: r, X: r.Value}
		n.X, n.U, _ = strings.Cut(r.Value, " ± ")
		for _, c := range r.From {
			n.From = append(n.From, fmt.Sprintf("%s: %s %%", c.Source, quantity.Digits(100*c.Share, 2)))
		}
		if why, ok := app.Why(r.Key); ok {
			n.Formula = why.Formula
			for _, k := range why.Inputs {
				if in, ok := v.Ans.Row(k); ok {
					n.Inputs = append(n.Inputs, strings.TrimSpace(fmt.Sprintf("%s: %s %s", in.Name, in.Value, in.Unit)))
				}
			}
		}
		out = append(out, n)
	}
	return out
}

// checkView is one limit of the brief held against the lamp.
type checkView struct {
	Name, Bound, Limit, Got, Verdict string
	Missed                           bool
}

// Checks are the brief's limits.
func (v *lampView) Checks() []checkView { return checkViews(v.Ans.Checks, v.Ans) }

func checkViews(cs []search.Check, ans *app.Answer) []checkView {
	var out []checkView
	for _, c := range cs {
		out = append(out, checkView{c.Name, string(c.Bound), c.LimitText(), c.Text(c.Got), app.Verdict(c, ans), !c.Met()})
	}
	return out
}

// Lines are those of the shopping list that are bought for the lamp, Tools
// those bought once.
func (v *lampView) Lines() (out []price.Line) {
	for _, l := range v.Ans.Bill.Lines {
		if l.Class != price.ToolClass {
			out = append(out, l)
		}
	}
	return out
}

// Tools lists the tools.
func (v *lampView) Tools() string {
	var names []string
	for _, l := range v.Ans.Bill.Lines {
		if l.Class == price.ToolClass {
			names = append(names, l.Name)
		}
	}
	return strings.Join(names, ", ")
}

// Doubts are the numbers whose uncertainty is worth a measurement.
func (v *lampView) Doubts() []numberView {
	var out []numberView
	for _, title := range groupTitles {
		for _, n := range v.numbers(title) {
			if n.U != "" && slices.Contains(doubted, n.Key) {
				out = append(out, n)
			}
		}
	}
	return out
}

// Stops counts the findings that keep the lamp from a build pack.
func (v *lampView) Stops() int {
	n := 0
	for _, f := range v.Findings {
		if f.Severity == finding.Stop && f.Reason == "" {
			n++
		}
	}
	return n
}

// sections lists the blocks besides fields and pictures.
var sections = []string{"say", "state", "changes", "met", "n-counts", "session", "made", "layout", "n-size", "against", "face", "n-face", "light", "n-itself",
	"eyes", "n-eyes", "box", "n-box", "drives", "flow", "n-flow", "heat", "n-heat", "price", "sure", "granted", "keep", "take", "pack"}

// always are the words that come first even when they are not in view: the
// page's state and what leads on from it.
var always = []string{"say", "state", "changes", "drives", "keep", "take", "pack"}

// groupOf names the group behind each block of numbers.
var groupOf = map[string]string{"n-counts": "Light where it counts", "n-face": "The face", "n-itself": "The light itself", "n-eyes": "Eyes",
	"n-box": "Light in the box", "n-flow": "Current and power", "n-heat": "Heat", "n-size": "Size, mass and money"}

var groupTitles = []string{"Light where it counts", "The face", "The light itself", "Eyes", "Light in the box", "Current and power", "Heat", "Size, mass and money"}

func (v *lampView) ids(ph phase, seen map[string]bool) []string {
	var ids []string
	for _, id := range sections {
		if ph != now || seen == nil || seen[id] || slices.Contains(always, id) {
			ids = append(ids, id)
		}
	}
	if ph != more {
		for _, f := range v.fields {
			ids = append(ids, "f-"+f.ID())
		}
		ids = append(ids, "f-brief")
	}
	for _, p := range album.All() {
		if ph == late || !p.Slow && !p.Doubt && (ph == more || seen["p-"+p.Key]) {
			ids = append(ids, "p-"+p.Key)
		}
	}
	return ids
}

func (v *lampView) block(id string) (block, bool) {
	if key, ok := strings.CutPrefix(id, "p-"); ok {
		p, ok := album.Of(key)
		if !ok {
			return block{}, false
		}
		if p.Slow && v.Noscript {
			late := pictureView{Key: p.Key, Name: p.Name, Late: true, Path: v.Path + "/picture/" + p.Key}
			if v.Query != "" {
				late.Query = "?" + v.Query
			}
			return block{id: id, tmpl: "picture", data: late}, true
		}
		return block{id: id, tmpl: "picture", data: drawn(p, v.Ans, v.Path, v.Query)}, true
	}
	if id == "f-brief" {
		return block{id: id, tmpl: "field", data: v.briefField()}, true
	}
	if strings.HasPrefix(id, "f-") {
		for _, f := range v.fields {
			if "f-"+f.ID() == id {
				return block{id: id, tmpl: "field", data: v.field(f)}, true
			}
		}
		return block{}, false
	}
	if title, ok := groupOf[id]; ok {
		return block{id: id, tmpl: "numbers", data: v.numbers(title)}, true
	}
	b := block{id: id, tmpl: "b-" + id, data: v}
	if id == "drives" {
		b.sum = "s" + strings.Join(v.Drives(), "+")
	}
	return b, true
}

// briefField picks what the lamp is held against.
func (v *lampView) briefField() fieldView {
	f := fieldView{Field: form.Field{Key: "brief", Name: "held against the brief", Hint: "its place is taken over", Kind: form.Pick, Optional: true}, Text: v.p.brief}
	f.Options = append(f.Options, form.Option{Label: "none"})
	briefs, err := v.s.shelf.Briefs()
	if err != nil {
		return f
	}
	for _, b := range briefs {
		if b.Err == nil {
			f.Options = append(f.Options, form.Option{Value: b.Name, Label: b.Doc.Name})
		}
	}
	return f
}

// slug makes a file name of a title.
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
	if s := strings.Trim(b.String(), "-"); s != "" {
		return s
	}
	return "lamp"
}
