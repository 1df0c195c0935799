package web

import (
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/internal/app"
	"dawnsmith/internal/report"
	"dawnsmith/internal/store"
	"dawnsmith/quantity"
)

// keptView is one lamp of the logbook.
type keptView struct {
	frame
	app.Kept
	Values   []keptValue
	More     []keptValue
	Budget   []measure.Line
	Main     string
	Runs     []store.KeptRun
	States   []compare.Item
	Notes    []store.Note
	Images   []store.Picture
	Spectrum template.HTML
	Learn    bool // it has a document and readings
	Waits    bool
}

type keptValue struct{ Name, Value, Unit, How string }

// keptLamp shows a lamp of the logbook.
func (s *Server) keptLamp(w http.ResponseWriter, r *http.Request) {
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	slug := r.PathValue("slug")
	if b == nil {
		s.failBook(w, r, store.ErrNotFound)
		return
	}
	ctx := r.Context()
	k, err := b.Known(ctx, slug, false)
	if err != nil {
		s.failBook(w, r, err)
		return
	}
	v := keptView{frame: s.frame(r, k.Lamp.Name), Kept: k, States: k.Entry.States(), Learn: k.Lamp.Document != "" && k.Record != nil}
	on := store.About{Kind: "lamp", Ref: slug}
	var errs [4]error
	v.Runs, errs[0] = b.Book.Runs(ctx, store.RunFilter{Lamp: slug, Withdrawn: true})
	v.Notes, errs[1] = b.Book.Notes(ctx, on)
	v.Images, errs[2] = b.Book.Pictures(ctx, on)
	ws, err := b.Queue(ctx)
	errs[3] = err
	if err := errors.Join(errs[:]...); err != nil {
		s.failBook(w, r, err)
		return
	}
	v.Waits = slices.ContainsFunc(ws, func(x app.Waiting) bool { return x.Lamp == slug })
	if k.Record != nil {
		for _, m := range k.Record.Values {
			d, _ := measure.Declared(m.Key)
			x := keptValue{d.Name, m.Value.String(), d.Unit, m.How}
			if m.Bound != measure.Estimate {
				x.Value = m.Bound.String() + " " + x.Value
			}
			if m.Distance > 0 {
				x.How = fmt.Sprintf("at %.0f mm; %s", 1e3*m.Distance, m.How)
			}
			if app.OneOfMany(m.Key) {
				v.More = append(v.More, x)
			} else {
				v.Values = append(v.Values, x)
			}
		}
		if bd := k.Record.Budget; bd != nil {
			v.Budget, v.Main = bd.Table(), quantity.Digits(bd.X, 4)
		}
		if sc, ok := report.KeptSpectrum(k); ok {
			if v.Spectrum, err = report.SVG(sc, "k-spectrum"); err != nil {
				s.log.Printf("%s: %v", r.URL.Path, err)
			}
		}
	}
	s.render(w, r, http.StatusOK, "kept", v)
}

// changeKept takes a note, withdraws a run, or moves the lamp in the queue.
func (s *Server) changeKept(w http.ResponseWriter, r *http.Request) {
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	if b == nil {
		s.failBook(w, r, store.ErrNotFound)
		return
	}
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, http.StatusBadRequest, "The form could not be read.", "Go back and send it again.")
		return
	}
	slug, ctx := r.PathValue("slug"), r.Context()
	back := "/logbook/lamp/" + escapePath(slug)
	var err error
	switch r.PostForm.Get("do") {
	case "note":
		if t := strings.TrimSpace(r.PostForm.Get("note")); t != "" {
			if _, err = b.Book.Lamp(ctx, slug, 0); err == nil {
				err = b.Book.AddNote(ctx, store.About{Kind: "lamp", Ref: slug}, t)
			}
		}
	case "withdraw":
		why := strings.TrimSpace(r.PostForm.Get("why"))
		if why == "" {
			s.fail(w, r, http.StatusUnprocessableEntity, "Why does the run not count?", "A run is withdrawn with its reason; its readings stay. Go back and write one.")
			return
		}
		err = b.Book.WithdrawRun(ctx, r.PostForm.Get("run"), why)
	case "count":
		err = b.Book.WithdrawRun(ctx, r.PostForm.Get("run"), "")
	case "wait":
		err = b.Wait(ctx, slug, strings.TrimSpace(r.PostForm.Get("note")), s.now().Format("2006-01-02"))
		back = "/logbook/season"
	case "leave":
		err = b.Leave(ctx, slug)
		back = "/logbook/season"
	default:
		s.fail(w, r, http.StatusBadRequest, "That cannot be done here.", "")
		return
	}
	if err != nil {
		s.failBook(w, r, err)
		return
	}
	http.Redirect(w, r, back, http.StatusSeeOther)
}

// keptImage sends a picture of the logbook.
func (s *Server) keptImage(w http.ResponseWriter, r *http.Request) {
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	var id int64
	if _, err := fmt.Sscan(r.PathValue("id"), &id); err != nil || b == nil {
		s.failBook(w, r, store.ErrNotFound)
		return
	}
	p, err := b.Book.Picture(r.Context(), id)
	if err != nil {
		s.failBook(w, r, err)
		return
	}
	if !slices.Contains([]string{"image/jpeg", "image/png", "image/webp"}, p.Media) {
		p.Media = "application/octet-stream"
	}
	s.send(w, p.Name, p.Media, p.Bytes)
}

// learnView is a built lamp beside its prediction.
type learnView struct {
	frame
	Slug    string
	R       app.LearnedRows
	Trouble string
	Kept    bool
}

func (s *Server) learn(w http.ResponseWriter, r *http.Request) {
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	if b == nil {
		s.failBook(w, r, store.ErrNotFound)
		return
	}
	v := learnView{frame: s.frame(r, "predicted and measured"), Slug: r.PathValue("slug"), Kept: r.URL.Query().Has("kept")}
	done, ok := s.begin(r.Context(), sure)
	if !ok {
		return
	}
	defer done()
	rep, err := b.Learn(r.Context(), v.Slug)
	switch {
	case errors.Is(err, store.ErrNotFound):
		s.failBook(w, r, err)
		return
	case err != nil:
		v.Trouble = capital(err.Error()) + "."
	case r.Method == http.MethodPost:
		if err := b.KeepLearned(r.Context(), v.Slug, rep); err != nil {
			v.Trouble = capital(err.Error()) + "."
			break
		}
		http.Redirect(w, r, "/logbook/lamp/"+escapePath(v.Slug)+"/learned?kept=yes", http.StatusSeeOther)
		return
	default:
		v.R = app.LearnedTable(rep)
	}
	s.render(w, r, http.StatusOK, "learned", v)
}
