package web

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"fmt"
	"image/png"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"dawnsmith/internal/album"
	"dawnsmith/internal/catalogue"
)

// addresses are the attributes that make a browser load or follow something.
var addresses = []string{"href", "src", "action", "formaction", "srcset", "poster", "data", "ping", "background", "cite", "longdesc", "manifest", "xlink:href"}

var inStyle = regexp.MustCompile(`url\(\s*["']?([^#"')][^)]*)\)`)

// faults lists what is wrong with a page whatever it shows: scripts, styles or
// handlers inside, addresses elsewhere, ids twice, labels and forms that lead
// nowhere, and the traces of nonsense.
func faults(n *html.Node) (out []string) {
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	ids := map[string]bool{}
	for _, e := range elements(n) {
		if id, ok := attr(e, "id"); ok {
			if ids[id] {
				say("the id %q stands twice", id)
			}
			ids[id] = true
		}
	}
	for _, e := range elements(n) {
		switch e.Data {
		case "script":
			src, _ := attr(e, "src")
			if !strings.HasPrefix(src, "/ui/") || strings.TrimSpace(text(e)) != "" {
				say("a script that is none of the page's modules: %q", src)
			}
		case "style", "iframe", "object", "embed", "base", "applet", "frame":
			say("<%s>", e.Data)
		case "meta":
			if _, ok := attr(e, "http-equiv"); ok {
				say("a meta that stands for a header")
			}
		case "img":
			if alt, ok := attr(e, "alt"); !ok || alt == "" {
				say("an image without words")
			}
		}
		for _, a := range e.Attr {
			key := a.Key
			if a.Namespace != "" {
				key = a.Namespace + ":" + a.Key
			}
			switch {
			case strings.HasPrefix(key, "on"):
				say("a handler: <%s %s>", e.Data, key)
			case key == "style":
				say("a style that the policy refuses: <%s style=%q>", e.Data, a.Val)
			case slices.Contains(addresses, key):
				inside := strings.HasPrefix(a.Val, "/") && !strings.HasPrefix(a.Val, "//") && !strings.HasPrefix(a.Val, `/\`)
				picture := (e.Data == "img" || e.Data == "image") && strings.HasPrefix(a.Val, "data:image/png;base64,")
				if !inside && !picture && !strings.HasPrefix(a.Val, "#") {
					say("an address elsewhere: <%s %s=%.80q>", e.Data, key, a.Val)
				}
				if id, ok := strings.CutPrefix(a.Val, "#"); ok && id != "" && !ids[id] {
					say("a link to #%s, which is not there", id)
				}
			case key == "for" || key == "form":
				if !ids[a.Val] {
					say("<%s %s=%q>, which is not there", e.Data, key, a.Val)
				}
			}
			if m := inStyle.FindStringSubmatch(a.Val); m != nil && key != "value" {
				say("a resource elsewhere: %q", m[1])
			}
			if strings.Contains(a.Val, "ZgotmplZ") {
				say("a value the template refused: <%s %s>", e.Data, key)
			}
		}
	}
	all := text(n)
	for _, bad := range []string{"NaN", "+Inf", "-Inf", "%!", "<nil>", "fault is ours", "<no value>"} {
		if strings.Contains(all, bad) {
			i := strings.Index(all, bad)
			say("it says %q: …%s…", bad, all[max(0, i-60):min(len(all), i+40)])
		}
	}
	return out
}

// Every page: its status, its policy, its words, and nothing in it that the
// policy would refuse or that leads elsewhere. Apart from its pictures each is
// small.
func TestPages(t *testing.T) {
	w := newSite(t)
	if err := os.WriteFile(filepath.Join(w.dir, "odd.lamp.toml"), regexp.MustCompile(`(?m)^note = .*$`).ReplaceAll(catalogue.Text(catalogue.FirstName), []byte(`note = "<img src=x onerror=alert(1)>"`)), 0o644); err != nil {
		t.Fatal(err)
	}
	drawings := regexp.MustCompile(`(?s)<svg.*?</svg>`)
	const nasty = "%22%3E%3Cscript%3Ealert(1)%3C/script%3E"
	for path, code := range map[string]int{
		"/": 200, "/parts": 200, "/cautions": 200, "/bench": 200, "/read": 200,
		"/lamp/oulu-first": 200, "/lamp/oulu-first?brief=oulu-bench": 200, "/lamp/oulu-first?brief=oulu-bright&sure=yes": 200, "/lamp/oulu-first?brief=none": 200,
		"/lamp/oulu-first?rows=3&sheet=&line_floor=on": 200, "/lamp/oulu-first?strip=white-12v-60&supply=none": 200, "/lamp/oulu-first?note=" + nasty + "&typed.rows=" + nasty + "&brief=" + nasty: 200,
		"/lamp/new": 200, "/lamp/new?name=" + nasty: 200,
		"/brief/oulu-bench": 200, "/brief/new": 200, "/brief/oulu-bench?typed.place.tilt=" + nasty: 200,
		"/lamp/oulu-first/compare": 200, "/lamp/oulu-first/compare?with=file&rows=8": 200, "/lamp/oulu-first/compare?with=lamp:none": 200, "/lamp/oulu-first/compare?with=" + nasty: 200,
		"/lamp/oulu-first/try/sheet": 200, "/lamp/oulu-first/try/" + nasty: 404,
		"/lamp/oulu-first/feeds": 200, "/lamp/oulu-first/wrong": 200, "/gauge/sheet": 200, "/gauge/supply": 200, "/gauge/strip?id=" + nasty: 200,
		"/none": 404, "/lamp/": 404, "/lamp/none": 404, "/lamp/none?x=" + nasty: 404, "/brief/none": 404, "/ui/none.js": 404, "/ui/..%2fserver.go": 404, "/gauge/none": 404,
		"/lamp/oulu-first/picture/none.svg": 404, "/lamp/oulu-first/picture/plan.gif": 404, "/lamp/oulu-first/pack/none": 404, "/lamp/..%2f..%2fetc%2fpasswd": 404, "/lamp/%00": 404,
		"/" + nasty: 404, "/brief/oulu-bench/picture/plan.svg": 404, "/lamp/odd": 200,
	} {
		a := w.want(w.get(path), code)
		if a.Header().Get("Content-Security-Policy") != policy || a.Header().Get("Cache-Control") != "no-store" {
			t.Errorf("%s: header %v", path, a.Header())
		}
		if got := a.Header().Get("Content-Type"); got != "text/html; charset=utf-8" {
			t.Errorf("%s is %q", path, got)
			continue
		}
		for _, f := range faults(w.tree(a)) {
			t.Errorf("%s: %s", path, f)
		}
		if rest := len(drawings.ReplaceAll(a.Body.Bytes(), nil)); rest > 150_000 {
			t.Errorf("%s: %d of %d bytes are no pictures", path, rest, a.Body.Len())
		}
		for _, want := range []string{"<!DOCTYPE html>", `lang="en"`, "<h1>", `<main id="main"`, "clinician"} {
			if !strings.Contains(a.Body.String(), want) {
				t.Errorf("%s lacks %q", path, want)
			}
		}
	}
	for _, c := range []struct{ method, path string }{{"POST", "/parts"}, {"PUT", "/lamp/oulu-first"}, {"DELETE", "/lamp/oulu-first"}, {"PATCH", "/"}, {"POST", "/none"}, {"OPTIONS", "/"}} {
		a := w.want(w.ask(c.method, c.path, ""), http.StatusMethodNotAllowed, "<h1>")
		for _, f := range faults(w.tree(a)) {
			t.Errorf("%s: %s", a.path, f)
		}
	}
}

// The checker of pages finds what it is there to find.
func TestFaults(t *testing.T) {
	for _, bad := range []string{`<script>1</script>`, `<script src="https://a.example/x.js"></script>`, `<p onclick="x">`, `<a href="//a.example">`, `<a href="javascript:x">`, `<img src="http://a.example/x" alt="x">`,
		`<p style="color:red">`, `<style>p{}</style>`, `<svg><rect fill="url(http://a.example)"/></svg>`, `<svg><a xlink:href="https://a.example"></a></svg>`, `<p>NaN lx`, `<p id="a"><p id="a">`, `<label for="x">`, `<a href="#x">`, `<iframe>`, `<base href="/">`} {
		n, err := html.Parse(strings.NewReader(bad))
		if err != nil {
			t.Fatal(err)
		}
		if len(faults(n)) == 0 {
			t.Errorf("nothing is found wrong with %s", bad)
		}
	}
	n, _ := html.Parse(strings.NewReader(`<a href="/x">x</a><svg><rect fill="url(#g)"/><defs id="g"></defs></svg><script type="module" src="/ui/page.js"></script>`))
	if got := faults(n); len(got) != 0 {
		t.Errorf("%v", got)
	}
}

// Each picture can be had as SVG and PNG, and its numbers as CSV.
func TestPictureFiles(t *testing.T) {
	w := newSite(t)
	// Dimmed, so that there is something to draw for each.
	const dimmed = "?drive.white=50+%25&dimmer=dim-1-slow"
	for _, p := range album.All() {
		path := "/lamp/oulu-first/picture/" + p.Key
		svg := w.want(w.get(path+".svg"+dimmed), 200, "<svg")
		d := xml.NewDecoder(bytes.NewReader(svg.Body.Bytes()))
		for {
			tok, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", svg.path, err)
			}
			if e, ok := tok.(xml.StartElement); ok {
				if e.Name.Local == "script" || e.Name.Local == "foreignObject" {
					t.Errorf("%s holds <%s>", svg.path, e.Name.Local)
				}
				for _, a := range e.Attr {
					if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "href" && !strings.HasPrefix(a.Value, "#") && !strings.HasPrefix(a.Value, "data:image/png") {
						t.Errorf("%s: %s=%.60q", svg.path, a.Name.Local, a.Value)
					}
				}
			}
		}
		if s := svg.Body.String(); strings.Contains(s, "NaN") || strings.Contains(s, "Inf\"") {
			t.Errorf("%s holds nonsense", svg.path)
		}
		img := w.want(w.get(path+".png"+dimmed), 200)
		if cfg, err := png.DecodeConfig(img.Body); err != nil || cfg.Width < 200 || cfg.Height < 100 {
			t.Errorf("%s: %+v, %v", img.path, cfg, err)
		}
		data := w.want(w.get(path+".csv"+dimmed), 200)
		rows, err := csv.NewReader(data.Body).ReadAll()
		if err != nil || len(rows) < 2 {
			t.Errorf("%s: %d rows, %v", data.path, len(rows), err)
		}
		for kind, a := range map[string]answer{"image/svg+xml": svg, "image/png": img, "text/csv; charset=utf-8": data} {
			if got := a.Header().Get("Content-Type"); got != kind {
				t.Errorf("%s is %q", a.path, got)
			}
			if inline := strings.HasPrefix(a.Header().Get("Content-Disposition"), "inline"); inline != strings.HasPrefix(kind, "image/") {
				t.Errorf("%s is sent as %q", a.path, a.Header().Get("Content-Disposition"))
			}
		}
	}
	for _, kind := range []string{"svg", "png", "csv"} {
		w.want(w.get("/lamp/oulu-first/picture/waveform."+kind), http.StatusUnprocessableEntity, "nothing to draw", "<h1>")
	}
	// A picture is of the state in the address.
	if a, b := w.get("/lamp/oulu-first/picture/plan.svg"), w.get("/lamp/oulu-first/picture/plan.svg?rows=4"); a.Body.String() == b.Body.String() {
		t.Error("nine rows and four look alike")
	}
}

// The files of the build pack; one that runs nothing is the page to read.
func TestPackFiles(t *testing.T) {
	w := newSite(t)
	for file, media := range map[string]string{"shopping.csv": "text/csv; charset=utf-8", "cuts.csv": "text/csv; charset=utf-8", "wires.csv": "text/csv; charset=utf-8"} {
		a := w.want(w.get("/lamp/oulu-first/pack/"+file), 200)
		if rows, err := csv.NewReader(a.Body).ReadAll(); err != nil || len(rows) < 2 || a.Header().Get("Content-Type") != media {
			t.Errorf("%s: %d rows, %q, %v", file, len(rows), a.Header().Get("Content-Type"), err)
		}
	}
	a := w.want(w.get("/lamp/oulu-first/pack/pack.html"), 200, "<h1")
	if csp := a.Header().Get("Content-Security-Policy"); !strings.HasPrefix(csp, "default-src 'none';") || strings.Contains(csp, "script-src") || strings.Contains(csp, "http") {
		t.Errorf("policy %q", csp)
	}
	if got := elements(w.tree(a), "script", "iframe", "object", "form", "base"); len(got) != 0 {
		t.Errorf("it holds <%s>", got[0].Data)
	}
	pdf := w.want(w.get("/lamp/oulu-first/pack/pack.pdf?paper=letter"), 200)
	if !bytes.HasPrefix(pdf.Body.Bytes(), []byte("%PDF-")) || pdf.Header().Get("Content-Type") != "application/pdf" {
		t.Errorf("%s: %q begins %.8q", pdf.path, pdf.Header().Get("Content-Type"), pdf.Body)
	}
}
