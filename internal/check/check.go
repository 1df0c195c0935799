package check

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// MaxFile is the largest case file that is read, bytes.
const MaxFile = 64 << 20

// Report is one file, recomputed.
type Report struct {
	File   string `json:"file,omitempty"`
	Format string `json:"format"`
	Cases  []Case `json:"cases"`
}

// Case is one case, recomputed.
type Case struct {
	ID    string `json:"id"`
	Title string `json:"title,omitempty"`
	// Computed holds what was computed, under the file's own keys; nil when
	// the case cannot be computed, and Why says why.
	Computed json.RawMessage `json:"computed"`
	Why      string          `json:"why,omitempty"`
	// Worst is the deviation that fills its tolerance most; nil when there was
	// no stored answer to compare with.
	Worst *Worst `json:"worst"`
	// Within tells whether every judged quantity keeps its tolerance; nil when
	// there was nothing to compare.
	Within *bool `json:"within"`
	// Judged is how many stored numbers were compared.
	Judged int `json:"judged"`
}

// Worst is the deviation of a case that fills its tolerance most.
type Worst struct {
	Key string `json:"key"` // where in the results, as in tm30.Rf_hj[3]
	// Deviation and Tolerance are in the unit of the key. Deviation is nil
	// when there is no telling: a stored answer that is not of the kind it has
	// to be, or one that has no counterpart.
	Deviation *float64 `json:"deviation"`
	Tolerance float64  `json:"tolerance"`
}

// OutOfTolerance tells whether any case of the file is not within its
// tolerances or could not be computed.
func (r *Report) OutOfTolerance() bool {
	return slices.ContainsFunc(r.Cases, func(c Case) bool { return c.Within != nil && !*c.Within })
}

// InputError says that a file is no case file that can be read.
type InputError struct{ Err error }

func (e *InputError) Error() string { return e.Err.Error() }

// Unwrap gives the reason.
func (e *InputError) Unwrap() error { return e.Err }

func wrong(format string, args ...any) error {
	return &InputError{fmt.Errorf(format, args...)}
}

// entry is one case of a file, ready to be computed.
type entry struct {
	id, title string
	stored    json.RawMessage // the answers of the file; nil for none
	compute   func() (any, error)
	rules     []rule
}

// source is what a format's reader gets.
type source struct {
	object           // the whole file
	dir       fs.FS  // where files that the cases name lie; may be nil
	tolerance limits // of the file
}

// formats are the readers by the word in the file's key format.
var formats = map[string]func(*source) ([]entry, error){
	"spectrum-cases/1":     spectra,
	"tray-circuit-cases/1": circuits,
	"tray-heat-cases/1":    trays,
	"light-box-cases/1":    boxes,
	"flicker-cases/1":      flickers,
	"sun-cases/1":          suns,
	"body-clock-cases/1":   clocks,
	"two-channel-cases/1":  mixtures,
	"tray-cutting-cases/1": cuttings,
}

// Formats lists the formats that can be recomputed.
func Formats() []string {
	var names []string
	for k := range formats {
		names = append(names, k)
	}
	slices.Sort(names)
	return names
}

// File recomputes every case of a file. dir is where the files lie that cases
// may name; nil when there is no such place. The error is an *InputError for
// what cannot be read as a case file, and that of ctx when it ends early. A
// case that cannot be computed is no error: it says why.
func File(ctx context.Context, data []byte, dir fs.FS) (Report, error) {
	src, read, err := open(data, dir)
	if err != nil {
		return Report{}, err
	}
	report := Report{Format: src.text("format"), Cases: []Case{}}
	entries, err := read(src)
	if err != nil {
		return report, &InputError{fmt.Errorf("%s: %w", report.Format, err)}
	}
	if len(entries) == 0 {
		return report, wrong("%s: the file holds no cases", report.Format)
	}
	for i := range entries {
		if err := ctx.Err(); err != nil {
			return report, err
		}
		report.Cases = append(report.Cases, entries[i].run())
	}
	return report, nil
}

// open finds out what the file is.
func open(data []byte, dir fs.FS) (*source, func(*source) ([]entry, error), error) {
	if len(data) > MaxFile {
		return nil, nil, wrong("the file has %d MB; a case file may have %d MB", len(data)>>20, MaxFile>>20)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	var o object
	if err := json.Unmarshal(data, &o); err != nil {
		return nil, nil, wrong("not a case file: %s", explain(data, err))
	}
	src := &source{object: o, dir: dir, tolerance: readLimits(o.get("tolerance"))}
	name := src.text("format")
	if name == "" {
		return nil, nil, wrong("not a case file: the key format is missing or no text; allowed: %s", strings.Join(Formats(), ", "))
	}
	read, ok := formats[name]
	if !ok {
		return nil, nil, wrong("format %.60q is not known; allowed: %s", name, strings.Join(Formats(), ", "))
	}
	return src, read, nil
}

// run computes a case and then compares it.
func (e *entry) run() Case {
	c := Case{ID: e.id, Title: e.title}
	value, err := e.guarded()
	if err == nil {
		c.Computed, err = json.Marshal(value)
	}
	if err != nil {
		c.Computed, c.Why = nil, err.Error()
		no := false
		c.Within = &no
		return c
	}
	if e.stored == nil {
		c.Why = "the file stores no results to compare with"
		return c
	}
	cmp := comparison{rules: e.rules}
	cmp.all(e.stored, c.Computed)
	c.Judged = cmp.judged
	if cmp.judged == 0 {
		c.Why = "the file stores no result that has a tolerance"
		return c
	}
	within := cmp.worst <= 1
	c.Worst, c.Within, c.Why = &cmp.at, &within, cmp.why
	return c
}

// guarded computes; a fault of the program ends this case only.
func (e *entry) guarded() (value any, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the program failed on this case: %v", p)
		}
	}()
	return e.compute()
}
