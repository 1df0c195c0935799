package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"

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
	if e.json {
		res.Bench, res.Bright = app.FoundToJSON(found, answers), app.FoundToJSON(wish, nil)
		return e.writeJSON(res)
	}
	w := e.Out
	e.showFound(found, answers)
	fmt.Fprintf(w, "\n%s\n\n", "— and a brief that cannot be met —")
	e.showFound(wish, nil)
	fmt.Fprintf(w, "\nWritten to %s:\n", v.Folder)
	for _, f := range res.Files {
		fmt.Fprintf(w, "  %s\n", f)
	}
	fmt.Fprintf(w, "\nOpen %s in a browser; %s is the build pack of the lamp of %s. Then try:\n",
		filepath.Join(v.Folder, "report.html"), filepath.Join(v.Folder, "pack", "pack.pdf"), found.Picks[len(answers)-1].Title)
	lampFile := filepath.Join(v.Folder, filepath.Base(paths[0]))
	for _, try := range []string{
		"dawnsmith predict " + lampFile,
		"dawnsmith swap " + lampFile + " sheet opal-acrylic",
		"dawnsmith parts",
	} {
		fmt.Fprintf(w, "  %s\n", try)
	}
	e.showCautions()
	return nil
}
