package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/internal/check"
)

// checkVerb recomputes reference cases.
type checkVerb struct {
	Files []string `arg:"" name:"file" help:"Case files (JSON with a format key)."`
}

// Help is the long help.
func (checkVerb) Help() string {
	return "Each case is computed from its inputs alone; the stored answers are only compared with. " +
		"With --json one file gives an object, several give a list of them. " +
		"Exit code 1: something is out of tolerance or could not be computed; 2: a file could not be read."
}

func (v *checkVerb) Run(e *env) error {
	var unreadable []error
	reports := []check.Report{}
	no := false
	for _, path := range v.Files {
		r, err := checkFile(e, path)
		if err != nil {
			if e.ctx.Err() != nil {
				return err
			}
			unreadable = append(unreadable, err)
			continue
		}
		no = no || r.OutOfTolerance()
		reports = append(reports, r)
		if !e.json {
			e.showCheck(r)
		}
	}
	if e.json && len(reports) > 0 {
		var out any = reports
		if len(v.Files) == 1 {
			out = reports[0]
		}
		if err := e.writeJSON(out); err != nil {
			return err
		}
	}
	switch {
	case len(unreadable) > 0:
		return input(errors.Join(unreadable...))
	case no:
		return errNo
	}
	return nil
}

// checkFile recomputes one file; files that its cases name are looked for
// beside it and nowhere else.
func checkFile(e *env, path string) (check.Report, error) {
	info, err := os.Stat(path)
	if err != nil {
		return check.Report{}, err
	}
	if info.IsDir() {
		return check.Report{}, fmt.Errorf("%s is a folder; name the case files in it", path)
	}
	if info.Size() > check.MaxFile {
		return check.Report{}, fmt.Errorf("%s has %d MB; a case file may have %d MB", path, info.Size()>>20, check.MaxFile>>20)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return check.Report{}, err
	}
	var beside fs.FS
	if root, err := os.OpenRoot(filepath.Dir(path)); err == nil {
		defer root.Close()
		beside = root.FS()
	}
	r, err := check.File(e.ctx, data, beside)
	if err != nil {
		return r, fmt.Errorf("%s: %w", path, err)
	}
	r.File = path
	return r, nil
}

// showCheck writes one file as a table.
func (e *env) showCheck(r check.Report) {
	fmt.Fprintf(e.Out, "%s: %s\n", r.File, r.Format)
	t := newTable(e.Out, []any{"case", "worst", "off by", "allowed", ""}, 3, 4)
	out := 0
	for _, c := range r.Cases {
		row := table.Row{c.ID, "", "", "", "nothing to compare"}
		if w := c.Worst; w != nil {
			row[1] = w.Key
			if w.Deviation != nil {
				row[2], row[3] = strconv.FormatFloat(*w.Deviation, 'g', 3, 64), strconv.FormatFloat(w.Tolerance, 'g', 3, 64)
			}
		}
		switch {
		case c.Within != nil && *c.Within:
			row[4] = "within"
		case c.Within != nil:
			row[4], out = "OUT", out+1
			if c.Computed == nil {
				row[4] = "not computed"
			}
		}
		t.AppendRow(row)
	}
	t.Render()
	for _, c := range r.Cases {
		if c.Why != "" && c.Within != nil {
			fmt.Fprintf(e.Out, "  %s: %s\n", c.ID, c.Why)
		}
	}
	fmt.Fprintf(e.Out, "%d cases, %d out of tolerance or not computed.\n\n", len(r.Cases), out)
}
