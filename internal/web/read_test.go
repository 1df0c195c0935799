package web

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// Files that are brought to the page have an address of their own, with what
// they hold, their pictures, and what is wrong with those that cannot be read.
func TestReadPage(t *testing.T) {
	s, _ := testServer(t)
	do := func(r *http.Request) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, r)
		return w
	}
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	for name, text := range map[string]string{
		"lamp.csv":  "nm,W/m²/nm\n380,0.001\n400,0.01\n420,0.02\n440,0.03\n460,0.03\n480,0.02\n500,0.02\n520,0.03\n540,0.03\n560,0.03\n580,0.03\n600,0.03\n620,0.02\n640,0.02\n660,0.01\n680,0.01\n700,0.005\n720,0.002\n740,0.001\n760,0.001\n780,0.001\n",
		"words.txt": "<script>alert(1)</script> no numbers\n",
	} {
		p, err := m.CreateFormFile("files", name)
		if err != nil {
			t.Fatal(err)
		}
		_, _ = p.Write([]byte(text))
	}
	m.Close()
	r := httptest.NewRequest(http.MethodPost, "http://127.0.0.1:8465/read", &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	w := do(r)
	to := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(to, "/read/") {
		t.Fatalf("%d %s", w.Code, to)
	}
	get := func(path string) (int, string) {
		w := do(httptest.NewRequest(http.MethodGet, "http://127.0.0.1:8465"+path, nil))
		return w.Code, w.Body.String()
	}
	_, page := get(to)
	for _, want := range []string{"white light of", "melanopic EDI", "The numbers of lamp.csv", "It was not read.", "<svg"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if strings.Contains(page, "<script>alert") || strings.Contains(page, "NaN") {
		t.Error("the page repeats what the file says unescaped, or holds nonsense")
	}
	if code, svg := get(to + "/picture/0.svg"); code != 200 || !strings.Contains(svg, "<svg") {
		t.Errorf("picture: %d", code)
	}
	for path, want := range map[string]string{
		"/read": "Bring the files", to + "?lux=500": "the unit is missing", "/read/0000": "no longer here", to + "/picture/99.svg": "no such picture", to + "?lux=500+lx": "melanopic equivalent daylight",
	} {
		if _, got := get(path); !strings.Contains(got, want) {
			t.Errorf("%s does not say %q", path, want)
		}
	}
	empty := httptest.NewRequest(http.MethodPost, "http://127.0.0.1:8465/read", strings.NewReader(""))
	if w := do(empty); w.Code != http.StatusBadRequest {
		t.Errorf("nothing sent: %d", w.Code)
	}
}
