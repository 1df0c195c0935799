package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/internal/meterfile"
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

// typedFields are the fields of the form, with the keys of a set-up.
var typedFields = []struct{ Name, Key string }{
	{"lamp", "lamp.id"}, {"name", "lamp.name"}, {"whose", "lamp.origin"}, {"price", "lamp.price"}, {"use", "lamp.use_distance"}, {"interest", "lamp.interest"},
	{"distance", "conditions.distance"}, {"from", "conditions.from"}, {"facing", "conditions.facing"}, {"room", "conditions.room"}, {"warmup", "conditions.warm_up"},
	{"date", "conditions.date"}, {"length", "conditions.face_length"}, {"width", "conditions.face_width"}, {"before", "conditions.background_before"},
	{"meter", "meter.id"}, {"kind", "meter.kind"},
}

// typedReadings are those that the form asks for.
var typedReadings = []string{"lux", "luminance", "watts"}

// addedView is what was kept.
type addedView struct {
	frame
	app.AddedLamp
	Findings []finding.Finding
	Trouble  string
}

// addReadings keeps the files and numbers of the form.
func (s *Server) addReadings(w http.ResponseWriter, r *http.Request) {
	if s.book == nil {
		s.fail(w, r, http.StatusNotFound, "There is no logbook here.", "")
		return
	}
	m, err := r.MultipartReader()
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, "The form could not be read.", "Go back and send it again.")
		return
	}
	var x app.Batch
	texts := map[string]string{}
	var setup []byte
	docs := map[string][]byte{}
	for {
		p, err := m.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		var data []byte
		if err == nil {
			data, err = io.ReadAll(p)
		}
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			s.fail(w, r, http.StatusRequestEntityTooLarge, "The files are too large.", fmt.Sprintf("Up to %d MB are taken at a time; nothing was kept. \"dawnsmith add\" takes any number.", meterfile.MaxBytes>>20))
			return
		}
		if err != nil {
			s.fail(w, r, http.StatusBadRequest, "The form could not be received.", "Nothing was kept. Try again.", err.Error())
			return
		}
		name := filepath.Base(p.FileName())
		switch {
		case p.FileName() == "":
			texts[p.FormName()] = strings.TrimSpace(string(data))
		case name == "setup.toml":
			setup = data
		case strings.HasSuffix(name, ".toml"):
			docs[name] = data
		default:
			x.Files = append(x.Files, app.NewFile{Name: name, Bytes: data})
		}
	}
	v := addedView{frame: s.frame(r, "added to the logbook")}
	v.Back = "/logbook"
	if err := fillBatch(s.app, &x, setup, docs, texts); err != nil {
		v.Trouble = capital(err.Error()) + "."
		s.render(w, r, http.StatusUnprocessableEntity, "added", v)
		return
	}
	b, ok := s.openBook(w, r, true)
	if !ok {
		return
	}
	done, ok := s.begin(r.Context(), full)
	if !ok {
		return
	}
	defer done()
	got, err := b.Add(r.Context(), x)
	v.AddedLamp = got
	var bad *app.SetupError
	if errors.As(err, &bad) {
		v.Trouble = capital(err.Error()) + "."
		s.render(w, r, http.StatusUnprocessableEntity, "added", v)
		return
	}
	if err != nil {
		s.failBook(w, r, err)
		return
	}
	for _, a := range got.Added {
		for _, f := range a.Findings {
			if !slices.ContainsFunc(v.Findings, func(g finding.Finding) bool { return g.Key == f.Key && g.What == f.What }) {
				v.Findings = append(v.Findings, f)
			}
		}
	}
	finding.Sort(v.Findings)
	s.render(w, r, http.StatusOK, "added", v)
}

// fillBatch makes a batch of what a form held.
func fillBatch(a *app.App, x *app.Batch, setup []byte, docs map[string][]byte, texts map[string]string) error {
	var err error
	if setup != nil {
		if x.Setup, err = app.ParseSetup(setup, "setup.toml"); err != nil {
			return err
		}
	}
	for _, f := range typedFields {
		if t := texts[f.Name]; t != "" {
			if err := x.Setup.Say(f.Key, t); err != nil {
				return err
			}
		}
	}
	for _, word := range typedReadings {
		if t := texts["r-"+word]; t != "" {
			if x.Setup.Readings == nil {
				x.Setup.Readings = map[string]string{}
			}
			x.Setup.Readings[word] = t
		}
	}
	x.Note = texts["note"]
	if x.Setup.Lamp.ID == "" {
		return errors.New("which lamp was read? Give it a short name, or bring a setup.toml with id under [lamp]")
	}
	if len(x.Files) == 0 && len(x.Setup.Readings) == 0 && len(x.Setup.Distances) == 0 && x.Note == "" {
		return errors.New("there is nothing to keep: choose files of a meter, or type a reading")
	}
	if d := x.Setup.Lamp.Document; d != "" {
		data, ok := docs[path.Base(d)]
		if !ok {
			return fmt.Errorf("the set-up names the document %q, which was not brought along; choose it too", d)
		}
		spec, err := file.ParseLamp(data, d)
		if err != nil {
			return err
		}
		l, err := a.Build(spec)
		if err != nil {
			return fmt.Errorf("%s: %w", d, err)
		}
		var text strings.Builder
		if err := file.WriteLamp(&text, app.Standalone(l), ""); err != nil {
			return err
		}
		x.Document = text.String()
	}
	return nil
}

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

// rankView is a comparison.
type rankView struct {
	frame
	Keys     []string
	Key      string
	Terms    string // of the select
	Value    string
	Per      string
	With     string
	Where    string
	Text     string
	Origin   string
	Foretold bool
	Err      string
	None     bool
	R        *app.Ranked
	Head     []string
	Rows     []rankRow
	Notes    []string
	Pictures []readPicture
	Query    string
}

type rankRow struct {
	Place, Slug, Name, Ties string
	Cells                   []string
}

// rank makes a comparison; its address holds what is asked.
func (s *Server) rank(w http.ResponseWriter, r *http.Request) {
	v, _, ok := s.rankView(w, r)
	if ok {
		s.render(w, r, http.StatusOK, "rank", v)
	}
}

// viewOf reads what is asked of a comparison.
func viewOf(q url.Values) (app.View, error) {
	v := app.View{Key: q.Get("by"), Text: q.Get("text"), Origin: q.Get("whose"), Predicted: q.Has("predicted")}
	v.Terms.Where = compare.Where(q.Get("terms"))
	if v.Terms.Where == "" {
		v.Terms.Where = compare.AsRead
	}
	v.Terms.Per = compare.Per(q.Get("per"))
	for w := range strings.FieldsFuncSeq(q.Get("with"), func(r rune) bool { return r == ',' || r == ' ' }) {
		v.More = append(v.More, w)
	}
	for c := range strings.SplitSeq(q.Get("where"), ",") {
		if c = strings.TrimSpace(c); c != "" {
			v.Where = append(v.Where, c)
		}
	}
	text := strings.TrimSpace(q.Get("value"))
	var err error
	read := func(d quantity.Dimension, to *float64) {
		if text == "" {
			err = fmt.Errorf("the terms want a number with its unit, such as %q", map[quantity.Dimension]string{quantity.Length: "500 mm", quantity.Illuminance: "5000 lx", quantity.Luminance: "8000 cd/m²"}[d])
			return
		}
		*to, err = quantity.Parse(text, d)
	}
	switch v.Terms.Where {
	case compare.SameDistance:
		read(quantity.Length, &v.Terms.Distance)
	case compare.SameLux:
		read(quantity.Illuminance, &v.Terms.Lux)
	case compare.SameLuminance:
		read(quantity.Luminance, &v.Terms.Luminance)
	}
	return v, err
}

func (s *Server) rankView(w http.ResponseWriter, r *http.Request) (rankView, []report.NamedScene, bool) {
	q := r.URL.Query()
	v := rankView{frame: s.frame(r, "which is better?"), Keys: app.ShortKeys(), Key: q.Get("by"), Terms: q.Get("terms"), Value: q.Get("value"), Per: q.Get("per"), With: q.Get("with"),
		Where: q.Get("where"), Text: q.Get("text"), Origin: q.Get("whose"), Foretold: q.Has("predicted"), Query: r.URL.RawQuery}
	b, ok := s.openBook(w, r, false)
	if !ok {
		return v, nil, false
	}
	if b == nil {
		v.None = true
		return v, nil, true
	}
	var view app.View
	if name := q.Get("view"); name != "" {
		found, err := b.Book.Kept(r.Context(), store.View, name, &view)
		if err == nil && !found {
			err = fmt.Errorf("view %s: %w", name, store.ErrNotFound)
		}
		if err != nil {
			s.failBook(w, r, err)
			return v, nil, false
		}
		v.Key, v.Terms, v.Value, v.Per, v.With = view.Key, string(view.Terms.Where), termsText(view.Terms), string(view.Terms.Per), strings.Join(view.More, ", ")
		v.Where, v.Text, v.Origin, v.Foretold = strings.Join(view.Where, ", "), view.Text, view.Origin, view.Predicted
	} else if v.Key == "" {
		v.Key, v.Terms, v.Value = "lux", string(compare.SameDistance), "500 mm"
		return v, nil, true
	} else {
		var err error
		if view, err = viewOf(q); err != nil {
			v.Err = capital(err.Error()) + "."
			return v, nil, true
		}
	}
	done, ok := s.begin(r.Context(), full)
	if !ok {
		return v, nil, false
	}
	defer done()
	ranked, err := b.Rank(r.Context(), view)
	var damaged *store.Damaged
	switch {
	case errors.Is(err, context.Canceled), errors.As(err, &damaged), errors.Is(err, store.ErrBusy):
		s.failBook(w, r, err)
		return v, nil, false
	case err != nil:
		v.Err = capital(err.Error()) + "."
		return v, nil, true
	}
	v.R = &ranked
	v.fill()
	var scenes []report.NamedScene
	if len(ranked.Lamps) > 0 {
		scenes = report.RankPictures(ranked)
	}
	for i, sc := range scenes {
		svg, err := report.SVG(sc.Scene, fmt.Sprintf("k%d", i))
		if err != nil {
			s.log.Printf("%s: %v", r.URL.Path, err)
			continue
		}
		v.Pictures = append(v.Pictures, readPicture{svg, sc.Scene.Title, "/logbook/rank/picture/" + sc.Name + "?" + v.Query})
	}
	return v, scenes, true
}

// termsText is the number of terms as it is typed.
func termsText(t compare.Terms) string {
	switch t.Where {
	case compare.SameDistance:
		return quantity.Exactly(t.Distance, quantity.Length)
	case compare.SameLux:
		return quantity.Exactly(t.Lux, quantity.Illuminance)
	case compare.SameLuminance:
		return quantity.Exactly(t.Luminance, quantity.Luminance)
	}
	return ""
}

// fill lays a ranking out.
func (v *rankView) fill() {
	k := v.R.Ranking
	for _, c := range v.R.Table {
		v.Head = append(v.Head, heading(c.Metric.Name, c.Unit))
	}
	cells := func(id string) (out []string) {
		for _, c := range v.R.Table {
			for _, x := range c.Cells {
				if x.ID == id {
					out = append(out, cellText(x))
				}
			}
		}
		return out
	}
	for _, x := range k.Rows {
		row := rankRow{Place: fmt.Sprint(x.Place), Slug: x.ID, Name: x.Name, Cells: cells(x.ID)}
		if x.Low != x.High {
			row.Place = fmt.Sprintf("%d (%d–%d)", x.Place, x.Low, x.High)
		}
		var ties []string
		for _, j := range x.Ties {
			ties = append(ties, k.Rows[j].Name)
		}
		row.Ties = strings.Join(ties, ", ")
		v.Rows = append(v.Rows, row)
	}
	for _, x := range k.Unranked {
		v.Rows = append(v.Rows, rankRow{Place: "–", Slug: x.ID, Name: x.Name, Cells: cells(x.ID)})
	}
	v.Notes = append(v.Notes, v.R.Carried()...)
	for _, l := range v.R.Left {
		v.Notes = append(v.Notes, "Left out: "+l+".")
	}
	if k.LogAxis {
		v.Notes = append(v.Notes, capital(k.LogWhy)+".")
	}
}

func cellText(c compare.Cell) string {
	if c.Missing != "" {
		return compare.Missing + ": " + c.Missing
	}
	t := c.Value.String()
	if c.Bound != measure.Estimate {
		t = c.Bound.String() + " " + t
	}
	return t
}

// rankPicture sends a picture of a comparison.
func (s *Server) rankPicture(w http.ResponseWriter, r *http.Request) {
	_, scenes, ok := s.rankView(w, r)
	if !ok {
		return
	}
	name, kind, _ := strings.Cut(r.PathValue("file"), ".")
	i := slices.IndexFunc(scenes, func(sc report.NamedScene) bool { return sc.Name == name })
	if i < 0 || kind != "svg" && kind != "png" {
		s.fail(w, r, http.StatusNotFound, "There is no such picture.", "")
		return
	}
	s.sendScene(w, r, name, kind, scenes[i].Scene)
}

// keepView keeps a comparison under a name.
func (s *Server) keepView(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, http.StatusBadRequest, "The form could not be read.", "Go back and send it again.")
		return
	}
	name := strings.TrimSpace(r.PostForm.Get("name"))
	q, err := url.ParseQuery(r.PostForm.Get("query"))
	if name == "" || len(name) > 60 || err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "A kept comparison needs a name.", "Go back and give it one of at most 60 letters.")
		return
	}
	view, err := viewOf(q)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "That comparison cannot be kept.", "", err.Error())
		return
	}
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	if b == nil {
		s.failBook(w, r, store.ErrNotFound)
		return
	}
	if err := b.Book.PutKept(r.Context(), store.View, name, name, view); err != nil {
		s.failBook(w, r, err)
		return
	}
	http.Redirect(w, r, "/logbook/rank?"+url.Values{"view": {name}}.Encode(), http.StatusSeeOther)
}

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
