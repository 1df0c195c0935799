package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/shelf"
	"dawnsmith/internal/store"
)

// bookSite is a page over a logbook that does not exist yet.
func bookSite(t *testing.T) *site {
	t.Helper()
	t.Parallel()
	dir := t.TempDir()
	sh, err := shelf.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	a := &app.App{Parts: catalogue.Starter(), Workers: 2}
	path := filepath.Join(dir, "a.logbook")
	var got *app.Bench
	open := func(ctx context.Context, make_ bool) (*app.Bench, error) {
		if got != nil {
			return got, nil
		}
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) && !make_ {
			return nil, store.ErrNotFound
		}
		b, err := store.Open(context.Background(), path, store.Options{Program: "test"})
		if err != nil {
			return nil, err
		}
		got = &app.Bench{App: a, Book: b, Program: "test"}
		return got, nil
	}
	s, err := New(Options{App: a, Shelf: sh, Logbook: open, Hosts: []string{"127.0.0.1:8465"}, Now: func() time.Time { return time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		s.Close()
		if got != nil {
			got.Book.Close()
		}
	})
	return &site{t, s, dir}
}

// bring sends a form with files, as a browser does.
func (w *site) bring(path string, texts map[string]string, files map[string][]byte) answer {
	w.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	for k, v := range texts {
		if err := m.WriteField(k, v); err != nil {
			w.Fatal(err)
		}
	}
	for name, data := range files {
		p, err := m.CreateFormFile("files", name)
		if err != nil {
			w.Fatal(err)
		}
		_, _ = p.Write(data)
	}
	m.Close()
	r := httptest.NewRequest(http.MethodPost, home+path, &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header.Set("Origin", home)
	rec := httptest.NewRecorder()
	w.s.Handler().ServeHTTP(rec, r)
	return answer{rec, "POST " + path}
}

// folder reads the files of one of the demo's lamps.
func folder(t *testing.T, name string) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	des, err := fs.ReadDir(catalogue.Readings(), name)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range des {
		if out[d.Name()], err = fs.ReadFile(catalogue.Readings(), name+"/"+d.Name()); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// The tester's way through the page: from an empty logbook to a ranking, a
// withdrawn run, the season and what was learned.
func TestLogbookPages(t *testing.T) {
	w := bookSite(t)
	for _, path := range []string{"/logbook", "/logbook/rank", "/logbook/season"} {
		w.want(w.get(path), 200, "logbook is empty")
	}
	if _, err := os.Stat(filepath.Join(w.dir, "a.logbook")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("looking made a logbook: %v", err)
	}
	w.want(w.get("/logbook/lamp/none"), 404, "not in the logbook")

	w.want(w.bring("/logbook", map[string]string{"lamp": "x"}, nil), 422, "Not kept", "nothing to keep")
	w.want(w.bring("/logbook", map[string]string{"r-lux": "5000"}, nil), 422, "Which lamp", "Nothing was kept")
	w.want(w.bring("/logbook", map[string]string{"lamp": "x", "r-lux": "bright"}, nil), 422, "allowed is a number")
	w.want(w.bring("/logbook", map[string]string{"lamp": "x", "r-lux": "1", "distance": "5"}, nil), 422, "the unit is missing")
	w.want(w.bring("/logbook", nil, map[string][]byte{"setup.toml": []byte("[lamp]\nnam = \"x\"\n")}), 422, "line 2", "unknown key")
	own := folder(t, "oulu-first")
	missing := map[string][]byte{"setup.toml": own["setup.toml"], "hour.csv": own["hour.csv"]}
	w.want(w.bring("/logbook", nil, missing), 422, "names the document", "not brought along")

	for _, name := range []string{"oulu-first", "large-panel", "small-tablet", "tube-box"} {
		w.want(w.bring("/logbook", nil, folder(t, name)), 200, "It is on the disk", "illuminance at the meter")
	}
	w.want(w.bring("/logbook", nil, folder(t, "tube-box")), 200, "in the logbook already")
	for i, x := range []string{"1840", "1836", "1700"} {
		w.want(w.bring("/logbook", map[string]string{"lamp": "check-lamp", "whose": "check", "distance": "300 mm", "from": "face", "facing": "lamp", "room": "dark", "warmup": "30 min",
			"date": fmt.Sprintf("2026-0%d-01", i+7), "meter": "lx-1", "kind": "lux meter", "r-lux": x}, nil), 200, "It is on the disk")
	}
	bad := w.want(w.bring("/logbook", map[string]string{"lamp": "tube-box"}, map[string][]byte{"<b>.txt": []byte("<script>alert(1)</script>\n")}), 200, "was not added")
	if strings.Contains(bad.Body.String(), "<script>alert") {
		t.Error("a file's words are repeated unescaped")
	}

	w.want(w.get("/logbook"), 200, "large panel", "check-lamp", "8200 ± ")
	w.want(w.get("/logbook?where=luminance+%3C+9000"), 200, "large panel")
	if got := w.get("/logbook?where=luminance+%3C+9000").Body.String(); strings.Contains(got, "small tablet") {
		t.Error("a lamp outside the condition is listed")
	}
	w.want(w.get("/logbook?where=bright"), 200, "is no condition")
	w.want(w.get("/logbook?text=nothing"), 200, "No lamp in the logbook is so")
	lamp := w.want(w.get("/logbook/lamp/large-panel"), 200, "stated without a distance", "What makes", "drive and firmware setting", "missing", "<svg")
	if strings.Contains(lamp.Body.String(), "NaN") {
		t.Error("NaN on the page")
	}

	page := w.want(w.get("/logbook/rank?by=lux&terms=same+distance&value=500+mm&with=luminance,ra"), 200, "Oulu first lamp", "by the law of an even face", "check lamp, which only watches", "rendition-hues")
	if n := strings.Count(page.Body.String(), "<figure>"); n != 5 {
		t.Errorf("%d pictures of a ranking, want 5", n)
	}
	w.want(w.get("/logbook/rank/picture/ranking.svg?by=lux&terms=same+distance&value=500+mm"), 200, "<svg")
	w.want(w.get("/logbook/rank/picture/other.svg?by=lux"), 404)
	w.want(w.get("/logbook/rank?by=lux&terms=same+distance"), 200, "The terms want a number with its unit")
	w.want(w.get("/logbook/rank?by=beauty"), 200, "is no measure")
	w.want(w.get("/logbook/rank?by=lux&whose=lent"), 200, "No lamp of the logbook is asked for")
	q := url.Values{"by": {"luminance"}, "whose": {"bought"}}.Encode()
	kept := w.want(w.ask("POST", "/logbook/rank", url.Values{"name": {"bought faces"}, "query": {q}}.Encode(), "Content-Type", "application/x-www-form-urlencoded", "Origin", home), 303)
	w.want(w.get(kept.Header().Get("Location")), 200, "box with two tubes")
	w.want(w.get("/logbook"), 200, "bought faces")
	w.want(w.get("/logbook/rank?view=none"), 404)

	pub := url.Values{"query": {q}, "slug": {"faces"}, "title": {"Faces"}, "publisher": {"the bench"}, "raw": {"yes"}}
	post := func(v url.Values) answer {
		return w.ask("POST", "/logbook/edition", v.Encode(), "Content-Type", "application/x-www-form-urlencoded", "Origin", home)
	}
	for n := 1; n <= 2; n++ {
		to := w.want(post(pub), 303).Header().Get("Location")
		ed := w.want(w.get(to), 200, fmt.Sprintf("Faces, no. %d", n), "box with two tubes", "Attached: ", "ask a clinician first")
		if csp := ed.Header().Get("Content-Security-Policy"); !strings.Contains(csp, "default-src 'none'") || strings.Contains(csp, "script-src") {
			t.Errorf("an edition may do %q", csp)
		}
		pub.Set("correction", "a lamp was read too near")
	}
	w.want(w.get("/logbook/edition/faces/2"), 200, "No. 1, corrected on 2026-11-25: a lamp was read too near")
	w.want(w.get("/logbook"), 200, "Faces, no. 2")
	w.want(w.get("/logbook/edition/faces/9"), 404)
	w.want(post(url.Values{"query": {q}, "slug": {"Not Plain"}}), 422, "allowed are small letters")

	form := func(path string, v url.Values) answer {
		return w.ask("POST", path, v.Encode(), "Content-Type", "application/x-www-form-urlencoded", "Origin", home)
	}
	tube := "/logbook/lamp/tube-box"
	runs := w.get(tube).Body.String()
	_, rest, _ := strings.Cut(runs, `name="run" value="tube-box-hour-lux-`)
	run := "tube-box-hour-lux-" + rest[:strings.IndexByte(rest, '"')]
	w.want(form(tube, url.Values{"do": {"withdraw"}, "run": {run}}), 422, "Why does the run not count")
	w.want(form(tube, url.Values{"do": {"withdraw"}, "run": {run}, "why": {"the door stood open"}}), 303)
	w.want(w.get(tube), 200, "does not count: the door stood open", "let it count")
	w.want(form(tube, url.Values{"do": {"count"}, "run": {run}}), 303)
	w.want(form(tube, url.Values{"do": {"note"}, "note": {"hums a little"}}), 303)
	w.want(w.get(tube), 200, "hums a little")
	w.want(form(tube, url.Values{"do": {"wait"}}), 303)
	w.want(w.get("/logbook/season"), 200, "waiting since 2026-11-25", "lx-1", "has changed", "2029-08", "<svg")
	w.want(form(tube, url.Values{"do": {"leave"}}), 303)
	w.want(form(tube, url.Values{"do": {"burn"}}), 400)
	w.want(form("/logbook/lamp/none", url.Values{"do": {"wait"}}), 404)

	w.want(w.get("/logbook/lamp/oulu-first/learned"), 200, "measures", "flux of white-24v-120 white", "Keep the corrected parts")
	w.want(form("/logbook/lamp/oulu-first/learned", url.Values{}), 303)
	w.want(w.get("/logbook/lamp/large-panel/learned"), 200, "has no document")

	copied := w.want(w.get("/logbook/backup"), 200)
	if !strings.HasPrefix(copied.Body.String(), "SQLite format 3") {
		t.Error("the backup is no SQLite file")
	}
	w.want(w.ask("POST", "/logbook", "", "Origin", "http://elsewhere"), 403)
}
