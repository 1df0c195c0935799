package web

import (
	"bytes"
	"context"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/file"
)

// What another site could make a browser send is refused; what the page and a
// person's own link send is not.
func TestGuard(t *testing.T) {
	w := newSite(t)
	const form = "application/x-www-form-urlencoded"
	save := "state=rows%3D8&as=stolen"
	for _, c := range []struct {
		name   string
		method string
		path   string
		header []string
		code   int
	}{
		{"own name", "GET", "/parts", nil, 200},
		{"other own name, in capitals", "GET", "/parts", []string{"Host", "LOCALHOST:8465"}, 200},
		{"a name made to point here", "GET", "/parts", []string{"Host", "lamps.example:8465"}, 421},
		{"another port", "GET", "/parts", []string{"Host", "127.0.0.1:80"}, 421},
		{"no port", "GET", "/parts", []string{"Host", "127.0.0.1"}, 421},
		{"no name", "GET", "/parts", []string{"Host", ""}, 421},
		{"a foreign name that writes", "POST", "/lamp/oulu-first", []string{"Host", "lamps.example:8465", "Origin", "http://lamps.example:8465"}, 421},

		{"the page's own form", "POST", "/lamp/oulu-first", []string{"Origin", home, "Sec-Fetch-Site", "same-origin"}, 303},
		{"a program, no browser", "POST", "/lamp/oulu-first", nil, 409}, // it gets through; the name is taken by now
		{"another site's form", "POST", "/lamp/oulu-first", []string{"Origin", "https://evil.example", "Sec-Fetch-Site", "cross-site"}, 403},
		{"by its origin alone", "POST", "/lamp/oulu-first", []string{"Origin", "https://evil.example"}, 403},
		{"by the fetch header alone", "POST", "/lamp/oulu-first", []string{"Sec-Fetch-Site", "cross-site"}, 403},
		{"a neighbouring site", "POST", "/lamp/oulu-first", []string{"Sec-Fetch-Site", "same-site"}, 403},
		{"a page without origin", "POST", "/lamp/oulu-first", []string{"Origin", "null"}, 403},
		{"another port's page", "POST", "/lamp/oulu-first", []string{"Origin", "http://127.0.0.1:9999"}, 403},
		{"our name over another scheme", "POST", "/lamp/oulu-first", []string{"Origin", "https://127.0.0.1:8465"}, 403},
		{"our name in another's", "POST", "/lamp/oulu-first", []string{"Origin", "http://127.0.0.1:8465.evil.example"}, 403},
		{"a navigation that writes", "POST", "/lamp/oulu-first", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document"}, 403},
		{"another site's look", "POST", "/look", []string{"Origin", "https://evil.example"}, 403},

		{"a link from elsewhere", "GET", "/parts", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document"}, 200},
		{"a link typed by hand", "GET", "/parts", []string{"Sec-Fetch-Site", "none", "Sec-Fetch-Mode", "navigate"}, 200},
		{"framed elsewhere", "GET", "/parts", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "iframe"}, 403},
		{"an image elsewhere", "GET", "/lamp/oulu-first/picture/plan.svg", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors", "Sec-Fetch-Dest", "image"}, 403},
		{"fetched elsewhere", "GET", "/lamp/oulu-first", []string{"Sec-Fetch-Site", "same-site", "Sec-Fetch-Mode", "cors"}, 403},
		{"an address without end", "GET", "/lamp/oulu-first?note=" + strings.Repeat("x", 40<<10), nil, 414},
	} {
		body := ""
		if c.method == "POST" {
			body = save
			c.header = append(c.header, "Content-Type", form)
		}
		a := w.ask(c.method, c.path, body, c.header...)
		if a.Code != c.code {
			t.Errorf("%s: %d, want %d: %.200s", c.name, a.Code, c.code, a.Body)
		}
		if got := a.Header().Get("Content-Security-Policy"); got != policy {
			t.Errorf("%s: policy %q", c.name, got)
		}
		if a.Header().Get("X-Content-Type-Options") != "nosniff" || a.Header().Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s: header %v", c.name, a.Header())
		}
	}
	if es, err := os.ReadDir(w.dir); err != nil || len(es) != 1 || es[0].Name() != "stolen.lamp.toml" {
		t.Errorf("the folder holds %v, %v; only the page's own form may write", es, err)
	}
}

// The policy of every answer lets nothing run but the page's own modules.
func TestPolicy(t *testing.T) {
	got := map[string][]string{}
	for d := range strings.SplitSeq(policy, ";") {
		f := strings.Fields(d)
		got[f[0]] = f[1:]
	}
	for d, want := range map[string]string{"default-src": "'none'", "script-src": "'self'", "style-src": "'self'", "connect-src": "'self'", "form-action": "'self'", "base-uri": "'none'", "frame-ancestors": "'none'"} {
		if strings.Join(got[d], " ") != want {
			t.Errorf("%s is %q, want %s", d, got[d], want)
		}
	}
	if strings.Contains(policy, "unsafe") || strings.Contains(policy, "http") || strings.Contains(policy, "*") {
		t.Errorf("policy %q", policy)
	}
}

// Bodies that are too large are refused in words, and write nothing.
func TestLargeBodies(t *testing.T) {
	w := newSite(t)
	long := url.Values{"state": {"note=" + strings.Repeat("x", 300<<10)}, "as": {"mine"}}
	a := w.want(w.post("/lamp/oulu-first", long), http.StatusRequestEntityTooLarge, "too large", "Nothing was changed")
	if !strings.Contains(a.Body.String(), "<h1>") {
		t.Error("no page")
	}
	w.want(w.post("/brief/oulu-bench", long), http.StatusRequestEntityTooLarge, "too large")

	open := func(name string, data []byte) answer {
		var b bytes.Buffer
		m := multipart.NewWriter(&b)
		if name != "" {
			p, err := m.CreateFormFile("document", name)
			if err != nil {
				t.Fatal(err)
			}
			_, _ = p.Write(data)
		}
		m.Close()
		return w.ask("POST", "/open", b.String(), "Content-Type", m.FormDataContentType(), "Origin", home)
	}
	w.want(open("big.lamp.toml", bytes.Repeat([]byte("#"), 6<<20)), http.StatusRequestEntityTooLarge, "too large", "4 MB")
	if a := w.want(open("large.lamp.toml", bytes.Repeat([]byte("#"), file.MaxSize+1000)), http.StatusBadRequest, "larger than 4 MB"); !strings.Contains(a.Body.String(), "<h1>") {
		t.Error("no page")
	}
	w.want(open("", nil), http.StatusBadRequest, "No file was chosen")
	w.want(open("words.txt", []byte("<script>alert(1)</script>")), http.StatusUnprocessableEntity, "Nothing was changed")
	if es, err := os.ReadDir(w.dir); err != nil || len(es) != 0 {
		t.Errorf("the folder holds %v, %v", es, err)
	}
	for name, want := range map[string]string{"mine.lamp.toml": "/lamp/mine", "mine two.lamp.toml": "/lamp/mine%20two"} {
		if got := w.to(open(name, catalogue.Text(catalogue.FirstName))); got != want {
			t.Errorf("%s leads to %s", name, got)
		}
	}
	if got := w.to(open("mine.toml", catalogue.Text(catalogue.BenchName))); got != "/brief/mine" {
		t.Errorf("a brief leads to %s", got)
	}
	if w.file("mine.lamp.toml") != string(catalogue.Text(catalogue.FirstName)) {
		t.Error("the file is not as it was brought")
	}
}

// The look is kept in a cookie of this page alone, and leads nowhere else.
func TestLook(t *testing.T) {
	w := newSite(t)
	for _, c := range []struct{ look, back, to, theme string }{
		{"dark", "/lamp/oulu-first?rows=8", "/lamp/oulu-first?rows=8", "dark"},
		{"light", "//evil.example/", "/", "light"},
		{"distinct", "https://evil.example/", "/", "distinct"},
		{"light", "///evil.example/", "/", "light"},
		{"dark", `/\evil.example`, "/", "dark"},
		{"dark", "javascript:alert(1)", "/", "dark"},
		{"dark", "parts", "/", "dark"},
		{"", "/parts", "/parts", ""},
		{`"><script>`, "/parts", "/parts", ""},
	} {
		a := w.post("/look", url.Values{"look": {c.look}, "back": {c.back}})
		if got := w.to(a); got != c.to {
			t.Errorf("%q leads to %q, want %q", c.back, got, c.to)
		}
		ck := a.Result().Cookies()
		if len(ck) != 1 || ck[0].Name != "look" || ck[0].Value != c.theme || !ck[0].HttpOnly || ck[0].SameSite != http.SameSiteStrictMode || (c.theme == "") != (ck[0].MaxAge < 0) {
			t.Fatalf("%q: cookies %+v", c.look, ck)
		}
		root := elements(w.tree(w.get("/cautions", "Cookie", ck[0].Name+"="+ck[0].Value)), "html")[0]
		if got, _ := attr(root, "data-theme"); got != c.theme {
			t.Errorf("%q shows %q", c.look, got)
		}
	}
	if root := elements(w.tree(w.get("/cautions", "Cookie", "look=neon")), "html")[0]; len(root.Attr) != 1 {
		t.Errorf("a look there is none of: %v", root.Attr)
	}
}

// The server as it runs: its own names only, the loopback interface only, HEAD
// without a body, an end when it is asked to.
func TestServe(t *testing.T) {
	if all, err := net.Listen("tcp", "0.0.0.0:0"); err == nil {
		defer all.Close()
		s, _ := testServer(t)
		if err := s.Serve(context.Background(), all); err == nil || !strings.Contains(err.Error(), "loopback") {
			t.Errorf("every interface: %v", err)
		}
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Skip(err)
	}
	s, _ := testServer(t)
	s.hosts = nil
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, l) }()
	base := "http://" + l.Addr().String()
	client := &http.Client{Timeout: 20 * time.Second}
	do := func(method, path string) *http.Response {
		r, err := http.NewRequest(method, base+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		resp, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		return resp
	}
	for _, path := range []string{"/", "/cautions", "/ui/page.css", "/lamp/oulu-first", "/lamp/none"} {
		head := do("HEAD", path)
		body, _ := io.ReadAll(head.Body)
		head.Body.Close()
		full := do("GET", path)
		size, _ := io.Copy(io.Discard, full.Body)
		full.Body.Close()
		if len(body) != 0 || size == 0 || head.StatusCode != full.StatusCode || head.Header.Get("Content-Type") != full.Header.Get("Content-Type") || head.Header.Get("Content-Security-Policy") == "" {
			t.Errorf("%s: HEAD %d %d bytes, GET %d %d bytes", path, head.StatusCode, len(body), full.StatusCode, size)
		}
	}
	css := do("GET", "/ui/page.css")
	css.Body.Close()
	r, _ := http.NewRequest("GET", base+"/ui/page.css", nil)
	r.Header.Set("If-None-Match", css.Header.Get("Etag"))
	again, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	again.Body.Close()
	if css.StatusCode != 200 || again.StatusCode != http.StatusNotModified {
		t.Errorf("style: %d, again %d", css.StatusCode, again.StatusCode)
	}
	client.CloseIdleConnections()
	stop()
	select {
	case err := <-ended:
		if err != nil {
			t.Errorf("ended with %v", err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("it does not end")
	}
	if s.ctx.Err() == nil {
		t.Error("long work goes on after the end")
	}
}
