package web

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"

	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/internal/shelf"
	"dawnsmith/paper/buildpack"
	"dawnsmith/paper/draw"
)

// conflictView asks what to do about a document that changed meanwhile.
type conflictView struct {
	frame
	What         string
	Name, As     string
	Path, Back   string // where to post, and the page with the changes
	State, Since string
	Kind         string // lamp or brief
	Theirs       string // the file as it is now; "" when it is gone
}

// saveLamp writes the state that was sent (its address) as a document.
func (s *Server) saveLamp(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	q, ok := s.posted(w, r)
	if !ok {
		return
	}
	p, err := s.readLamp(name, q)
	if err != nil {
		s.failDocument(w, r, "lamp", name, err)
		return
	}
	l, err := s.app.Build(p.state.Doc)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "This lamp cannot be put together, so it was not saved.", "Go back and mend it first.", err.Error())
		return
	}
	as, since := saveAs(r, name)
	if as == newName {
		s.failSave(w, r, &shelf.BadName{Name: as, Why: "the page keeps it for what is not saved yet"}, conflictView{})
		return
	}
	if _, err = s.shelf.SaveLamp(as, app.Standalone(l), since, r.PostForm.Get("anyway") != ""); err != nil {
		s.failSave(w, r, err, conflictView{Kind: "lamp", Name: name, As: as, Path: lampPath(name), Back: p.at(""),
			State: p.encoded, Since: since, Theirs: lampPath(as)})
		return
	}
	next := url.Values{}
	if p.brief != "" {
		next.Set("brief", p.brief)
	}
	http.Redirect(w, r, address(lampPath(as), next), http.StatusSeeOther)
}

// saveBrief writes a brief likewise.
func (s *Server) saveBrief(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	q, ok := s.posted(w, r)
	if !ok {
		return
	}
	p, err := s.readBrief(name, q)
	if err != nil {
		s.failDocument(w, r, "brief", name, err)
		return
	}
	if err := p.state.Doc.Check(); err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "This brief cannot be saved.", "Go back and mend it first.", err.Error())
		return
	}
	as, since := saveAs(r, name)
	if as == newName {
		s.failSave(w, r, &shelf.BadName{Name: as, Why: "the page keeps it for what is not saved yet"}, conflictView{})
		return
	}
	if err := s.shelf.SaveBrief(as, p.state.Doc, since, r.PostForm.Get("anyway") != ""); err != nil {
		s.failSave(w, r, err, conflictView{Kind: "brief", Name: name, As: as, Path: briefPath(name), Back: address(briefPath(name), p.state.Query()),
			State: p.state.Query().Encode(), Since: since, Theirs: briefPath(as)})
		return
	}
	http.Redirect(w, r, briefPath(as), http.StatusSeeOther)
}

// posted reads the form of a POST and the state it sends: an address under
// "state", or the page's own form, with what was not worked out yet.
func (s *Server) posted(w http.ResponseWriter, r *http.Request) (url.Values, bool) {
	if err := r.ParseForm(); err != nil {
		status, what := http.StatusBadRequest, "The form that was sent cannot be read."
		if errors.As(err, new(*http.MaxBytesError)) {
			status, what = http.StatusRequestEntityTooLarge, "The form that was sent is too large."
		}
		s.fail(w, r, status, what, "Nothing was changed.", err.Error())
		return nil, false
	}
	if r.PostForm.Has("from") {
		return r.PostForm, true
	}
	q, err := url.ParseQuery(r.PostForm.Get("state"))
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, "The form that was sent cannot be read.", "Nothing was changed.", err.Error())
		return nil, false
	}
	return q, true
}

// saveAs gives the name to save under and the token that its file must have:
// another name is to be a new file.
func saveAs(r *http.Request, name string) (as, since string) {
	as = strings.TrimSpace(r.PostForm.Get("as"))
	for _, end := range []string{".toml", ".lamp", ".brief"} {
		as = strings.TrimSuffix(as, end)
	}
	if as == name {
		since = r.PostForm.Get("since")
	}
	return as, since
}

// failSave answers for what could not be saved.
func (s *Server) failSave(w http.ResponseWriter, r *http.Request, err error, v conflictView) {
	var c *shelf.Conflict
	var bad *shelf.BadName
	switch {
	case errors.As(err, &c):
		v.frame = s.frame(r, "not saved")
		v.frame.Back = v.Back
		v.What = capital(c.Error()) + "."
		if c.Removed {
			v.Theirs = ""
		}
		s.render(w, r, http.StatusConflict, "conflict", v)
	case errors.As(err, &bad):
		s.fail(w, r, http.StatusUnprocessableEntity, "It was not saved.", "Go back: what you typed is still there.", bad.Error())
	default:
		s.log.Printf("%s: %v", r.URL.Path, err)
		s.fail(w, r, http.StatusInternalServerError, "It could not be saved.", "What was there before is untouched. Go back: what you typed is still there.", err.Error())
	}
}

// open puts a document that someone brings along on the shelf.
func (s *Server) open(w http.ResponseWriter, r *http.Request) {
	f, h, err := r.FormFile("document")
	if err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			s.fail(w, r, http.StatusRequestEntityTooLarge, "The file is too large.", fmt.Sprintf("A document has at most %d MB.", file.MaxSize>>20))
			return
		}
		s.fail(w, r, http.StatusBadRequest, "No file was chosen.", "Choose a lamp (*.lamp.toml) or a brief (*.brief.toml).")
		return
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, file.MaxSize+1))
	if err == nil && len(data) > file.MaxSize {
		err = file.ErrTooLarge
	}
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, "The file could not be read.", "", err.Error())
		return
	}
	kind, name, err := s.shelf.Put(h.Filename, data)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "This file is no lamp and no brief that can be read.", "Nothing was changed.", strings.Split(strings.TrimSpace(err.Error()), "\n")...)
		return
	}
	to := lampPath(name)
	if kind == file.BriefKind {
		to = briefPath(name)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

// pack makes the build pack of a lamp and sends one file of it.
func (s *Server) pack(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openLamp(w, r)
	if !ok {
		return
	}
	ans, err := s.answer(r.Context(), p, sure)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "This lamp cannot be worked out.", "", err.Error())
		return
	}
	size := draw.A4
	if strings.EqualFold(r.URL.Query().Get("paper"), "letter") {
		size = draw.Letter
	}
	done, ok := s.begin(r.Context(), full)
	if !ok {
		return
	}
	defer done()
	pack, err := ans.Pack(app.PackOptions{Date: s.now(), Size: size, ForOthers: r.URL.Query().Get("others") != ""})
	var refused *buildpack.Refused
	switch {
	case errors.As(err, &refused):
		s.fail(w, r, http.StatusUnprocessableEntity, "There is no build pack for this lamp yet.", "Mend what stops it first.", err.Error())
		return
	case err != nil:
		s.fail(w, r, http.StatusUnprocessableEntity, "The build pack could not be made.", "", err.Error())
		return
	}
	files := map[string]struct {
		media string
		write func(io.Writer) error
	}{
		"pack.pdf": {"application/pdf", pack.PDF}, "shopping.csv": {"text/csv; charset=utf-8", pack.ShoppingCSV},
		"cuts.csv": {"text/csv; charset=utf-8", pack.CutCSV}, "wires.csv": {"text/csv; charset=utf-8", pack.WireCSV},
		"pack.html": {"text/html; charset=utf-8", pack.HTML},
	}
	f, ok := files[r.PathValue("file")]
	if !ok {
		s.fail(w, r, http.StatusNotFound, "The build pack has no such file.", "")
		return
	}
	var b bytes.Buffer
	if err := f.write(&b); err != nil {
		s.log.Printf("%s: %v", r.URL.Path, err)
		s.fail(w, r, http.StatusInternalServerError, "The build pack could not be written.", "")
		return
	}
	if strings.HasPrefix(f.media, "text/html") {
		// It stands alone, with its style inside; it runs nothing and loads nothing.
		w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	}
	s.send(w, p.name+"-"+r.PathValue("file"), f.media, b.Bytes())
}
