package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"time"

	"dawnsmith/bench/compare"
	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/file"
	"dawnsmith/internal/report"
	"dawnsmith/lamp/search"
)

// demoVerb works both demo briefs into one folder.
type demoVerb struct {
	Folder string `arg:"" optional:"" default:"demo-out" help:"Where to put the files."`
}

// demoResult is the demo as JSON.
type demoResult struct {
	Folder string        `json:"folder"`
	Files  []string      `json:"files"`
	Bench  app.FoundJSON `json:"bench"`
	Bright app.FoundJSON `json:"bright"`
	// Compared are the demo's measured lamps.
	Compared *rankJSON `json:"compared,omitempty"`
}

func (v *demoVerb) Run(e *env) error {
	a, err := e.app()
	if err != nil {
		return err
	}
	if err := mkdir(v.Folder); err != nil {
		return err
	}
	res := demoResult{Folder: v.Folder}
	keep := func(name string, data []byte) error {
		if _, err := file.SaveBytes(filepath.Join(v.Folder, name), data, file.Overwrite()); err != nil {
			return err
		}
		res.Files = append(res.Files, name)
		return nil
	}
	docs := catalogue.Documents()
	for _, name := range []string{"oulu-bench.brief.toml", "oulu-bright.brief.toml"} {
		data, err := fs.ReadFile(docs, name)
		if err != nil {
			return err
		}
		if err := keep(name, data); err != nil {
			return err
		}
	}

	bench := catalogue.BenchBrief()
	found, answers, err := e.find(a, bench, 3)
	if err != nil {
		return err
	}
	if len(answers) == 0 {
		return errors.New("the starter catalogue gives no lamp for the demo brief; leave out --parts")
	}
	paths, err := saveLamps(v.Folder, answers)
	if err != nil {
		return err
	}
	for _, p := range paths {
		res.Files = append(res.Files, filepath.Base(p))
	}

	bright := catalogue.BrightBrief()
	wish, _, err := e.find(a, bright, 1)
	if err != nil {
		return err
	}

	var html bytes.Buffer
	if err := report.Write(&html, report.Input{Found: found, Answers: answers, Others: []search.Found{wish}}); err != nil {
		return err
	}
	if err := keep("report.html", html.Bytes()); err != nil {
		return err
	}
	packed, err := savePack(filepath.Join(v.Folder, "pack"), &answers[len(answers)-1], app.PackOptions{Date: time.Now()})
	if err != nil {
		return err
	}
	for _, f := range packed {
		res.Files = append(res.Files, "pack/"+f)
	}
	ranked, err := v.measure(e, &res)
	if err != nil {
		return err
	}
	if e.json {
		c := rankedJSON(ranked)
		res.Compared = &c
		res.Bench, res.Bright = app.FoundToJSON(found, answers), app.FoundToJSON(wish, nil)
		return e.writeJSON(res)
	}
	w := e.Out
	e.showFound(found, answers)
	fmt.Fprintf(w, "\n%s\n\n", "— and a brief that cannot be met —")
	e.showFound(wish, nil)
	fmt.Fprintf(w, "\n%s\n\n", "— four lamps measured, three of them bought —")
	e.showRanked(ranked)
	fmt.Fprintf(w, "\nWritten to %s:\n", v.Folder)
	drawings := 0
	for _, f := range res.Files {
		if strings.HasPrefix(f, "pack/drawings/") {
			if drawings++; drawings > 1 {
				continue
			}
			f = "pack/drawings: every drawing as SVG, PDF, PNG and DXF"
		}
		fmt.Fprintf(w, "  %s\n", f)
	}
	fmt.Fprintf(w, "\nOpen %s in a browser; %s is the build pack of the lamp of %s, %s the comparison. Then try:\n",
		filepath.Join(v.Folder, "report.html"), filepath.Join(v.Folder, "pack", "pack.pdf"), found.Picks[len(answers)-1].Title, filepath.Join(v.Folder, "edition", "edition.html"))
	lampFile := filepath.Join(v.Folder, filepath.Base(paths[0]))
	for _, try := range []string{
		"dawnsmith predict " + lampFile,
		"dawnsmith swap " + lampFile + " sheet opal-acrylic",
		"dawnsmith list large-panel --logbook " + filepath.Join(v.Folder, demoBook),
		"dawnsmith reconcile oulu-first --logbook " + filepath.Join(v.Folder, demoBook),
		"dawnsmith serve --folder " + v.Folder + " --logbook " + filepath.Join(v.Folder, demoBook),
		"dawnsmith parts",
	} {
		fmt.Fprintf(w, "  %s\n", try)
	}
	e.showCautions()
	return nil
}

// demoBook is the logbook that the demo fills.
const demoBook = "bench.logbook"

// measure writes the readings of the demo's lamps as meters would, adds them to
// a logbook and compares the lamps.
func (v *demoVerb) measure(e *env, res *demoResult) (app.Ranked, error) {
	all := catalogue.Readings()
	err := fs.WalkDir(all, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(all, path)
		if err != nil {
			return err
		}
		to := filepath.Join(v.Folder, "readings", filepath.FromSlash(path))
		if err := mkdir(filepath.Dir(to)); err != nil {
			return err
		}
		_, err = file.SaveBytes(to, data, file.Overwrite())
		return err
	})
	if err != nil {
		return app.Ranked{}, err
	}
	own := *e
	own.book = filepath.Join(v.Folder, demoBook)
	b, done, err := own.openBook(false)
	if err != nil {
		return app.Ranked{}, err
	}
	defer done()
	add := addVerb{Files: []string{filepath.Join(v.Folder, "readings")}}
	batches, err := add.batches()
	if err != nil {
		return app.Ranked{}, err
	}
	for _, x := range batches {
		got, err := x.add(e, b, "", false)
		if err != nil {
			return app.Ranked{}, err
		}
		if len(got.Failed) > 0 {
			return app.Ranked{}, fmt.Errorf("%s: %s", got.Failed[0].File, got.Failed[0].Why)
		}
	}
	view := app.View{Key: "lux", More: []string{"luminance", "cct", "ra", "watts"}, Terms: compare.Terms{Where: compare.SameDistance, Distance: 0.4}}
	r, err := b.Rank(e.ctx, view)
	if err != nil {
		return r, err
	}
	ed, _, err := b.Publish(e.ctx, app.EditionRequest{Slug: "glaze-bench", Title: "Four lamps at a glaze bench", Publisher: "the glaze bench", Interest: "one of the four was built by the publisher, three were bought", View: view}, time.Now())
	if err != nil {
		return r, err
	}
	files, err := app.EditionFiles(ed, false)
	if err != nil {
		return r, err
	}
	for _, f := range files {
		to := filepath.Join(v.Folder, "edition", filepath.FromSlash(f.Name))
		if err := mkdir(filepath.Dir(to)); err != nil {
			return r, err
		}
		if _, err := file.SaveBytes(to, f.Bytes, file.Overwrite()); err != nil {
			return r, err
		}
	}
	res.Files = append(res.Files, "readings", demoBook, "edition/edition.html", "edition/edition.pdf", "edition: table, data and pictures")
	return r, nil
}
