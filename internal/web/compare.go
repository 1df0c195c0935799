package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/internal/form"
	"dawnsmith/internal/shelf"
	"dawnsmith/lamp"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
	"dawnsmith/quantity"
)

// compareView holds a lamp against an earlier state of it, or another lamp.
type compareView struct {
	frame
	Name, Path, Query string
	Revisions         []shelf.Revision
	Others            []shelf.Opened[lamp.Spec]
	With              string // "r3", "file", "lamp:other"
	WithName          string
	Changes           []changeView
	Rows              []differenceView
	Raised, Cleared   []finding.Finding
	Compared          bool
	Trouble           string
}

type differenceView struct {
	Name, Before, After, Unit, Change, Reason string
	Certain                                   bool
}

// compare tells every difference between two lamps.
func (s *Server) compare(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openLamp(w, r)
	if !ok {
		return
	}
	v := compareView{frame: s.frame(r, p.state.Doc.Name+", compared"), Name: p.name, Path: lampPath(p.name), Query: p.encoded,
		Revisions: s.shelf.Revisions(p.name), With: r.URL.Query().Get("with")}
	all, err := s.shelf.Lamps()
	if err != nil {
		v.Trouble = err.Error()
	}
	for _, o := range all {
		if o.Err == nil && o.Name != p.name {
			v.Others = append(v.Others, o)
		}
	}
	if v.With != "" {
		before, name, err := s.other(p, v.With)
		if err == nil {
			v.WithName = name
			v.Changes = changed(s.lamps, before, p.state.Doc)
			err = s.differ(r, &v, before, p.state.Doc)
		}
		if err != nil {
			v.Trouble = capital(err.Error()) + "."
		}
	}
	s.render(w, r, http.StatusOK, "compare", v)
}

// other opens what a lamp is compared with.
func (s *Server) other(p *lampPage, with string) (lamp.Spec, string, error) {
	switch {
	case with == "file":
		return p.state.Base, "the lamp as it is in the file", nil
	case strings.HasPrefix(with, "r"):
		n, err := strconv.Atoi(with[1:])
		if err != nil {
			break
		}
		l, err := s.shelf.LampRevision(p.name, n)
		return l, fmt.Sprintf("revision %d", n), err
	case strings.HasPrefix(with, "lamp:"):
		o, err := s.shelf.Lamp(strings.TrimPrefix(with, "lamp:"))
		return o.Doc, o.Doc.Name, err
	}
	return lamp.Spec{}, "", fmt.Errorf("“%s” is nothing to compare with", with)
}

// changed lists the fields that differ between two lamps.
func changed(d *form.Desk[lamp.Spec], a, b lamp.Spec) []changeView {
	var out []changeView
	for _, f := range d.Fields(b) {
		if f.Key == "name" || f.Key == "note" {
			continue
		}
		if x, y := form.Get(a, f), form.Get(b, f); x != y {
			out = append(out, changeView{Name: f.Name, From: orNone(x), To: orNone(y)})
		}
	}
	return out
}

func (s *Server) differ(r *http.Request, v *compareView, a, b lamp.Spec) error {
	done, ok := s.begin(r.Context(), full)
	if !ok {
		return r.Context().Err()
	}
	defer done()
	// Defaults are filled in on both sides, so that they do not differ.
	if l, err := s.app.Build(a); err == nil {
		v.Changes = changed(s.lamps, l.Spec, b)
	}
	sw, err := s.app.Compare(a, b)
	if err != nil {
		return err
	}
	for _, d := range sw.Differences {
		x, _ := sw.Before.Row(d.Key)
		y, _ := sw.After.Row(d.Key)
		v.Rows = append(v.Rows, differenceView{d.Name, x.Short(), y.Short(), d.Unit, fmt.Sprintf("%+.1f %%", 100*d.Relative), d.Reason, d.Certain})
	}
	v.Raised, v.Cleared, v.Compared = sw.Raised, sw.Cleared, true
	return nil
}

// tryView shows what other choices of one thing would do.
type tryView struct {
	frame
	Name, Path, Back string
	What             string // "diffuser sheet"
	Finding          *finding.Finding
	Keys             []app.Row // the columns
	Rows             []tryRow
	Trouble          string
}

type tryRow struct {
	Label, Href string
	Now         bool
	Cells       []string
	Against     string // what stands against it
	Clears      bool
	Why         string // why it cannot be
}

// tryKeys are the numbers by which choices are compared.
var tryKeys = []string{predict.MeterLux, predict.EyeMelanopic, predict.FaceMean, predict.Ripple, predict.CCT, predict.Ra, predict.MainsPower, predict.StripTemp, search.PriceFirst}

// try works every choice of a part out, or changes that might clear a finding.
func (s *Server) try(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openLamp(w, r)
	if !ok {
		return
	}
	key := r.PathValue("key")
	if r.URL.Query().Has("from") { // sent by the form
		http.Redirect(w, r, p.at("/try/"+escapePath(key)), http.StatusSeeOther)
		return
	}
	v := tryView{frame: s.frame(r, p.state.Doc.Name), Name: p.name, Path: lampPath(p.name), Back: p.at("")}
	now, err := s.answer(r.Context(), p, glance)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "This lamp cannot be worked out.", "", err.Error())
		return
	}
	for _, k := range tryKeys {
		if row, ok := now.Row(k); ok {
			v.Keys = append(v.Keys, row)
		}
	}
	lv := s.lampView(r, p, now, nil)
	done, ok := s.begin(r.Context(), full)
	if !ok {
		return
	}
	defer done()
	for _, f := range lv.fields {
		if f.Key == key && f.Kind == form.Pick {
			v.What = f.Name
			v.Title = "another " + f.Name
			for _, o := range lv.field(f).Options {
				if r.Context().Err() != nil {
					return
				}
				v.Rows = append(v.Rows, s.tryOne(lv, map[string]string{f.Key: o.Value}, o.Label, o.Value == form.Get(p.state.Doc, f), nil, tryKeys))
			}
		}
	}
	if key == "row_lines" {
		v.What, v.Title = "spacing of the rows", "another spacing of the rows"
		v.Keys = nil
		for _, k := range spacingKeys {
			if row, ok := now.Row(k); ok {
				v.Keys = append(v.Keys, row)
			}
		}
		for _, c := range spacings(now.Lamp) {
			if r.Context().Err() != nil {
				return
			}
			row := s.tryOne(lv, map[string]string{"row_lines": c.text, "row_pitch": ""}, c.label, c.text == form.Get(p.state.Doc, rowLines), nil, spacingKeys)
			v.Rows = append(v.Rows, row)
		}
	}
	if v.What == "" {
		for _, f := range lv.Findings {
			if f.Key == key {
				v.Finding, v.Title = &f.Finding, "a way out"
			}
		}
		if v.Finding == nil {
			s.fail(w, r, http.StatusNotFound, "Nothing of this lamp is called “"+key+"”.", "The finding may be mended already.")
			return
		}
		for _, c := range s.candidates(lv) {
			if r.Context().Err() != nil {
				return
			}
			if row := s.tryOne(lv, c.changes, c.label, false, v.Finding, tryKeys); row.Clears {
				v.Rows = append(v.Rows, row)
			}
		}
	}
	s.render(w, r, http.StatusOK, "try", v)
}

// rowLines is the field of rows that are placed one by one.
var rowLines = form.Field{Key: "row_lines", Kind: form.Amounts, Dim: quantity.Length, Optional: true}

// spacingKeys are the numbers by which spacings of the rows are compared.
var spacingKeys = []string{predict.MeterLux, predict.FaceMean, optics.KeyEvenness, optics.KeyCentre, optics.KeyCorner, predict.Ripple, predict.StripTemp}

// spacings are ways to place a lamp's rows, evenly and closer at the walls.
func spacings(l lamp.Lamp) []struct{ label, text string } {
	out := []struct{ label, text string }{{"evenly", ""}}
	if l.Spec.Rows < 3 {
		return out
	}
	for _, k := range []float64{0.1, 0.2, 0.3, 0.4, 0.5} {
		s := l.Spec
		s.Lines = l.CloserAtWalls(k)
		out = append(out, struct{ label, text string }{fmt.Sprintf("closer at the walls: %.0f\u202f%%", 100*k), form.Get(s, rowLines)})
	}
	return out
}

// tryOne works one change out.
func (s *Server) tryOne(v *lampView, changes map[string]string, label string, now bool, clears *finding.Finding, keys []string) tryRow {
	next := v.p.state.With(changes)
	row := tryRow{Label: label, Now: now}
	for k := range changes {
		if b, bad := next.Bad[k]; bad {
			row.Why = capital(b.Why) + "."
			return row
		}
	}
	ans, err := s.glancer.At(next.Doc, v.p.wanted)
	if err != nil {
		row.Why = capital(err.Error()) + "."
		return row
	}
	row.Href = v.to(next.Query())
	for _, k := range keys {
		if r, ok := ans.Row(k); ok {
			row.Cells = append(row.Cells, r.Value)
		}
	}
	if len(next.Notes) > 0 {
		row.Label += " (" + strings.Join(next.Notes, "; ") + ")"
	}
	p2 := *v.p
	p2.state = next
	after := &lampView{s: s, p: &p2, Ans: &ans, Path: v.Path, fields: v.fields}
	after.Findings = after.findings()
	if !ans.Worked() {
		row.Why = capital(ans.Result.Findings[0].What) + "."
		return row
	}
	row.Against = after.Against()
	if clears == nil {
		return row
	}
	had := map[string]finding.Severity{}
	for _, f := range v.Findings {
		had[f.Key] = f.Severity
	}
	row.Clears = true
	for _, f := range after.Findings {
		// It clears the finding, and brings none that was not there as grave.
		if f.Key == clears.Key || f.Severity >= finding.Warn && f.Severity > had[f.Key] {
			row.Clears = false
		}
	}
	return row
}

type candidate struct {
	label   string
	changes map[string]string
}

// candidates are the changes tried to clear a finding: every other part of a
// kind, and fewer or more rows.
func (s *Server) candidates(v *lampView) []candidate {
	var out []candidate
	doc := v.p.state.Doc
	for _, f := range v.fields {
		switch {
		case f.Kind == form.Pick && f.Key != "tray" && f.Key != "strip" && f.Key != "second_strip" && f.Key != "mount" || f.Key == "mount" && doc.Mount != "":
			for _, o := range v.field(f).Options {
				if o.Value != form.Get(doc, f) {
					out = append(out, candidate{f.Name + ": " + o.Label, map[string]string{f.Key: o.Value}})
				}
			}
		case f.Key == "rows":
			for _, n := range []int{doc.Rows - 1, doc.Rows - 2, doc.Rows - 3, doc.Rows + 1, doc.Rows + 2} {
				if n >= 1 {
					out = append(out, candidate{plural(n, "row"), map[string]string{f.Key: strconv.Itoa(n)}})
				}
			}
		case f.Key == "line_floor":
			to := "on"
			if doc.LineFloor {
				to = ""
			}
			out = append(out, candidate{"line the floor: " + map[string]string{"on": "yes", "": "no"}[to], map[string]string{f.Key: to}})
		case strings.HasPrefix(f.Key, "drive."):
			for _, d := range []string{"90 %", "80 %", "70 %"} {
				out = append(out, candidate{f.Name + ": " + d, map[string]string{f.Key: d}})
			}
		}
	}
	for _, o := range form.PartOptions(s.app.Parts, "tray") {
		if o.Value != doc.Tray {
			out = append(out, candidate{"tray: " + o.Label, map[string]string{"tray": o.Value}})
		}
	}
	return out
}
