package web

import (
	"maps"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"dawnsmith/internal/catalogue"
)

// onPage gives what the page's own form sends without script.
func (w *site) onPage(path string) url.Values {
	w.Helper()
	a := w.want(w.get(path), http.StatusOK)
	fs, actions := forms(w.tree(a))
	for i, f := range fs {
		if f.Has("from") {
			if p, _, _ := strings.Cut(path, "?"); actions[i] != p {
				w.Errorf("%s: the form goes to %q", path, actions[i])
			}
			return f
		}
	}
	w.Fatalf("%s has no form", path)
	return nil
}

// The way of a lamp without script: open, change, save, change again, be told
// of a conflict, save over it or beside it.
func TestSaveLamp(t *testing.T) {
	w := newSite(t)
	w.want(w.get("/lamp/oulu-first"), 200, "A sample that comes with Dawnsmith")

	f := w.onPage("/lamp/oulu-first?rows=8")
	if f.Get("rows") != "8" || f.Get("as") != "oulu-first" || f.Get("since") != "" || f.Get("from") != "rows=8" {
		t.Fatalf("form %v", f)
	}
	f.Set("note", "saved without being worked out first")
	if to := w.to(w.post("/lamp/oulu-first", f)); to != "/lamp/oulu-first" {
		t.Fatalf("leads to %s", to)
	}
	saved := w.file("oulu-first.lamp.toml")
	if !strings.Contains(saved, "rows = 8\n") || !strings.Contains(saved, "saved without being worked out first") {
		t.Fatalf("the file holds\n%s", saved)
	}
	page := w.want(w.get("/lamp/oulu-first"), 200, "As in the file, saved", "saved without being worked out first")
	if strings.Contains(page.Body.String(), "Changed and not saved") {
		t.Error("the page of what was just saved shows changes")
	}

	// Someone edits the file by hand while the page is open.
	f = w.onPage("/lamp/oulu-first?rows=7")
	byHand := "# by hand\n" + saved
	if err := os.WriteFile(filepath.Join(w.dir, "oulu-first.lamp.toml"), []byte(byHand), 0o644); err != nil {
		t.Fatal(err)
	}
	told := w.want(w.post("/lamp/oulu-first", f), http.StatusConflict, "changed by someone else", "Nothing was written", "Save over it", "Save under another name", "See the file as it is now")
	if w.file("oulu-first.lamp.toml") != byHand {
		t.Fatal("written in spite of the conflict")
	}
	if _, err := os.Stat(filepath.Join(w.dir, "revisions")); err == nil {
		t.Error("a revision of what was not saved")
	}
	fs, actions := forms(w.tree(told))
	var beside, over url.Values
	for i, c := range fs {
		switch {
		case actions[i] != "/lamp/oulu-first":
		case c.Has("anyway"):
			over = c
		default:
			beside = c
		}
	}
	if beside == nil || over == nil {
		t.Fatalf("forms %v", fs)
	}
	if to := w.to(w.post("/lamp/oulu-first", beside)); to != "/lamp/oulu-first-2" {
		t.Errorf("beside: leads to %s", to)
	}
	if got := w.file("oulu-first-2.lamp.toml"); !strings.Contains(got, "rows = 7\n") {
		t.Errorf("beside:\n%s", got)
	}
	w.want(w.post("/lamp/oulu-first", beside), http.StatusConflict, "already")
	if to := w.to(w.post("/lamp/oulu-first", over)); to != "/lamp/oulu-first" {
		t.Errorf("over: leads to %s", to)
	}
	if got := w.file("oulu-first.lamp.toml"); !strings.Contains(got, "rows = 7\n") || !strings.HasPrefix(got, "# by hand\n") {
		t.Errorf("over:\n%s", got)
	}
	kept, err := filepath.Glob(filepath.Join(w.dir, "revisions", "oulu-first.r*.lamp.toml"))
	if err != nil || len(kept) != 1 {
		t.Fatalf("revisions %v, %v", kept, err)
	}
	if data, err := os.ReadFile(kept[0]); err != nil || string(data) != byHand {
		t.Errorf("the revision is not what was there: %v", err)
	}
	w.want(w.get("/lamp/oulu-first/compare"), 200, "revision")

	// The file is taken away while the page is open.
	f = w.onPage("/lamp/oulu-first?rows=6")
	if err := os.Remove(filepath.Join(w.dir, "oulu-first.lamp.toml")); err != nil {
		t.Fatal(err)
	}
	gone := w.want(w.post("/lamp/oulu-first", f), http.StatusConflict, "removed")
	if strings.Contains(gone.Body.String(), "See the file as it is now") {
		t.Error("a file that is gone cannot be seen")
	}
}

// What cannot be saved is said in words, and writes nothing.
func TestNotSaved(t *testing.T) {
	w := newSite(t)
	for _, c := range []struct {
		path string
		form url.Values
		code int
		says string
	}{
		{"/lamp/oulu-first", url.Values{"as": {""}}, 422, "it is empty"},
		{"/lamp/oulu-first", url.Values{"as": {"../../etc/passwd"}}, 422, "other signs"},
		{"/lamp/oulu-first", url.Values{"as": {"nul"}}, 422, "devices"},
		{"/lamp/oulu-first", url.Values{"as": {"a"}, "state": {"%zz"}}, 400, "cannot be read"},
		{"/lamp/oulu-first", url.Values{"as": {"a"}, "from": {"%zz"}}, 422, "does not say what it was made from"},
		{"/lamp/none", url.Values{"as": {"a"}}, 404, "There is no lamp"},
		{"/lamp/a%2Fb", url.Values{"as": {"a"}}, 404, "There is no lamp"},
		{"/lamp/..", url.Values{"as": {"a"}}, 0, ""},
		{"/brief/none", url.Values{"as": {"a"}}, 404, "There is no brief"},
		{"/brief/oulu-bench", url.Values{"as": {"a/b"}}, 422, "other signs"},
	} {
		a := w.post(c.path, c.form)
		if c.code == 0 {
			if a.Code < 300 {
				t.Errorf("%s: %d", a.path, a.Code)
			}
			continue
		}
		w.want(a, c.code, c.says)
	}
	if es, err := os.ReadDir(w.dir); err != nil || len(es) != 0 {
		t.Errorf("the folder holds %v, %v", es, err)
	}
	// Endings that people type belong to the name no more.
	for _, as := range []string{"mine", "mine.lamp.toml", " mine.toml "} {
		a := w.post("/lamp/oulu-first", url.Values{"as": {as}, "anyway": {"yes"}})
		if to := w.to(a); to != "/lamp/mine" {
			t.Errorf("%q leads to %s", as, to)
		}
	}
}

func TestSaveBrief(t *testing.T) {
	w := newSite(t)
	f := w.onPage("/brief/oulu-bench")
	f.Set("place.meter_distance", "45 cm")
	if to := w.to(w.post("/brief/oulu-bench", f)); to != "/brief/oulu-bench" {
		t.Errorf("leads to %s", to)
	}
	if got := w.file("oulu-bench.brief.toml"); !strings.Contains(got, "450 mm") && !strings.Contains(got, "0.45 m") && !strings.Contains(got, "45 cm") {
		t.Errorf("the file holds\n%s", got)
	}
	w.want(w.get("/brief/oulu-bench"), 200, "As in the file")
	w.want(w.post("/brief/oulu-bench", f), http.StatusConflict, "already") // opened when it was none
	f = w.onPage("/brief/oulu-bench")
	f.Set("place.meter_distance", "50 cm")
	w.to(w.post("/brief/oulu-bench", f))
	if kept, _ := filepath.Glob(filepath.Join(w.dir, "revisions", "oulu-bench.r1.brief.toml")); len(kept) != 1 {
		t.Error("the brief as it was is not kept")
	}
}

// The form sent without script leads to an address that holds what was
// changed, and nothing else.
func TestFormWithoutScript(t *testing.T) {
	w := newSite(t)
	send := func(path string, f url.Values) (string, url.Values) {
		to, err := url.Parse(w.to(w.get(path + "?" + f.Encode())))
		if err != nil {
			t.Fatal(err)
		}
		q := to.Query()
		return to.Path, q
	}
	for _, path := range []string{"/lamp/oulu-first", "/lamp/new", "/brief/oulu-bench", "/brief/new"} {
		f := w.onPage(path)
		if p, q := send(path, f); p != path || len(q) != 0 {
			t.Errorf("%s, nothing changed: leads to %s with %v", path, p, q)
		}
	}
	for name, c := range map[string]struct {
		start string
		set   map[string]string
		want  map[string]string
	}{
		"one field":            {"", map[string]string{"rows": "8"}, map[string]string{"rows": "8"}},
		"in other words":       {"", map[string]string{"lead_length": "80 in"}, map[string]string{"lead_length": "80 in"}},
		"from a changed state": {"?rows=8", map[string]string{"lead_length": "2 m"}, map[string]string{"rows": "8", "lead_length": "2 m"}},
		"back again":           {"?rows=8", map[string]string{"rows": "9"}, nil},
		"a tick":               {"", map[string]string{"place.tilt_fixed": "on"}, map[string]string{"place.tilt_fixed": "on"}},
		"a bad field keeps the rest": {"", map[string]string{"rows": "8", "lead_length": "two ells", "note": "kept"},
			map[string]string{"rows": "8", "typed.lead_length": "two ells", "note": "kept"}},
		"a brief brings its place":                 {"", map[string]string{"brief": "oulu-bright"}, map[string]string{"brief": "oulu-bright"}},
		"a bad field goes when it is put right":    {"?typed.lead_length=two+ells", map[string]string{"lead_length": "2 m"}, map[string]string{"lead_length": "2 m"}},
		"a bad field stays while others are dealt": {"?typed.lead_length=two+ells", map[string]string{"rows": "7"}, map[string]string{"typed.lead_length": "two ells", "rows": "7"}},
	} {
		f := w.onPage("/lamp/oulu-first" + c.start)
		for k, v := range c.set {
			f.Set(k, v)
		}
		_, q := send("/lamp/oulu-first", f)
		got := map[string]string{}
		for k := range q {
			if name != "a brief brings its place" || !strings.HasPrefix(k, "place.") {
				got[k] = q.Get(k)
			}
		}
		if len(got) != len(c.want) || !maps.Equal(got, c.want) && len(c.want) > 0 {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
	// A tick that is taken away.
	f := w.onPage("/lamp/oulu-first?place.tilt_fixed=on&place.tilt=10%C2%B0")
	if f.Get("place.tilt_fixed") != "on" {
		t.Fatalf("not ticked: %v", f)
	}
	f.Del("place.tilt_fixed")
	if _, q := send("/lamp/oulu-first", f); q.Has("place.tilt_fixed") {
		t.Errorf("still ticked: %v", q)
	}
	page := w.want(w.get("/lamp/oulu-first?rows=8&typed.lead_length=two+ells"), 200, `value="two ells"`, "Counted on with the last value that made sense")
	for _, in := range elements(w.tree(page), "input", "select") {
		name, _ := attr(in, "name")
		if _, bad := attr(in, "aria-invalid"); bad != (name == "lead_length") {
			t.Errorf("%s: marked as wrong: %v", name, bad)
		}
	}
}

// The document that is taken along is the lamp with its parts and changes.
func TestTakeAlong(t *testing.T) {
	w := newSite(t)
	a := w.want(w.get("/lamp/oulu-first/file?rows=8"), 200, "rows = 8\n", "[[parts.")
	if got := a.Header().Get("Content-Disposition"); !strings.HasPrefix(got, "attachment;") || !strings.Contains(got, `"oulu-first.lamp.toml"`) {
		t.Errorf("sent as %q", got)
	}
	if err := os.WriteFile(filepath.Join(w.dir, "pöytä “1”.lamp.toml"), catalogue.Text(catalogue.FirstName), 0o644); err == nil {
		w.want(w.get("/lamp/"+url.PathEscape("pöytä “1”")), 404) // not a name
	}
	if err := os.WriteFile(filepath.Join(w.dir, "pöytä 1.lamp.toml"), catalogue.Text(catalogue.FirstName), 0o644); err != nil {
		t.Fatal(err)
	}
	a = w.want(w.get("/lamp/"+url.PathEscape("pöytä 1")+"/file"), 200)
	if got := a.Header().Get("Content-Disposition"); strings.ContainsFunc(got, func(r rune) bool { return r > 0x7e }) || !strings.Contains(got, "filename*=UTF-8''p%C3%B6yt%C3%A4%201.lamp.toml") {
		t.Errorf("sent as %q", got)
	}
	// A file that cannot be read is said to be so, with the line.
	if err := os.WriteFile(filepath.Join(w.dir, "bad.lamp.toml"), []byte("schema = 1\nrows = many <b>\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	w.want(w.get("/lamp/bad"), 422, "cannot be read", "bad.lamp.toml:2", "&lt;b&gt;")
	w.want(w.get("/"), 200, "cannot be read", "/lamp/oulu-first")
	fs, _ := forms(w.tree(w.get("/lamp/oulu-first")))
	if !slices.ContainsFunc(fs, func(f url.Values) bool { return f.Has("back") }) {
		t.Error("no choice of the look")
	}
}
