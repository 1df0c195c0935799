package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"dawnsmith/day/dose"
	"dawnsmith/internal/form"
	"dawnsmith/internal/shelf"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
)

// homeView is the first page.
type homeView struct {
	frame
	Lamps  []shelf.Opened[lamp.Spec]
	Briefs []shelf.Opened[brief.Brief]
	// Own tells that the folder has lamps or briefs of its own.
	Own bool
	Err string
}

// home lists the documents of the folder.
func (s *Server) home(w http.ResponseWriter, r *http.Request) {
	v := homeView{frame: s.frame(r, "lamps and briefs")}
	var err, err2 error
	v.Lamps, err = s.shelf.Lamps()
	v.Briefs, err2 = s.shelf.Briefs()
	if err == nil {
		err = err2
	}
	if err != nil {
		v.Err = capital(err.Error()) + "."
	}
	for _, l := range v.Lamps {
		v.Own = v.Own || !l.Sample
	}
	for _, b := range v.Briefs {
		v.Own = v.Own || !b.Sample
	}
	s.render(w, r, http.StatusOK, "home", v)
}

// Line says in a few words what a lamp is made of.
func (homeView) Line(l lamp.Spec) string {
	words := []string{plural(l.Rows, "row") + " of " + l.Strip, "in " + l.Tray}
	if l.Second != "" {
		words[0] += " by turns with " + l.Second
	}
	if l.Sheet != "" {
		words = append(words, "behind "+l.Sheet)
		if l.SecondSheet != "" {
			words = append(words, "and "+l.SecondSheet)
		}
	}
	return strings.Join(words, " ")
}

// look keeps which palette the page is shown in.
func (s *Server) look(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, http.StatusBadRequest, "The form that was sent cannot be read.", "")
		return
	}
	c := &http.Cookie{Name: "look", Value: r.PostForm.Get("look"), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: 365 * 24 * 3600}
	if !slices.Contains(looks, c.Value) {
		c.Value, c.MaxAge = "", -1
	}
	http.SetCookie(w, c)
	http.Redirect(w, r, ownPath(r.PostForm.Get("back")), http.StatusSeeOther)
}

// ownPath is an address of this page, whatever was sent.
func ownPath(s string) string {
	u, err := url.Parse(s)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(s, "//") || strings.ContainsAny(s, "\\\r\n") {
		return "/"
	}
	return u.RequestURI()
}

// partsView lists the catalogue.
type partsView struct {
	frame
	Kinds []kindView
}

type kindView struct {
	Name  string
	Parts []form.Option
}

// parts shows what there is to build from.
func (s *Server) parts(w http.ResponseWriter, r *http.Request) {
	v := partsView{frame: s.frame(r, "parts")}
	for _, k := range []string{"strip", "tray", "sheet", "lining", "paint", "supply", "wire", "connector", "fuse", "dimmer", "mount"} {
		if ps := form.PartOptions(s.app.Parts, k); len(ps) > 0 {
			v.Kinds = append(v.Kinds, kindView{k, ps})
		}
	}
	s.render(w, r, http.StatusOK, "parts", v)
}

// cautions shows what to know before building and using a bright lamp.
func (s *Server) cautions(w http.ResponseWriter, r *http.Request) {
	s.render(w, r, http.StatusOK, "cautions", struct {
		frame
		Cautions []dose.Caution
	}{s.frame(r, "cautions"), dose.Cautions()})
}
