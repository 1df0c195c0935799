package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"dawnsmith/bench/measure"
	"dawnsmith/internal/app"
	"dawnsmith/internal/report"
	"dawnsmith/internal/store"
	"dawnsmith/quantity"
)

// Logbook opens the logbook. With make_ unset, one that does not exist yet is
// store.ErrNotFound, and none is made by looking at it.
type Logbook func(ctx context.Context, make_ bool) (*app.Bench, error)

// openBook opens the logbook for a page; with false it has answered. The Bench
// is nil, and true, when there is none yet and none is to be made.
func (s *Server) openBook(w http.ResponseWriter, r *http.Request, make_ bool) (*app.Bench, bool) {
	if s.book == nil {
		return nil, true
	}
	b, err := s.book(r.Context(), make_)
	if errors.Is(err, store.ErrNotFound) && !make_ {
		return nil, true
	}
	if err != nil {
		s.failBook(w, r, err)
		return nil, false
	}
	return b, true
}

// failBook answers for a logbook that could not be opened or written.
func (s *Server) failBook(w http.ResponseWriter, r *http.Request, err error) {
	status := http.StatusInternalServerError
	what := "The logbook cannot be used."
	switch {
	case errors.Is(err, context.Canceled):
		return
	case errors.Is(err, store.ErrNotFound):
		status, what = http.StatusNotFound, "That is not in the logbook."
	case errors.Is(err, store.ErrFull):
		status = http.StatusInsufficientStorage
	case errors.Is(err, store.ErrBusy):
		status = http.StatusServiceUnavailable
	}
	s.fail(w, r, status, what, "What was kept before is safe.", err.Error())
}

// columns are the measures of the list.
var columns = []string{"lux", "luminance", "cct", "ra", "watts"}

// bookView is the list of the logbook.
type bookView struct {
	frame
	Path   string // of the file
	None   bool   // no logbook yet
	Text   string
	Origin string
	Where  string
	Err    string
	Head   []string
	Rows   []bookRow
	Views  []store.Document
	Eds    []store.Edition
}

type bookRow struct {
	store.LampRow
	Cells []string
}

// logbook lists the lamps of the logbook.
func (s *Server) logbook(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	v := bookView{frame: s.frame(r, "logbook"), Text: q.Get("text"), Origin: q.Get("whose"), Where: strings.TrimSpace(q.Get("where"))}
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	if b == nil {
		v.None = true
		s.render(w, r, http.StatusOK, "logbook", v)
		return
	}
	v.Path = b.Book.Path()
	f := store.LampFilter{Text: v.Text, Origin: store.Origin(v.Origin)}
	if v.Where != "" {
		for c := range strings.SplitSeq(v.Where, ",") {
			l, err := app.Condition(strings.TrimSpace(c))
			if err != nil {
				v.Err = capital(err.Error()) + "."
				break
			}
			f.Limits = append(f.Limits, l)
		}
	}
	for _, c := range columns {
		k, err := app.MeasureKey(c)
		if err != nil {
			continue
		}
		m, _ := measure.Declared(k)
		f.Keys = append(f.Keys, k)
		v.Head = append(v.Head, heading(m.Name, m.Unit))
	}
	rows, err := b.Book.Lamps(r.Context(), f)
	if err != nil {
		s.failBook(w, r, err)
		return
	}
	for _, row := range rows {
		br := bookRow{LampRow: row}
		for _, k := range f.Keys {
			cell := "–"
			if n, ok := row.Measured[k]; ok {
				cell = numberText(n)
			} else if n, ok := row.Predicted[k]; ok {
				cell = "predicted " + numberText(n)
			}
			br.Cells = append(br.Cells, cell)
		}
		v.Rows = append(v.Rows, br)
	}
	if v.Views, err = b.Book.AllKept(r.Context(), store.View); err == nil {
		v.Eds, err = b.Book.Editions(r.Context())
	}
	if err != nil {
		s.failBook(w, r, err)
		return
	}
	s.render(w, r, http.StatusOK, "logbook", v)
}

func heading(name, unit string) string {
	if unit == "" {
		return name
	}
	return name + ", " + unit
}

func numberText(n store.Number) string {
	t := quantity.FormatUncertain(n.Value, 2*n.U)
	if n.Bound != "" && n.Bound != "estimate" {
		t = n.Bound + " " + t
	}
	if n.Distance > 0 {
		t += fmt.Sprintf(" at %.0f mm", 1e3*n.Distance)
	}
	return t
}

// seasonView is the season.
type seasonView struct {
	frame
	app.Season
	None  bool
	Steps []app.Step
	Drift []readPicture
	Lamps []store.LampRow
}

func (s *Server) season(w http.ResponseWriter, r *http.Request) {
	v := seasonView{frame: s.frame(r, "the season"), Steps: app.HourSteps()}
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	if b == nil {
		v.None = true
		s.render(w, r, http.StatusOK, "season", v)
		return
	}
	var err error
	if v.Season, err = b.Season(r.Context(), s.now()); err == nil {
		v.Lamps, err = b.Book.Lamps(r.Context(), store.LampFilter{})
	}
	if err != nil {
		s.failBook(w, r, err)
		return
	}
	for i, m := range v.Meters {
		svg, err := report.SVG(report.DriftPicture(m), fmt.Sprintf("d%d", i))
		if err != nil {
			s.log.Printf("%s: %v", r.URL.Path, err)
			continue
		}
		v.Drift = append(v.Drift, readPicture{SVG: svg, Name: m.Meter})
	}
	s.render(w, r, http.StatusOK, "season", v)
}
