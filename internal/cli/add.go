package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
)

// addVerb puts readings into the logbook.
type addVerb struct {
	Files []string `arg:"" optional:"" help:"Files as a meter wrote them, or folders of them. A setup.toml in the same folder says which lamp, meter and place they belong to."`

	Setup   string   `placeholder:"FILE" help:"The set-up that the files belong to, where none lies beside them."`
	Set     []string `sep:"none" placeholder:"KEY=TEXT" help:"Say one thing of the set-up here, such as lamp.id=panel or conditions.distance=\"400 mm\" (may be repeated)."`
	Reading []string `sep:"none" placeholder:"MEASURE=NUMBER" help:"A reading typed in, such as lux=5200 or watts=\"38.2 ± 0.3\" (may be repeated)."`
	At      []string `sep:"none" placeholder:"DISTANCE=LUX" help:"Lux at a distance, such as \"300 mm=8200\" (may be repeated)."`
	Note    string   `placeholder:"TEXT" help:"A remark on the lamp."`
	Again   bool     `help:"Keep a file although the logbook holds the same bytes already."`
}

// batch is a set-up with the files that belong to it.
type batch struct {
	setup app.Setup
	where string // the folder of the set-up
	files []string
}

// setupName is what a set-up is called beside its readings.
const setupName = "setup.toml"

func (v *addVerb) Run(e *env) error {
	batches, err := v.batches()
	if err != nil {
		return input(err)
	}
	b, done, err := e.openBook(false)
	if err != nil {
		return err
	}
	defer done()
	var out []app.AddedLamp
	failed := 0
	for _, x := range batches {
		a, err := x.add(e, b, v.Note, v.Again)
		if err != nil {
			return err
		}
		failed += len(a.Failed)
		if n := len(out) - 1; n >= 0 && out[n].Lamp == a.Lamp {
			o := &out[n]
			o.Added, o.Failed, o.Pictures, o.Claim = append(o.Added, a.Added...), append(o.Failed, a.Failed...), append(o.Pictures, a.Pictures...), a.Claim
			continue
		}
		out = append(out, a)
	}
	if e.json {
		if err := e.writeJSON(out); err != nil {
			return err
		}
	} else {
		e.showAdded(out)
	}
	if failed > 0 {
		return errNo
	}
	return nil
}

// batches sorts the files by set-up.
func (v *addVerb) batches() ([]batch, error) {
	var out []batch
	var base app.Setup
	where := "."
	if v.Setup != "" {
		var err error
		if base, err = readSetup(v.Setup); err != nil {
			return nil, err
		}
		where = filepath.Dir(v.Setup)
	}
	by := map[string]int{}
	put := func(folder, path string, s app.Setup) {
		i, ok := by[folder]
		if !ok {
			i, by[folder] = len(out), len(out)
			out = append(out, batch{setup: s, where: folder})
		}
		if path != "" {
			out[i].files = append(out[i].files, path)
		}
	}
	one := func(path string) error {
		folder := filepath.Dir(path)
		beside := filepath.Join(folder, setupName)
		if _, err := os.Stat(beside); v.Setup == "" && err == nil {
			s, err := readSetup(beside)
			if err != nil {
				return err
			}
			put(folder, path, s)
			return nil
		}
		put(where, path, base)
		return nil
	}
	for _, f := range v.Files {
		st, err := os.Stat(f)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", f, unwrapPath(err))
		}
		paths := []string{f}
		if st.IsDir() {
			if paths, err = folderFiles(f); err != nil {
				return nil, err
			}
			if len(paths) == 0 {
				return nil, fmt.Errorf("the folder %s holds no files", f)
			}
		}
		for _, p := range paths {
			if filepath.Base(p) == setupName || st.IsDir() && isDocument(p) {
				p = filepath.Join(filepath.Dir(p), setupName)
				if _, err := os.Stat(p); err != nil {
					continue
				}
				s, err := readSetup(p)
				if err != nil {
					return nil, err
				}
				put(filepath.Dir(p), "", s)
				continue
			}
			if err := one(p); err != nil {
				return nil, err
			}
		}
	}
	if len(v.Files) == 0 {
		put(where, "", base)
	}
	for i := range out {
		s := &out[i].setup
		if err := v.overlay(s); err != nil {
			return nil, err
		}
		if len(out[i].files) == 0 && len(s.Readings) == 0 && len(s.Distances) == 0 && v.Note == "" {
			return nil, errors.New("there is nothing to add: name files of a meter, or type readings in with --reading lux=5200")
		}
		if s.Lamp.ID == "" {
			return nil, fmt.Errorf("which lamp was read? say --set lamp.id=NAME, or put a %s with id under [lamp] beside the files (docs/logbook.md shows one)", setupName)
		}
	}
	return out, nil
}

// overlay lays what the command line says over a set-up.
func (v *addVerb) overlay(s *app.Setup) error {
	for _, kv := range v.Set {
		key, val, ok := strings.Cut(kv, "=")
		if !ok {
			return fmt.Errorf("--set %s: allowed is KEY=TEXT, such as conditions.distance=\"400 mm\"", kv)
		}
		if err := s.Say(strings.TrimSpace(key), strings.TrimSpace(val)); err != nil {
			return fmt.Errorf("--set %s: %w", kv, err)
		}
	}
	for _, list := range []struct {
		flag string
		kvs  []string
		to   *map[string]string
	}{{"--reading", v.Reading, &s.Readings}, {"--at", v.At, &s.Distances}} {
		for _, kv := range list.kvs {
			key, val, ok := strings.Cut(kv, "=")
			if !ok {
				return fmt.Errorf("%s %s: allowed is NAME=NUMBER", list.flag, kv)
			}
			if *list.to == nil {
				*list.to = map[string]string{}
			}
			(*list.to)[strings.TrimSpace(key)] = strings.TrimSpace(val)
		}
	}
	return nil
}

func readSetup(path string) (app.Setup, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return app.Setup{}, fmt.Errorf("%s: %w", path, unwrapPath(err))
	}
	return app.ParseSetup(data, path)
}

// isDocument tells that a file beside readings is none of a meter's.
func isDocument(path string) bool {
	n := strings.ToLower(filepath.Base(path))
	return strings.HasSuffix(n, ".toml") || strings.HasSuffix(n, ".md") || strings.HasSuffix(n, ".pdf")
}

// folderFiles lists the files of a folder and those below, hidden ones left
// out, in order.
func folderFiles(dir string) ([]string, error) {
	v := readVerb{Files: []string{dir}}
	names, _, err := v.names()
	slices.Sort(names)
	return names, err
}

// load makes a batch for the logbook: the lamp's document checked and with its
// parts, the files to be read when their turn comes.
func (x batch) load(b *app.Bench) (app.Batch, error) {
	out := app.Batch{Setup: x.setup}
	if d := x.setup.Lamp.Document; d != "" {
		path := filepath.Join(x.where, d)
		s, _, err := file.OpenLamp(path)
		if err != nil {
			return out, err
		}
		l, err := b.Build(s)
		if err != nil {
			return out, input(fmt.Errorf("%s: %w", path, err))
		}
		var w strings.Builder
		if err := file.WriteLamp(&w, app.Standalone(l), ""); err != nil {
			return out, err
		}
		out.Document = w.String()
	}
	for _, f := range x.files {
		out.Files = append(out.Files, app.NewFile{Name: f, Load: func() ([]byte, error) {
			data, err := os.ReadFile(f)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", f, unwrapPath(err))
			}
			return data, nil
		}})
	}
	return out, nil
}

// add keeps a batch.
func (x batch) add(e *env, b *app.Bench, note string, again bool) (app.AddedLamp, error) {
	in, err := x.load(b)
	if err != nil {
		return app.AddedLamp{}, err
	}
	in.Note, in.Again = note, again
	out, err := b.Add(e.ctx, in)
	var bad *app.SetupError
	if errors.As(err, &bad) {
		err = input(fmt.Errorf("%s: %w", filepath.Join(x.where, setupName), err))
	}
	return out, err
}

func (e *env) showAdded(out []app.AddedLamp) {
	w := e.Out
	for i, a := range out {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintf(w, "%s\n", a.Lamp)
		t := newTable(w, []any{"file", "what", "main number", "run"})
		for _, r := range a.Added {
			from, say := r.File, r.Main
			if from == "" {
				from = "typed in"
			}
			if r.Already {
				say = "in the logbook already"
			}
			t.AppendRow(table.Row{from, string(r.Kind), say, r.Run})
		}
		if len(a.Added) > 0 {
			t.Render()
		}
		for _, p := range a.Pictures {
			fmt.Fprintf(w, "picture %s\n", p)
		}
		for _, f := range a.Failed {
			fmt.Fprintf(w, "NOT ADDED %s: %s\n", f.File, f.Why)
		}
		var fs []finding.Finding
		for _, r := range a.Added {
			if r.Already {
				continue
			}
			for _, f := range r.Findings {
				if !slices.ContainsFunc(fs, func(g finding.Finding) bool { return g.Key == f.Key && g.What == f.What }) {
					fs = append(fs, f)
				}
			}
		}
		finding.Sort(fs)
		if len(fs) > 0 {
			e.showFindings(fs)
		}
		if len(a.Claim) > 0 {
			fmt.Fprintln(w, "\nWhat its seller says:")
			for _, f := range a.Claim {
				fmt.Fprintf(w, "  %-4s  %s  [%s]\n        mend:  %s\n", f.Severity, f.What, f.Key, f.Mend)
			}
		}
	}
}

// watchVerb adds what comes into a folder.
type watchVerb struct {
	Folder string        `arg:"" help:"The folder; its subfolders count, each with its setup.toml."`
	Every  time.Duration `default:"2s" help:"How often to look."`
	Once   bool          `help:"Look once and end."`
}

func (v *watchVerb) Run(e *env) error {
	if v.Every < 100*time.Millisecond || v.Every > time.Hour {
		return input(fmt.Errorf("--every is %s; allowed is 100ms to 1h", v.Every))
	}
	if st, err := os.Stat(v.Folder); err != nil || !st.IsDir() {
		return input(fmt.Errorf("%s is no folder; name the one that the meter's files come into", v.Folder))
	}
	b, done, err := e.openBook(false)
	if err != nil {
		return err
	}
	defer done()
	if !v.Once {
		fmt.Fprintf(e.Err, "Watching %s; interrupt to end. What is added is on the disk at once.\n", v.Folder)
	}
	seen := map[string]string{} // by path, its size and time when last tried
	for {
		if err := v.look(e, b, seen); err != nil {
			return err
		}
		if v.Once {
			return nil
		}
		select {
		case <-e.ctx.Done():
			return e.ctx.Err()
		case <-time.After(v.Every):
		}
	}
}

// look tries the files that are new or were changed, and have come to rest.
func (v *watchVerb) look(e *env, b *app.Bench, seen map[string]string) error {
	paths, err := folderFiles(v.Folder)
	if err != nil {
		return nil //nolint:nilerr // an empty folder is one to wait for
	}
	for _, p := range paths {
		st, err := os.Stat(p)
		if err != nil || isDocument(p) {
			continue
		}
		mark := fmt.Sprint(st.Size(), st.ModTime().UnixNano())
		if seen[p] == mark || !v.Once && time.Since(st.ModTime()) < time.Second {
			continue
		}
		setup := filepath.Join(filepath.Dir(p), setupName)
		if _, err := os.Stat(setup); err != nil {
			if seen[p] == "" {
				fmt.Fprintf(e.Err, "dawnsmith: %s waits: its folder has no %s to say which lamp it is of\n", p, setupName)
				seen[p] = "waits"
			}
			continue
		}
		seen[p] = mark
		x, err := readSetup(setup)
		if err != nil {
			fmt.Fprintln(e.Err, "dawnsmith:", err)
			continue
		}
		a, err := batch{setup: x, where: filepath.Dir(p), files: []string{p}}.add(e, b, "", false)
		var wrong *inputError
		switch {
		case errors.As(err, &wrong):
			fmt.Fprintln(e.Err, "dawnsmith:", err)
			continue
		case err != nil:
			return err
		}
		if slices.ContainsFunc(a.Added, func(r app.Added) bool { return !r.Already }) || len(a.Failed) > 0 {
			if e.json {
				if err := e.writeJSON(a); err != nil {
					return err
				}
				continue
			}
			e.showAdded([]app.AddedLamp{a})
		}
	}
	return nil
}
