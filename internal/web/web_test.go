package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

const home = "http://127.0.0.1:8465"

// site is a server that a test talks to, over a folder of its own.
type site struct {
	*testing.T
	s   *Server
	dir string
}

// newSite starts one; tests with sites of their own run beside each other.
func newSite(t *testing.T) *site {
	t.Helper()
	t.Parallel()
	s, dir := testServer(t)
	return &site{t, s, dir}
}

// answer is what came back.
type answer struct {
	*httptest.ResponseRecorder
	path string
}

// ask sends a request with header lines given in pairs.
func (w *site) ask(method, path string, body string, header ...string) answer {
	w.Helper()
	r := httptest.NewRequest(method, home+path, strings.NewReader(body))
	for i := 0; i+1 < len(header); i += 2 {
		if header[i] == "Host" {
			r.Host = header[i+1]
			continue
		}
		r.Header.Set(header[i], header[i+1])
	}
	rec := httptest.NewRecorder()
	w.s.Handler().ServeHTTP(rec, r)
	return answer{rec, method + " " + path}
}

func (w *site) get(path string, header ...string) answer {
	w.Helper()
	return w.ask(http.MethodGet, path, "", header...)
}

// post sends a form as the page itself does.
func (w *site) post(path string, form url.Values) answer {
	w.Helper()
	return w.ask(http.MethodPost, path, form.Encode(), "Content-Type", "application/x-www-form-urlencoded", "Origin", home, "Sec-Fetch-Site", "same-origin")
}

// want checks the status and what the body says.
func (w *site) want(a answer, code int, says ...string) answer {
	w.Helper()
	if a.Code != code {
		w.Errorf("%s: %d, want %d: %.300s", a.path, a.Code, code, a.Body)
	}
	for _, s := range says {
		if !strings.Contains(a.Body.String(), s) {
			w.Errorf("%s does not say %q", a.path, s)
		}
	}
	return a
}

// to gives where an answer leads.
func (w *site) to(a answer) string {
	w.Helper()
	if a.Code != http.StatusSeeOther || a.Header().Get("Location") == "" {
		w.Fatalf("%s: %d, want one that leads on: %.500s", a.path, a.Code, a.Body)
	}
	return a.Header().Get("Location")
}

// file reads a file of the folder.
func (w *site) file(name string) string {
	w.Helper()
	data, err := os.ReadFile(filepath.Join(w.dir, name))
	if err != nil {
		w.Fatal(err)
	}
	return string(data)
}

// tree parses a page.
func (w *site) tree(a answer) *html.Node {
	w.Helper()
	n, err := html.Parse(strings.NewReader(a.Body.String()))
	if err != nil {
		w.Fatalf("%s: %v", a.path, err)
	}
	return n
}

// attr gives an attribute of an element.
func attr(n *html.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

// elements gives all elements of some names, all for none.
func elements(n *html.Node, names ...string) (out []*html.Node) {
	for d := range n.Descendants() {
		if d.Type == html.ElementNode && (len(names) == 0 || slices.Contains(names, d.Data)) {
			out = append(out, d)
		}
	}
	return out
}

// text gives the words inside an element.
func text(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return b.String()
}

// forms gives, for each form of a page, what a browser without script would
// send when its first button is pressed.
func forms(page *html.Node) (out []url.Values, actions []string) {
	all := elements(page, "form")
	for _, f := range all {
		q := url.Values{}
		id, _ := attr(f, "id")
		for _, c := range elements(page, "input", "select", "textarea") {
			owner, has := attr(c, "form")
			inside := false
			for p := c.Parent; p != nil; p = p.Parent {
				inside = inside || p == f
			}
			if has && (id == "" || owner != id) || !has && !inside {
				continue
			}
			name, ok := attr(c, "name")
			if !ok {
				continue
			}
			value, _ := attr(c, "value")
			switch kind, _ := attr(c, "type"); {
			case kind == "checkbox" || kind == "radio":
				if _, on := attr(c, "checked"); on {
					q.Add(name, or(value, "on"))
				}
			case c.Data == "select":
				options := elements(c, "option")
				chosen := ""
				for i, o := range options {
					v, _ := attr(o, "value")
					if _, on := attr(o, "selected"); on || i == 0 {
						chosen = v
					}
				}
				q.Add(name, chosen)
			default:
				q.Add(name, value)
			}
		}
		action, _ := attr(f, "action")
		out, actions = append(out, q), append(actions, action)
	}
	return out, actions
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}
