package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dawnsmith/bench/measure"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/spectrum"
	"dawnsmith/quantity"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

func options() Options {
	return Options{Program: "test 1", Now: func() time.Time { return noon }}
}

func open(t testing.TB, path string, o Options) *Book {
	t.Helper()
	b, err := Open(t.Context(), path, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

func fresh(t testing.TB) *Book {
	return open(t, filepath.Join(t.TempDir(), "glaze bench.logbook"), options())
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func meter() measure.Instrument {
	return measure.Instrument{ID: "lx-1", Kind: measure.LuxMeter, Calibration: measure.Calibration{Date: "2026-03-02", U: 0.04, K: 2}}
}

func luxRun(id, lamp string, lux float64) NewRun {
	return NewRun{Run: measure.Run{ID: id, Kind: measure.LuxRun, Subject: measure.Subject{Lamp: lamp}, Instrument: meter(),
		Conditions: measure.Conditions{Distance: 0.5, From: measure.FromFace, Room: measure.DarkRoom, WarmUp: 3600, Date: "2026-11-25"},
		Lux:        &measure.LuxLog{Lux: []float64{lux}}},
		Raw: []RawFile{{Name: id + ".csv", Bytes: []byte("lux;" + fmt.Sprint(lux) + "\r\n" + id)}}}
}

func putLamp(t testing.TB, b *Book, slug string) {
	t.Helper()
	_, err := b.PutLamp(t.Context(), Lamp{Slug: slug, Name: "Lamp " + slug})
	must(t, err)
}

func TestLampRevisions(t *testing.T) {
	b, ctx := fresh(t), t.Context()
	for i, doc := range []string{"name = \"a\"", "name = \"a\"", "name = \"b\""} {
		n, err := b.PutLamp(ctx, Lamp{Slug: "oulu", Name: "Oulu", Document: doc})
		must(t, err)
		if want := []int{1, 1, 2}[i]; n != want {
			t.Errorf("revision %d, want %d", n, want)
		}
	}
	l, err := b.Lamp(ctx, "oulu", 0)
	must(t, err)
	if l.Revision != 2 || l.Document != "name = \"b\"" || l.Origin != Own || l.Created != "2026-11-25T12:00:00Z" {
		t.Errorf("%+v", l)
	}
	if l, _ = b.Lamp(ctx, "oulu", 1); l.Document != "name = \"a\"" {
		t.Errorf("the first revision is %q", l.Document)
	}
	if rs, _ := b.Revisions(ctx, "oulu"); len(rs) != 2 {
		t.Errorf("%d revisions", len(rs))
	}
	if _, err = b.Lamp(ctx, "turku", 0); !errors.Is(err, ErrNotFound) {
		t.Errorf("%v", err)
	}
	if _, err = b.PutLamp(ctx, Lamp{Slug: "x", Name: "x", Origin: "found"}); err == nil {
		t.Error("an unknown origin taken")
	}
	must(t, b.AddUnit(ctx, Unit{Lamp: "oulu", Serial: "1"}))
	if err := b.AddUnit(ctx, Unit{Lamp: "oulu", Serial: "1"}); !errors.Is(err, ErrExists) {
		t.Errorf("serial twice: %v", err)
	}
	if err := b.AddUnit(ctx, Unit{Lamp: "oulu", Serial: "2", Revision: 9}); err == nil {
		t.Error("a unit of a revision that is not there")
	}
	must(t, b.AddEvent(ctx, "oulu", "1", Event{At: "2026-11-26", Kind: "as-built", Path: "rows", Value: "8", Note: "one row short"}))
	if err := b.AddEvent(ctx, "oulu", "7", Event{Kind: "repair"}); !errors.Is(err, ErrNotFound) {
		t.Errorf("%v", err)
	}
	us, err := b.Units(ctx, "oulu")
	must(t, err)
	if len(us) != 1 || us[0].Revision != 2 {
		t.Errorf("%+v", us)
	}
	es, err := b.Events(ctx, "oulu", "1")
	must(t, err)
	if len(es) != 1 || es[0].Value != "8" {
		t.Errorf("%+v", es)
	}
	must(t, b.ArchiveLamp(ctx, "oulu", true))
	if ls, _ := b.Lamps(ctx, LampFilter{}); len(ls) != 0 {
		t.Error("a lamp put away is listed")
	}
	if ls, _ := b.Lamps(ctx, LampFilter{Archived: true}); len(ls) != 1 || ls[0].Units != 1 {
		t.Errorf("%+v", ls)
	}
	if err := b.ArchiveLamp(ctx, "nowhere", true); !errors.Is(err, ErrNotFound) {
		t.Errorf("%v", err)
	}
}

func TestDocuments(t *testing.T) {
	b, ctx := fresh(t), t.Context()
	must(t, b.PutBrief(ctx, Document{Slug: "a", Name: "A", Document: "x = 1"}))
	must(t, b.PutBrief(ctx, Document{Slug: "a", Name: "A2", Document: "x = 2"}))
	if d, err := b.Brief(ctx, "a"); err != nil || d.Document != "x = 2" || d.Name != "A2" {
		t.Errorf("%+v %v", d, err)
	}
	if ds, _ := b.Briefs(ctx); len(ds) != 1 {
		t.Errorf("%d briefs", len(ds))
	}
	must(t, b.PutPlan(ctx, Document{Slug: "p", Name: "P", Document: "{}"}))
	if d, err := b.Plan(ctx, "p"); err != nil || d.Document != "{}" {
		t.Errorf("%+v %v", d, err)
	}
	if _, err := b.Plan(ctx, "q"); !errors.Is(err, ErrNotFound) {
		t.Errorf("%v", err)
	}
	for _, s := range []string{"shop", "bench", "reconciled"} {
		must(t, b.PutLayer(ctx, Layer{Document: Document{Slug: s, Name: s, Document: "schema = 1"}, Origin: "file"}))
	}
	must(t, b.PutLayer(ctx, Layer{Document: Document{Slug: "shop", Name: "shop", Document: "schema = 1 # again"}, Origin: "file"}))
	ls, err := b.Layers(ctx)
	must(t, err)
	if len(ls) != 3 || ls[0].Slug != "shop" || ls[0].Document.Document != "schema = 1 # again" || ls[2].Slug != "reconciled" {
		t.Errorf("%+v", ls)
	}
	must(t, b.RemoveLayer(ctx, "bench"))
	if err := b.RemoveLayer(ctx, "bench"); !errors.Is(err, ErrNotFound) {
		t.Errorf("%v", err)
	}
	i := meter()
	for n, want := range []int{1, 1, 2} {
		if n == 2 {
			i.Calibration.Date = "2027-03-01"
		}
		got, err := b.PutInstrument(ctx, i)
		must(t, err)
		if got != want {
			t.Errorf("revision %d, want %d", got, want)
		}
	}
	if got, err := b.Instrument(ctx, "lx-1"); err != nil || got.Calibration.Date != "2027-03-01" {
		t.Errorf("%+v %v", got, err)
	}
	if all, _ := b.Instruments(ctx); len(all) != 1 {
		t.Errorf("%d instruments", len(all))
	}
	n, err := b.AddEdition(ctx, Edition{Slug: "winter", Title: "Winter", Media: "text/html", Bytes: []byte("<p>one")})
	must(t, err)
	m, err := b.AddEdition(ctx, Edition{Slug: "winter", Title: "Winter", Media: "text/html", Bytes: []byte("<p>two")})
	must(t, err)
	if n != 1 || m != 2 {
		t.Errorf("editions %d and %d", n, m)
	}
	if e, err := b.Edition(ctx, "winter", 0); err != nil || string(e.Bytes) != "<p>two" {
		t.Errorf("%+v %v", e, err)
	}
	if e, err := b.Edition(ctx, "winter", 1); err != nil || string(e.Bytes) != "<p>one" {
		t.Errorf("%+v %v", e, err)
	}
	on := About{"lamp", "oulu"}
	must(t, b.AddNote(ctx, on, "hums"))
	if ns, _ := b.Notes(ctx, on); len(ns) != 1 || ns[0].Text != "hums" {
		t.Errorf("%+v", ns)
	}
	if err := b.AddNote(ctx, About{"cat", "x"}, "meows"); err == nil {
		t.Error("a note on a cat taken")
	}
	id, err := b.AddPicture(ctx, on, Picture{Name: "face.jpg", Media: "image/jpeg", Bytes: []byte{1, 2, 3}})
	must(t, err)
	if p, err := b.Picture(ctx, id); err != nil || !bytes.Equal(p.Bytes, []byte{1, 2, 3}) {
		t.Errorf("%+v %v", p, err)
	}
	if ps, _ := b.Pictures(ctx, on); len(ps) != 1 || ps[0].Bytes != nil {
		t.Errorf("%+v", ps)
	}
}

// spectraRun has odd numbers that text would bend.
func spectraRun(id, lamp string, n int) NewRun {
	r := NewRun{Run: measure.Run{ID: id, Kind: measure.SpectraRun, Subject: measure.Subject{Lamp: lamp},
		Instrument: measure.Instrument{ID: "sp-1", Kind: measure.Spectrometer},
		Conditions: measure.Conditions{Distance: 0.4, From: measure.FromFace, WarmUp: 0},
		Spectra:    &measure.SpectrumLog{Quantity: spectrum.Irradiance}},
		Raw: []RawFile{{Name: "log.csv", Bytes: []byte{0xff, 0xfe, 0x0d, 0x0a, 0x00}}}}
	base, err := spectrum.Illuminant("LED-B3")
	if err != nil {
		panic(err)
	}
	for i := range n {
		s := base.Scale(1e-3 / 3 * (1 - 1e-5*float64(i)))
		s[0] = math.Copysign(0, -1)
		r.Spectra.Spectra = append(r.Spectra.Spectra, s)
		r.Spectra.Times = append(r.Spectra.Times, float64(i)/3)
	}
	dark := base.Scale(1e-9)
	r.Spectra.Before, r.Spectra.After = &dark, &dark
	r.Conditions.Spectrum = &base
	return r
}

func TestRunsComeBackWhole(t *testing.T) {
	b, ctx := fresh(t), t.Context()
	putLamp(t, b, "oulu")
	must(t, b.AddUnit(ctx, Unit{Lamp: "oulu", Serial: "1"}))
	n := spectraRun("s-1", "oulu", 90)
	n.Subject.Serial = "1"
	must(t, b.AddRun(ctx, n))
	got, err := b.Run(ctx, "s-1")
	must(t, err)
	if d := cmp.Diff(n.Run, got); d != "" {
		t.Error(d)
	}
	raw, err := b.Raw(ctx, "s-1")
	must(t, err)
	if len(raw) != 1 || !bytes.Equal(raw[0].Bytes, n.Raw[0].Bytes) || !bytes.Equal(raw[0].SHA256[:], sumOf(n.Raw[0].Bytes)) {
		t.Errorf("%+v", raw)
	}
	ks, err := b.Runs(ctx, RunFilter{Lamp: "oulu"})
	must(t, err)
	if len(ks) != 1 || ks[0].Spectra != 90 || ks[0].RawFiles != 1 || ks[0].Serial != "1" || ks[0].Program != "test 1" {
		t.Errorf("%+v", ks)
	}
	// Imported twice: told, unless it is meant.
	n.ID = "s-2"
	var dup *Duplicate
	if err := b.AddRun(ctx, n); !errors.As(err, &dup) || dup.Run != "s-1" {
		t.Errorf("%v", err)
	}
	n.Again = true
	must(t, b.AddRun(ctx, n))
	if err := b.AddRun(ctx, n); !errors.Is(err, ErrExists) {
		t.Errorf("%v", err)
	}
	n.ID, n.Subject.Lamp = "s-3", "turku"
	if err := b.AddRun(ctx, n); !errors.Is(err, ErrNotFound) {
		t.Errorf("%v", err)
	}
	n.Subject.Lamp = "oulu"
	n.Spectra.Times = n.Spectra.Times[:5]
	if err := b.AddRun(ctx, n); err == nil {
		t.Error("five times for ninety spectra")
	}
	if ks, _ = b.Runs(ctx, RunFilter{}); len(ks) != 2 {
		t.Errorf("%d runs after a refused one", len(ks))
	}
	must(t, b.WithdrawRun(ctx, "s-2", "the wrong lamp"))
	if ks, _ = b.Runs(ctx, RunFilter{}); len(ks) != 1 {
		t.Error("a withdrawn run counts")
	}
	if ks, _ = b.Runs(ctx, RunFilter{Withdrawn: true}); len(ks) != 2 || ks[1].Withdrawn != "the wrong lamp" {
		t.Errorf("%+v", ks)
	}
}

func TestRawIsNeverAltered(t *testing.T) {
	b, ctx := fresh(t), t.Context()
	putLamp(t, b, "oulu")
	must(t, b.AddRun(ctx, luxRun("r", "oulu", 5000)))
	for _, q := range []string{"UPDATE raw SET bytes = x'00'", "DELETE FROM raw", "UPDATE raw SET name = 'x'"} {
		if _, err := b.write.ExecContext(ctx, q); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: %v", q, err)
		}
	}
	if _, err := b.AddEdition(ctx, Edition{Slug: "e", Media: "text/plain", Bytes: []byte("x")}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.write.ExecContext(ctx, "UPDATE edition SET title = 'other'"); err == nil {
		t.Error("an edition altered")
	}
	// Strict tables and links hold.
	for _, q := range []string{
		"INSERT INTO run (name, lamp_id, kind, document, imported, program) VALUES ('x', 99, 'lux', '{}', '', '')",
		"INSERT INTO run (name, lamp_id, kind, document, imported, program) VALUES ('x', 1, 'lux', 'not json', '', '')",
		"INSERT INTO result (run_id, key, value, u) VALUES (1, 'k', 'much', 0)",
		"DELETE FROM run", "DELETE FROM lamp",
	} {
		if _, err := b.write.ExecContext(ctx, q); err == nil {
			t.Errorf("%s: taken", q)
		}
	}
}

func TestRecordsAndLists(t *testing.T) {
	b, ctx := fresh(t), t.Context()
	for i, slug := range []string{"a", "b", "c"} {
		putLamp(t, b, slug)
		for j := range 2 {
			n := luxRun(fmt.Sprintf("%s-%d", slug, j), slug, float64(1000*(i+1)+j))
			n.Conditions.Date = fmt.Sprintf("2026-11-%02d", 20-j) // the second is older
			must(t, b.AddRun(ctx, n))
		}
	}
	if stale, _ := b.Stale(ctx); len(stale) != 6 {
		t.Errorf("stale %v", stale)
	}
	steps := 0
	made, err := b.Recompute(ctx, "", func(i, n int) { steps++ })
	must(t, err)
	if made != 6 || steps != 6 {
		t.Errorf("%d records, %d steps", made, steps)
	}
	if stale, _ := b.Stale(ctx); len(stale) != 0 {
		t.Errorf("stale %v", stale)
	}
	rec, program, err := b.Record(ctx, "a-0")
	must(t, err)
	r, _ := b.Run(ctx, "a-0")
	want, err := r.Evaluate()
	must(t, err)
	if d := cmp.Diff(want, rec); d != "" || program != "test 1" {
		t.Error(d, program)
	}
	recs, err := b.Records(ctx, "a", "")
	must(t, err)
	if len(recs) != 2 || recs[0].Run != "a-1" {
		t.Errorf("%d records, first of %s", len(recs), recs[0].Run)
	}
	two := 2000.0
	ls, err := b.Lamps(ctx, LampFilter{Limits: []Limit{{Key: predict.MeterLux, Min: &two}}, Sort: predict.MeterLux, Descending: true})
	must(t, err)
	if len(ls) != 2 || ls[0].Slug != "c" || ls[0].Runs != 2 {
		t.Fatalf("%+v", ls)
	}
	// The newest reading counts, not the last imported.
	if n := ls[0].Measured[predict.MeterLux]; n.Value != 3000 || n.Run != "c-0" || n.U <= 0 || n.Distance != 0.5 {
		t.Errorf("%+v", n)
	}
	must(t, b.WithdrawRun(ctx, "c-0", "cold"))
	ls, _ = b.Lamps(ctx, LampFilter{Text: "LAMP C", Keys: []string{predict.MeterLux}})
	if len(ls) != 1 || ls[0].Measured[predict.MeterLux].Value != 3001 {
		t.Errorf("%+v", ls)
	}
	if ls, _ = b.Lamps(ctx, LampFilter{Text: "100%"}); len(ls) != 0 {
		t.Error("a per cent sign matches everything")
	}
	must(t, b.PutPrediction(ctx, "a", 0, json.RawMessage(`{"n": 1}`), map[string]quantity.Value{predict.MeterLux: quantity.Measured(900, 50, "parts"), "bad": {X: math.NaN()}}))
	doc, _, err := b.Prediction(ctx, "a", 0)
	if err != nil || string(doc) != `{"n": 1}` {
		t.Errorf("%s %v", doc, err)
	}
	ls, _ = b.Lamps(ctx, LampFilter{Text: "lamp a", Keys: []string{predict.MeterLux}})
	if n := ls[0].Predicted[predict.MeterLux]; n.Value != 900 || n.U != 50 {
		t.Errorf("%+v", n)
	}
	// Another version of the program finds them stale.
	o := options()
	o.Program = "test 2"
	c := open(t, b.Path(), o)
	if stale, _ := c.Stale(ctx); len(stale) != 6 {
		t.Errorf("stale for another version: %v", stale)
	}
}
