package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"dawnsmith/internal/app"
	"dawnsmith/internal/store"
)

// backup sends a complete copy of the logbook.
func (s *Server) backup(w http.ResponseWriter, r *http.Request) {
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	if b == nil {
		s.failBook(w, r, store.ErrNotFound)
		return
	}
	data, err := copyOf(r.Context(), b.Book)
	if err != nil {
		s.failBook(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "application/vnd.sqlite3")
	w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=\"lamps-%s.logbook\"", s.now().Format("2006-01-02")))
	http.ServeContent(w, r, "", s.now(), bytes.NewReader(data))
}

// copyOf makes a backup in a folder of its own and reads it.
func copyOf(ctx context.Context, book *store.Book) ([]byte, error) {
	dir, err := os.MkdirTemp("", "dawnsmith-backup-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	to := filepath.Join(dir, "copy.logbook")
	if err := book.Backup(ctx, to); err != nil {
		return nil, err
	}
	return os.ReadFile(to)
}

// publish makes the next number of an edition from a comparison.
func (s *Server) publish(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, http.StatusBadRequest, "The form could not be read.", "Go back and send it again.")
		return
	}
	get := func(k string) string { return strings.TrimSpace(r.PostForm.Get(k)) }
	q, err := url.ParseQuery(get("query"))
	var view app.View
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	if b == nil {
		s.failBook(w, r, store.ErrNotFound)
		return
	}
	if err == nil {
		if name := q.Get("view"); name != "" {
			_, err = b.Book.Kept(r.Context(), store.View, name, &view)
		} else {
			view, err = viewOf(q)
		}
	}
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "That comparison cannot be published.", "", err.Error())
		return
	}
	done, ok := s.begin(r.Context(), full)
	if !ok {
		return
	}
	defer done()
	_, kept, err := b.Publish(r.Context(), app.EditionRequest{Slug: get("slug"), Title: get("title"), Publisher: get("publisher"), Interest: get("interest"), Correction: get("correction"), Raw: r.PostForm.Has("raw"), View: view}, s.now())
	switch {
	case errors.Is(err, store.ErrFull), errors.Is(err, store.ErrBusy), errors.Is(err, store.ErrReadOnly), errors.Is(err, context.Canceled):
		s.failBook(w, r, err)
		return
	case err != nil:
		s.fail(w, r, http.StatusUnprocessableEntity, "It was not published.", "Go back; what you typed is still there.", err.Error())
		return
	}
	http.Redirect(w, r, fmt.Sprintf("/logbook/edition/%s/%d", escapePath(kept.Slug), kept.Number), http.StatusSeeOther)
}

// published sends an edition as it was published; it carries its own look.
func (s *Server) published(w http.ResponseWriter, r *http.Request) {
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	n, err := strconv.Atoi(r.PathValue("number"))
	if err != nil || n < 1 || b == nil {
		s.failBook(w, r, store.ErrNotFound)
		return
	}
	e, err := b.Book.Edition(r.Context(), r.PathValue("slug"), n)
	if err != nil {
		s.failBook(w, r, err)
		return
	}
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	s.send(w, fmt.Sprintf("%s-%d.html", e.Slug, e.Number), "text/html; charset=utf-8", e.Bytes)
}
