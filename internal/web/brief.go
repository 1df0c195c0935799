package web

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"dawnsmith/internal/album"
	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/form"
	"dawnsmith/internal/report"
	"dawnsmith/internal/shelf"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
)

// briefPage is a brief as an address describes it.
type briefPage struct {
	name   string
	opened shelf.Opened[brief.Brief]
	state  form.State[brief.Brief]
}

func briefPath(name string) string { return "/brief/" + escapePath(name) }

func (s *Server) openBrief(w http.ResponseWriter, r *http.Request) (*briefPage, bool) {
	p, err := s.readBrief(r.PathValue("name"), r.URL.Query())
	if err != nil {
		s.failDocument(w, r, "brief", r.PathValue("name"), err)
		return nil, false
	}
	return p, true
}

// readBrief opens a brief's state; see readLamp.
func (s *Server) readBrief(name string, q url.Values) (*briefPage, error) {
	p := &briefPage{name: name}
	var err error
	p.opened, err = s.shelf.Brief(name)
	if errors.Is(err, fs.ErrNotExist) && name == newName {
		doc := catalogue.BenchBrief()
		doc.Name, doc.Note = "new brief", ""
		p.opened, err = shelf.Opened[brief.Brief]{Name: name, Doc: doc}, nil
	}
	if err != nil {
		return nil, err
	}
	base := p.opened.Doc
	base.Place = base.Place.WithDefaults()
	if q.Has("from") {
		from, err := url.ParseQuery(q.Get("from"))
		if err != nil {
			return nil, fmt.Errorf("the form does not say what it was made from: %w", err)
		}
		p.state = s.briefs.Open(base, from).Submit(q)
	} else {
		p.state = s.briefs.Open(base, q)
	}
	return p, nil
}

// briefView is what the page of a brief shows.
type briefView struct {
	frame
	s                 *Server
	p                 *briefPage
	Name, Path, Query string
	fields            []form.Field
}

func (s *Server) briefView(r *http.Request, p *briefPage) *briefView {
	v := &briefView{frame: s.frame(r, p.state.Doc.Name), s: s, p: p, Name: p.name, Path: briefPath(p.name), Query: p.state.Query().Encode(),
		fields: s.briefs.Fields(p.state.Doc)}
	v.Back = address(v.Path, p.state.Query())
	return v
}

// brief serves the page of a brief, or the blocks of it that changed.
func (s *Server) brief(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openBrief(w, r)
	if !ok {
		return
	}
	v := s.briefView(r, p)
	w.Header().Set("Vary", "X-Fragment")
	switch {
	case r.Header.Get("X-Fragment") != "":
		w.Header().Set("X-Address", v.Back)
		s.blocks(w, r, v, phase(r.Header.Get("X-Fragment")))
	case r.URL.Query().Get("search") != "":
		http.Redirect(w, r, address(v.Path+"/lamps", p.state.Query()), http.StatusSeeOther)
	case r.URL.Query().Has("from"):
		http.Redirect(w, r, v.Back, http.StatusSeeOther)
	default:
		s.render(w, r, http.StatusOK, "brief", v)
	}
}

// Doc is the brief.
func (v *briefView) Doc() brief.Brief { return v.p.state.Doc }

// Opened is the file as it was opened.
func (v *briefView) Opened() shelf.Opened[brief.Brief] { return v.p.opened }

// New tells that the brief is on no shelf yet.
func (v *briefView) New() bool { return v.p.opened.Token == "" }

// As suggests a name to save under.
func (v *briefView) As() string {
	if v.p.name != newName {
		return v.p.name
	}
	return slug(v.p.state.Doc.Name)
}

// Targets are the limits that are set.
func (v *briefView) Targets() []search.Target { return search.Targets(v.p.state.Doc) }

// Changes lists what differs from the file.
func (v *briefView) Changes() []changeView {
	var out []changeView
	for _, c := range v.p.state.Changes() {
		back := v.p.state.With(map[string]string{c.Field.Key: c.From})
		out = append(out, changeView{c.Field.Name, orNone(c.From), orNone(c.To), address(v.Path, back.Query())})
	}
	return out
}

// Notes say what else had to change.
func (v *briefView) Notes() []string { return v.p.state.Notes }

// Bad counts the fields that were not understood.
func (v *briefView) Bad() int { return len(v.p.state.Bad) }

// Ticks lists the fields that are yes or no.
func (v *briefView) Ticks() string { return "place.tilt_fixed" }

// Wanted lists the ids of the limits' fields.
func (v *briefView) Wanted() []string { return v.fieldIDs("wanted.") }

func (v *briefView) fieldIDs(prefix string) []string {
	var ids []string
	for _, f := range v.fields {
		if strings.HasPrefix(f.Key, prefix) {
			ids = append(ids, "f-"+f.ID())
		}
	}
	return ids
}

func (v *briefView) ids(ph phase, _ map[string]bool) []string {
	if ph != now {
		return nil
	}
	ids := []string{"state", "changes", "asked", "search", "keep", "take"}
	for _, f := range v.fields {
		ids = append(ids, "f-"+f.ID())
	}
	return ids
}

func (v *briefView) block(id string) (block, bool) {
	if !strings.HasPrefix(id, "f-") {
		return block{id: id, tmpl: "brief-" + id, data: v}, true
	}
	for _, f := range v.fields {
		if "f-"+f.ID() != id {
			continue
		}
		fv := fieldView{Field: f, Text: v.p.state.Text(f)}
		if b, ok := v.p.state.Bad[f.Key]; ok {
			fv.Err = capital(b.Why) + "."
		}
		return block{id: id, tmpl: "field", data: fv}, true
	}
	return block{}, false
}

// foundView is a search, running or over.
type foundView struct {
	frame
	Name, Path, Query string
	Brief             brief.Brief
	Targets           []search.Target
	Running           bool
	Did, Of           int
	Stopped           bool
	Trouble           string

	Found    search.Found
	Picks    []foundPick
	Table    []app.SideRow
	TradeOff template.HTML
	Relax    []relaxView
	Nearest  *nearestView
}

type foundPick struct{ Title, Why, Sentence, Href string }

type relaxView struct {
	Sentence string
	// Href is the brief with that limit given way.
	Href string
}

type nearestView struct {
	Line, Href string
	Checks     []checkView
}

// found shows the lamps for a brief: it starts the search, shows how far it
// is, and then what came of it, all at one address.
func (s *Server) found(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openBrief(w, r)
	if !ok {
		return
	}
	b := p.state.Doc
	v := &foundView{frame: s.frame(r, "lamps for "+b.Name), Name: p.name, Path: briefPath(p.name), Query: p.state.Query().Encode(), Brief: b, Targets: search.Targets(b)}
	if err := b.Check(); err != nil {
		v.Trouble = capital(err.Error()) + "."
		s.render(w, r, http.StatusUnprocessableEntity, "found", v)
		return
	}
	h := s.huntFor(b, r.URL.Query().Get("again") != "")
	if did, of, over := h.progress(); !over {
		v.Running, v.Did, v.Of = true, did, max(of, 1)
		w.Header().Set("Refresh", "2") // without script; with it, events come first
		s.render(w, r, http.StatusOK, "found", v)
		return
	}
	switch {
	case h.stopped || errors.Is(h.err, context.Canceled):
		v.Stopped = true
	case h.err != nil:
		v.Trouble = capital(h.err.Error()) + "."
	default:
		if err := s.show(v, h, p); err != nil {
			s.log.Printf("%s: %v", r.URL.Path, err)
			v.Trouble = "The outcome could not be shown; the fault is ours."
		}
	}
	s.render(w, r, http.StatusOK, "found", v)
}

// show fills in what a search found.
func (s *Server) show(v *foundView, h *hunt, p *briefPage) error {
	v.Found = h.found
	for i := range h.answers {
		pick := h.found.Picks[i]
		v.Picks = append(v.Picks, foundPick{capital(pick.Title), pick.Why, h.answers[i].Sentence(), address(lampPath(newName), s.pickQuery(&h.answers[i], p.name))})
	}
	v.Table = app.SideBySide(h.answers)
	if len(h.answers) > 0 {
		var err error
		if v.TradeOff, err = report.SVG(report.TradeOff(h.found), "trade"); err != nil {
			return err
		}
	}
	im := h.found.Impossible
	if im == nil {
		return nil
	}
	for _, rel := range im.Relax {
		rv := relaxView{Sentence: rel.Sentence()}
		if f, ok := fieldOf(s.briefs.Fields(p.state.Doc), rel.Target.Field); ok {
			if text := limitText(f, rel.To); text != "" {
				next := p.state.With(map[string]string{f.Key: text})
				if len(next.Bad) == 0 {
					rv.Href = address(v.Path+"/lamps", next.Query())
				}
			}
		}
		v.Relax = append(v.Relax, rv)
	}
	if n := im.Nearest; n != nil {
		base, err := s.readLamp(newName, url.Values{})
		if err != nil {
			return err
		}
		l, err := s.app.Build(n.Spec)
		if err != nil {
			return err
		}
		l.Spec.Name = p.state.Doc.Name + ": nearest"
		q := differing(s.lamps, base.state.Base, l.Spec)
		q.Set("brief", p.name)
		v.Nearest = &nearestView{homeView{}.Line(n.Spec), address(lampPath(newName), q), checkViews(n.Checks, nil)}
	}
	return nil
}

func fieldOf(fs []form.Field, key string) (form.Field, bool) {
	if i := slices.IndexFunc(fs, func(f form.Field) bool { return f.Key == key }); i >= 0 {
		return fs[i], true
	}
	return form.Field{}, false
}

// limitText writes a limit, in the unit of its metric, for a field of the
// brief.
func limitText(f form.Field, x float64) string {
	switch {
	case f.Kind == form.Price:
		return fmt.Sprintf("%.2f EUR", x)
	case f.Kind != form.Amount:
		return ""
	}
	return fmt.Sprintf("%.5g %s", x, f.Dim.Unit())
}

// differing is the address that makes one lamp of another.
func differing(d *form.Desk[lamp.Spec], base, to lamp.Spec) url.Values {
	q := url.Values{}
	for _, f := range d.Fields(to) {
		if now := form.Get(to, f); now != form.Get(base, f) {
			q.Set(f.Key, now)
		}
	}
	return q
}

// tradePicture serves the trade-off of a finished search as a file.
func (s *Server) tradePicture(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openBrief(w, r)
	if !ok {
		return
	}
	key, kind, _ := strings.Cut(r.PathValue("file"), ".")
	h := s.huntFor(p.state.Doc, false)
	if _, _, over := h.progress(); !over || h.err != nil || len(h.answers) == 0 || key != "trade" || kind != "svg" && kind != "png" && kind != "csv" {
		s.fail(w, r, http.StatusNotFound, "There is no such picture.", "The search may not be over yet.")
		return
	}
	if kind != "csv" {
		s.sendScene(w, r, p.name+"-trade", kind, report.TradeOff(h.found))
		return
	}
	s.send(w, p.name+"-trade.csv", "text/csv; charset=utf-8", tradeData(h.found).CSV())
}

// tradeData is the lamps behind the trade-off picture.
func tradeData(f search.Found) album.Table {
	t := album.Table{Head: []string{"tray", "strip", "sheet", "lining", "rows", "units_per_row"}}
	keys := []string{search.PriceFirst, predict.FaceMean, predict.MainsPower, predict.MeterLux}
	t.Head = append(t.Head, keys...)
	for _, p := range f.Cloud {
		row := []string{p.Spec.Tray, p.Spec.Strip, p.Spec.Sheet, p.Spec.Lining, strconv.Itoa(p.Spec.Rows), strconv.Itoa(p.Spec.Units)}
		for _, k := range keys {
			row = append(row, strconv.FormatFloat(p.Numbers[k], 'g', 6, 64))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
