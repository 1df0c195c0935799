package check

import (
	"bytes"
	"context"
	"dawnsmith/light/spectrum"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
)

func load(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// caseFiles are those whose format is computed here; testdata/README.md
// names the independent methods behind them.
var caseFiles = []string{"spectral.json", "optics.json", "circuit.json", "thermal.json", "flicker.json", "sun.json", "circadian.json", "mixing.json", "cutting.json"}

// Every public case is computed and keeps its tolerance.
func TestPublicCasesWithin(t *testing.T) {
	for _, name := range caseFiles {
		r, err := File(context.Background(), load(t, name), nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(r.Cases) == 0 {
			t.Errorf("%s: no cases", name)
		}
		for _, c := range r.Cases {
			switch {
			case c.Computed == nil:
				t.Errorf("%s %s: not computed: %s", name, c.ID, c.Why)
			case c.Judged == 0:
				t.Errorf("%s %s: nothing was compared", name, c.ID)
			case c.Within == nil || !*c.Within:
				t.Errorf("%s %s: %+v", name, c.ID, c.Worst)
			}
		}
	}
}

// spoil replaces every number below by nonsense.
func spoil(v any) any {
	switch x := v.(type) {
	case map[string]any:
		for k := range x {
			x[k] = spoil(x[k])
		}
	case []any:
		for i := range x {
			x[i] = spoil(x[i])
		}
	case float64:
		return -7.7*x + 13
	}
	return v
}

// Stored answers do not enter: with nonsense in their place the computed
// values are the same, and the file is out of tolerance.
func TestNonsenseAnswersChangeNothing(t *testing.T) {
	answers := map[string]func(key string) bool{
		"optics.json":   func(k string) bool { return k == "result" },
		"circuit.json":  func(k string) bool { return k == "result" },
		"thermal.json":  func(k string) bool { return k == "result" },
		"flicker.json":  func(k string) bool { return k == "result" },
		"spectral.json": func(k string) bool { return k != "input" && k != "source" },
	}
	lists := map[string]string{"optics.json": "boxes", "spectral.json": "spectra"}
	for name, isAnswer := range answers {
		var doc map[string]any
		if err := json.Unmarshal(load(t, name), &doc); err != nil {
			t.Fatal(err)
		}
		list := lists[name]
		if list == "" {
			list = "cases"
		}
		each := func(c map[string]any) {
			for k := range c {
				if isAnswer(k) {
					c[k] = spoil(c[k])
				}
			}
		}
		ids := map[string]bool{}
		switch cs := doc[list].(type) {
		case []any:
			for _, c := range cs {
				each(c.(map[string]any))
				ids[c.(map[string]any)["id"].(string)] = true
			}
		case map[string]any:
			for k, c := range cs {
				each(c.(map[string]any))
				ids[k] = true
			}
		default:
			t.Fatalf("%s has no %s", name, list)
		}
		spoilt, err := json.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		good, err := File(context.Background(), load(t, name), nil)
		if err != nil {
			t.Fatal(err)
		}
		bad, err := File(context.Background(), spoilt, nil)
		if err != nil {
			t.Fatal(err)
		}
		spoiltBy := map[string]Case{}
		for _, c := range bad.Cases {
			spoiltBy[c.ID] = c
		}
		compared := 0
		for _, c := range good.Cases {
			if !ids[c.ID] {
				continue
			}
			compared++
			if !bytes.Equal(c.Computed, spoiltBy[c.ID].Computed) {
				t.Errorf("%s %s: the stored answer enters the computation", name, c.ID)
			}
			if w := spoiltBy[c.ID].Within; w == nil || *w {
				t.Errorf("%s %s: nonsense is within tolerance", name, c.ID)
			}
		}
		if compared != len(ids) {
			t.Errorf("%s: %d of %d cases compared", name, compared, len(ids))
		}
	}
}

func TestBadFiles(t *testing.T) {
	for text, says := range map[string]string{
		`{`:                         "",
		`{"format":"no-such/1"}`:    "not known",
		`[]`:                        "",
		`{"cases":[]}`:              "format",
		strings.Repeat("[", 100000): "",
		`{"format":"tray-circuit-cases/1","cases":[{"id":"X","rows":"none"}]}`: "",
	} {
		r, err := File(context.Background(), []byte(text), nil)
		if err == nil {
			for _, c := range r.Cases {
				if c.Computed != nil || c.Why == "" {
					t.Errorf("%.40q: case %s is computed from nothing", text, c.ID)
				}
			}
			continue
		}
		if !strings.Contains(err.Error(), says) {
			t.Errorf("%.40q: %v, want %q", text, err, says)
		}
	}
}

func FuzzFile(f *testing.F) {
	f.Add([]byte(`{"format":"tray-circuit-cases/1","cases":[]}`))
	f.Add([]byte(`{"format":"flicker-cases/1","cases":[{"id":"F","waveform":{}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			return
		}
		_, _ = File(context.Background(), data, nil)
	})
}

// A spectrum file beside the case file is measured like the table it holds.
func TestSpectrumFileBesideTheCase(t *testing.T) {
	var b strings.Builder
	b.WriteString("wavelength (nm);relative\n")
	for nm := 380; nm <= 780; nm++ {
		b.WriteString(strings.ReplaceAll(fmt.Sprintf("%d;%.6f\n", nm, spectrum.PlanckAt(4000, float64(nm))), ".", ","))
	}
	dir := fstest.MapFS{"lamp.csv": {Data: []byte(b.String())}}
	r, err := File(context.Background(), []byte(`{"format":"spectrum-cases/1","spectra":{"mine":{"input":{"file":"lamp.csv"},"cct":{"K":4000}}}}`), dir)
	if err != nil || len(r.Cases) == 0 || r.Cases[0].Computed == nil {
		t.Fatalf("%+v, %v", r, err)
	}
	var got struct {
		CCT struct{ K float64 } `json:"cct"`
	}
	if err := json.Unmarshal(r.Cases[0].Computed, &got); err != nil || math.Abs(got.CCT.K-4000) > 0.5 {
		t.Errorf("a black body of 4000 K reads %v K, %v", got.CCT.K, err)
	}
}
