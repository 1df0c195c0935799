package web

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/internal/meterfile"
)

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
