package web

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/file"
	"dawnsmith/internal/form"
	"dawnsmith/internal/shelf"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
)

// newName is the lamp that is on no shelf yet: its address holds all of it.
const newName = "new"

// lampPage is a lamp as an address describes it.
type lampPage struct {
	name   string
	opened shelf.Opened[lamp.Spec]
	state  form.State[lamp.Spec]
	// brief is what the lamp is held against, "" for nothing.
	brief  string
	wanted *brief.Brief
	// broken says why the file itself cannot be built.
	broken error
	// sure asks for the uncertainties in the page itself.
	sure bool
	// encoded is the state as an address, made once it is read.
	encoded string
}

// query is the page's state as an address.
func (p *lampPage) query() url.Values {
	q := p.state.Query()
	if p.brief != "" {
		q.Set("brief", p.brief)
	}
	return q
}

func lampPath(name string) string { return "/lamp/" + escapePath(name) }

// at is a path under the lamp's own, with its state.
func (p *lampPage) at(under string) string {
	path := lampPath(p.name) + under
	if p.encoded != "" {
		path += "?" + p.encoded
	}
	return path
}

// address joins a path and a query.
func address(path string, q url.Values) string {
	if len(q) == 0 {
		return path
	}
	return path + "?" + q.Encode()
}

// openLamp reads what the request's address says; on failure it has answered.
func (s *Server) openLamp(w http.ResponseWriter, r *http.Request) (*lampPage, bool) {
	p, err := s.readLamp(r.PathValue("name"), r.URL.Query())
	if err != nil {
		s.failDocument(w, r, "lamp", r.PathValue("name"), err)
		return nil, false
	}
	return p, true
}

// failDocument answers for a document that could not be opened.
func (s *Server) failDocument(w http.ResponseWriter, r *http.Request, kind, name string, err error) {
	var doc *file.Errors
	var bad *shelf.BadName
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.As(err, &bad):
		s.fail(w, r, http.StatusNotFound, fmt.Sprintf("There is no %s “%s” in the folder.", kind, name), "It may have been renamed or removed. The list shows what is there.")
	case errors.As(err, &doc):
		s.fail(w, r, http.StatusUnprocessableEntity, fmt.Sprintf("The %s “%s” cannot be read.", kind, name),
			"Mend the file in an editor and load this page again; nothing was changed.", strings.Split(strings.TrimSpace(doc.Error()), "\n")...)
	default:
		s.fail(w, r, http.StatusUnprocessableEntity, fmt.Sprintf("The %s “%s” cannot be opened.", kind, name), "", err.Error())
	}
}

// readLamp opens a lamp's state. With "from" in the query, the rest of it is a
// form that was sent from that state.
func (s *Server) readLamp(name string, q url.Values) (*lampPage, error) {
	p := &lampPage{name: name, sure: q.Get("sure") != ""}
	var err error
	p.opened, err = s.shelf.Lamp(name)
	if errors.Is(err, fs.ErrNotExist) && name == newName {
		doc := catalogue.FirstLamp()
		doc.Name, doc.Note, doc.Revision = "new lamp", "", 0
		p.opened, err = shelf.Opened[lamp.Spec]{Name: name, Doc: doc}, nil
	}
	if err != nil {
		return nil, err
	}
	base := p.opened.Doc
	if l, err := s.app.Build(base); err != nil {
		p.broken = err
	} else {
		parts := base.Parts
		base = l.Spec
		base.Parts = parts
	}
	p.brief = q.Get("brief")
	if q.Has("from") {
		from, err := url.ParseQuery(q.Get("from"))
		if err != nil {
			return nil, fmt.Errorf("the form does not say what it was made from: %w", err)
		}
		p.state = s.lamps.Open(base, from)
		if p.brief != from.Get("brief") && p.brief != "" {
			if b, err := s.shelf.Brief(p.brief); err == nil {
				p.state = p.state.With(placeOf(b.Doc))
			}
		}
		sent := maps.Clone(q)
		if p.brief != from.Get("brief") {
			for k := range sent { // the place comes with the brief
				if strings.HasPrefix(k, "place.") {
					delete(sent, k)
				}
			}
		}
		p.state = p.state.Submit(sent)
	} else {
		p.state = s.lamps.Open(base, q)
	}
	if p.brief != "" {
		b, err := s.shelf.Brief(p.brief)
		if err != nil {
			p.brief = ""
			p.state.Notes = append(p.state.Notes, fmt.Sprintf("The brief “%s” cannot be opened: %v.", q.Get("brief"), err))
		} else {
			b.Doc.Place = p.state.Doc.Place
			p.wanted = &b.Doc
		}
	}
	if p.broken != nil && s.lamps.Check(p.state.Doc) == nil {
		p.broken = nil // the changes mended it
	}
	p.encoded = p.query().Encode()
	return p, nil
}

// placeOf gives the place of a brief as changes of a lamp.
func placeOf(b brief.Brief) map[string]string {
	b.Place = b.Place.WithDefaults()
	out := map[string]string{}
	for _, f := range form.Brief().Fields(b) {
		if strings.HasPrefix(f.Key, "place.") {
			out[f.Key] = form.Get(b, f)
		}
	}
	return out
}

// grade is how much is worked out.
type grade int

const (
	glance grade = iota // for sliders
	full                // every number
	sure                // with uncertainties
)

// answer works the page's lamp out, or gives what was worked out before.
func (s *Server) answer(ctx context.Context, p *lampPage, g grade) (app.Answer, error) {
	if p.broken != nil {
		return app.Answer{}, p.broken
	}
	q := p.state.Query()
	for k := range q {
		if strings.HasPrefix(k, "typed.") {
			delete(q, k)
		}
	}
	key := fmt.Sprint(g, "\n", p.name, "\n", p.opened.Token, "\n", q.Encode(), "\n")
	if p.wanted != nil {
		key += fmt.Sprint(p.wanted.Wanted, p.wanted.For)
	}
	return s.answers.get(ctx, key, func() (app.Answer, error) {
		done, ok := s.begin(ctx, g)
		if !ok {
			return app.Answer{}, context.Canceled
		}
		defer done()
		switch g {
		case glance:
			return s.glancer.At(p.state.Doc, p.wanted)
		case full:
			return s.app.Predict(p.state.Doc, p.wanted, false)
		}
		return s.app.Predict(p.state.Doc, p.wanted, true)
	})
}

// lamp serves the page of a lamp, or the blocks of it that changed.
func (s *Server) lamp(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openLamp(w, r)
	if !ok {
		return
	}
	where := p.at("")
	part := phase(r.Header.Get("X-Fragment"))
	w.Header().Set("Vary", "X-Fragment")
	if part == "" && r.URL.Query().Has("from") {
		q := p.query()
		if p.sure {
			q.Set("sure", "yes")
		}
		http.Redirect(w, r, address(lampPath(p.name), q), http.StatusSeeOther)
		return
	}
	g := glance
	if part == late || p.sure {
		g = sure
	}
	ans, err := s.answer(r.Context(), p, g)
	if errors.Is(err, context.Canceled) {
		return // the reader has gone on
	}
	v := s.lampView(r, p, ans, err)
	v.Sure = g == sure
	switch part {
	case "":
		v.Noscript = !v.Sure
		s.render(w, r, http.StatusOK, "lamp", v)
	case now, more, late:
		w.Header().Set("X-Address", where)
		s.blocks(w, r, v, part)
	default:
		http.Error(w, "X-Fragment is now, more or sure.", http.StatusBadRequest)
	}
}

// lampFile sends the lamp as a document, with its changes and its parts, so
// that it can be worked out anywhere.
func (s *Server) lampFile(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openLamp(w, r)
	if !ok {
		return
	}
	l, err := s.app.Build(p.state.Doc)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "This lamp cannot be put together.", "", err.Error())
		return
	}
	var b strings.Builder
	if err := file.WriteLamp(&b, app.Standalone(l), ""); err != nil {
		s.log.Printf("%s: %v", r.URL.Path, err)
		s.fail(w, r, http.StatusInternalServerError, "The document could not be written.", "")
		return
	}
	s.send(w, p.name+".lamp.toml", "application/toml", []byte(b.String()))
}

// fieldKeys lists the fields of the page's lamp.
func (p *lampPage) fields(d *form.Desk[lamp.Spec]) []form.Field {
	fs := d.Fields(p.state.Doc)
	// Overrides are asked for beside their findings.
	return slices.DeleteFunc(slices.Clone(fs), func(f form.Field) bool { return strings.HasPrefix(f.Key, "override.") })
}
