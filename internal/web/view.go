package web

import (
	"bytes"
	"errors"
	"fmt"
	"hash/fnv"
	"html/template"
	"net/http"
	"net/url"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"
	"unicode"
	"unicode/utf8"

	"dawnsmith/day/dose"
	"dawnsmith/internal/album"
	"dawnsmith/internal/app"
	"dawnsmith/internal/report"
	"dawnsmith/quantity"
)

// frame is what every page has.
type frame struct {
	Title string
	Theme string // "", light, dark, distinct
	Back  string // this page's own address
	Where string // the folder
}

func (s *Server) frame(r *http.Request, title string) frame {
	f := frame{Title: title, Back: r.URL.RequestURI(), Where: s.shelf.Dir()}
	if c, err := r.Cookie("look"); err == nil && slices.Contains(looks, c.Value) {
		f.Theme = c.Value
	}
	return f
}

var looks = []string{"light", "dark", "distinct"}

// functions are those of the templates.
func (s *Server) functions() template.FuncMap {
	return template.FuncMap{
		"put":     s.put,
		"capital": capital,
		"lamp":    lampPath,
		"brief":   briefPath,
		"when":    s.when,
		"digits":  func(x float64, n int) string { return quantity.Digits(x, n) },
		"percent": func(x float64) string { return quantity.Digits(100*x, 2) },
		"share": func(x float64) string {
			if x < 0.005 {
				return "under 1 %"
			}
			return fmt.Sprintf("%.0f %%", 100*x)
		},
		"looks": func() []string { return looks },
		"short": func() []dose.Caution { return dose.Cautions()[:0] },
		"list":  func(xs ...any) []any { return xs },
		"join":  strings.Join,
		"picturefile": func(path, kind string) string {
			before, query, has := strings.Cut(path, "?")
			if has {
				return before + "." + kind + "?" + query
			}
			return before + "." + kind
		},
		"plural": plural,
	}
}

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// plural is "1 lamp", "3 lamps".
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// when tells a moment as people do.
func (s *Server) when(t time.Time) string {
	if t.IsZero() {
		return "never"
	}
	now := s.now()
	t = t.In(now.Location())
	if y, m, d := now.Date(); t.After(time.Date(y, m, d, 0, 0, 0, 0, now.Location())) {
		return t.Format("today at 15:04")
	}
	return t.Format("2 January 2006, 15:04")
}

func escapePath(s string) string { return url.PathEscape(s) }

// ascii makes a file name for the plain form of a header.
func ascii(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= ' ' && r < 0x7f && r != '"' && r != '\\' {
			return r
		}
		return '_'
	}, s)
}

// A block is a part of a page that changes when the lamp does: an element with
// an id and the sum of its content, so that only what differs is sent again.
type block struct {
	id, tmpl string
	data     any
	// sum stands for the content in place of its bytes, for blocks that hold
	// others.
	sum string
}

// blocker is a view made of blocks.
type blocker interface {
	// block finds a block by its id; ok is false for one this view lacks.
	block(id string) (b block, ok bool)
	// ids lists the blocks of a phase; seen are those in the reader's view, nil
	// when that is not known.
	ids(ph phase, seen map[string]bool) []string
}

// phase is one of the steps in which a change reaches the page: first what is
// in view; then the rest; then what takes long, the uncertainty and the slow
// pictures.
type phase string

const (
	now  phase = "now"
	more phase = "more"
	late phase = "sure"
)

// write renders a block as an element.
func (s *Server) write(b block) (html template.HTML, sum string, err error) {
	var out bytes.Buffer
	if err := s.pages.ExecuteTemplate(&out, b.tmpl, b.data); err != nil {
		return "", "", fmt.Errorf("block %s: %w", b.id, err)
	}
	sum = b.sum
	if sum == "" {
		h := fnv.New64a()
		h.Write(out.Bytes())
		sum = fmt.Sprintf("%x", h.Sum64())
	}
	return template.HTML(fmt.Sprintf(`<div id="%s" data-sum="%s">%s</div>`, b.id, sum, out.String())), sum, nil
}

// put sets a block into a page.
func (s *Server) put(v blocker, id string) (template.HTML, error) {
	b, ok := v.block(id)
	if !ok {
		return template.HTML(fmt.Sprintf(`<div id="%s" data-sum=""></div>`, id)), nil
	}
	html, _, err := s.write(b)
	return html, err
}

// blocks sends those blocks of a view whose sums differ from what the page has
// (header X-Have: id=sum, parted by spaces). X-View names those in
// view; without it all words count as seen, and no picture.
func (s *Server) blocks(w http.ResponseWriter, r *http.Request, v blocker, ph phase) {
	have := map[string]string{}
	for pair := range strings.FieldsSeq(r.Header.Get("X-Have")) {
		if id, sum, ok := strings.Cut(pair, "="); ok {
			have[id] = sum
		}
	}
	var seen map[string]bool // nil: nothing was said
	if len(r.Header.Values("X-View")) > 0 {
		seen = map[string]bool{}
	}
	for id := range strings.FieldsSeq(r.Header.Get("X-View")) {
		seen[id] = true
	}
	// Blocks do not wait for each other.
	type made struct {
		html template.HTML
		sum  string
		err  error
	}
	ids := v.ids(ph, seen)
	all := make([]made, len(ids))
	var next atomic.Int32
	var makers sync.WaitGroup
	for range min(len(ids), runtime.GOMAXPROCS(0)) {
		makers.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(ids) || r.Context().Err() != nil {
					return
				}
				if b, ok := v.block(ids[i]); ok {
					m := &all[i]
					m.html, m.sum, m.err = s.write(b)
				}
			}
		})
	}
	makers.Wait()
	if r.Context().Err() != nil {
		return // the reader has gone on
	}
	var out bytes.Buffer
	for i, m := range all {
		if m.err != nil {
			s.log.Printf("%s: %v", r.URL.Path, m.err)
			http.Error(w, "A part of the page could not be made; the fault is ours.", http.StatusInternalServerError)
			return
		}
		if old, ok := have[ids[i]]; m.sum != "" && (!ok || old != m.sum) {
			out.WriteString(string(m.html))
		}
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(out.Bytes())
}

// pictureView is a picture in a page, with its files.
type pictureView struct {
	Key, Name string
	SVG       template.HTML
	// None says why there is none; Late that it comes after the numbers.
	None string
	Late bool
	Path string // of its files, without the ending
	// Query is the state, "?…" or "".
	Query string
}

func drawn(p album.Picture, ans *app.Answer, path, query string) pictureView {
	v := pictureView{Key: p.Key, Name: p.Name, Path: path + "/picture/" + p.Key}
	if query != "" {
		v.Query = "?" + query
	}
	if ans == nil {
		v.None = "Nothing to draw: the lamp is not worked out."
		return v
	}
	if p.Doubt && ans.Values == nil {
		v.Late = true
		return v
	}
	scene, err := p.Draw(ans)
	if errors.Is(err, album.ErrNone) && ans.Worked() {
		return v // this lamp has no such thing: no place is kept for it
	}
	if err != nil {
		v.None = capital(err.Error()) + "."
		return v
	}
	if v.SVG, err = report.SVG(scene, "p-"+p.Key); err != nil {
		v.None = capital(err.Error()) + "."
	}
	return v
}
