package web

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"dawnsmith/internal/album"
)

// blocksOf gives the blocks of an answer, id by sum, in their order.
func (w *site) blocksOf(a answer) (ids []string, sums map[string]string) {
	w.Helper()
	sums = map[string]string{}
	for _, e := range elements(w.tree(a), "div") {
		if sum, ok := attr(e, "data-sum"); ok {
			id, _ := attr(e, "id")
			ids = append(ids, id)
			sums[id] = sum
		}
	}
	return ids, sums
}

func have(sums map[string]string) string {
	var out []string
	for id, sum := range sums {
		out = append(out, id+"="+sum)
	}
	slices.Sort(out)
	return strings.Join(out, " ")
}

// A change brings the words and numbers first, then the pictures, then what
// takes long; what the page has already is not sent again.
func TestFragments(t *testing.T) {
	w := newSite(t)
	for _, path := range []string{"/lamp/oulu-first", "/lamp/oulu-first?brief=oulu-bench&rows=8"} {
		_, page := w.blocksOf(w.want(w.get(path), 200))
		first := w.want(w.get(path, "X-Fragment", "now"), 200)
		if got := first.Header().Get("X-Address"); got != path {
			t.Errorf("%s: the address is %q", path, got)
		}
		if first.Header().Get("Vary") != "X-Fragment" || first.Header().Get("Content-Type") != "text/html; charset=utf-8" {
			t.Errorf("%s: header %v", path, first.Header())
		}
		ids, sums := w.blocksOf(first)
		for _, id := range []string{"say", "changes", "met", "against", "f-rows", "f-brief", "n-counts"} {
			if !slices.Contains(ids, id) {
				t.Errorf("%s, now: no block %s", path, id)
			}
		}
		for id, sum := range sums {
			if page[id] == "" {
				t.Errorf("%s: the page has no place for block %s", path, id)
			} else if page[id] != sum {
				t.Errorf("%s: block %s is %s in the page and %s by itself", path, id, page[id], sum)
			}
			if strings.HasPrefix(id, "p-") {
				t.Errorf("%s, now: the picture %s, which is not in view", path, id)
			}
		}
		if again := w.want(w.get(path, "X-Fragment", "now", "X-Have", have(page)), 200); again.Body.Len() != 0 {
			ids, _ := w.blocksOf(again)
			t.Errorf("%s: %v are sent again", path, ids)
		}
		shown, _ := w.blocksOf(w.want(w.get(path, "X-Fragment", "now", "X-Have", have(page), "X-View", "p-plan p-sure p-none"), 200))
		if len(shown) != 0 {
			t.Errorf("%s: %v are sent, the page has them", path, shown)
		}
		delete(page, "p-plan")
		if shown, _ = w.blocksOf(w.get(path, "X-Fragment", "now", "X-Have", have(page), "X-View", "p-plan p-sure p-none")); !slices.Equal(shown, []string{"p-plan"}) {
			t.Errorf("%s: of the pictures in view %v are sent", path, shown)
		}
	}
}

func TestPhases(t *testing.T) {
	w := newSite(t)
	const path = "/lamp/oulu-first?rows=8"
	pictures, _ := w.blocksOf(w.want(w.get(path, "X-Fragment", "more"), 200))
	late, _ := w.blocksOf(w.want(w.get(path, "X-Fragment", "sure"), 200, "mostly from"))
	for _, p := range album.All() {
		if got := slices.Contains(pictures, "p-"+p.Key); got == (p.Slow || p.Doubt) {
			t.Errorf("more: picture %s: %v", p.Key, got)
		}
		if !slices.Contains(late, "p-"+p.Key) {
			t.Errorf("sure: no picture %s", p.Key)
		}
	}
	for _, id := range pictures {
		if strings.HasPrefix(id, "f-") && !strings.HasPrefix(id, "f-drive-") {
			t.Errorf("more: field %s", id)
		}
	}
	// Words out of view wait; what the page's state hangs on never does.
	first, _ := w.blocksOf(w.want(w.get(path, "X-Fragment", "now", "X-View", "n-heat"), 200))
	for id, come := range map[string]bool{"n-heat": true, "state": true, "say": true, "keep": true, "f-rows": true, "n-face": false, "price": false} {
		if slices.Contains(first, id) != come {
			t.Errorf("now, with n-heat alone in view: block %s comes: %v", id, !come)
		}
		if !slices.Contains(pictures, id) && !come {
			t.Errorf("more: no block %s", id)
		}
	}
	w.want(w.get(path, "X-Fragment", "all"), http.StatusBadRequest, "now, more or sure")
	gone := w.want(w.get("/lamp/none", "X-Fragment", "now"), http.StatusNotFound, "There is no lamp")
	if strings.Contains(gone.Body.String(), "<") || !strings.HasPrefix(gone.Header().Get("Content-Type"), "text/plain") {
		t.Errorf("asked for a block, a page came: %q", gone.Body)
	}
}

// A change sends what it changes, and leaves the field alone that it does not.
func TestChangedBlocks(t *testing.T) {
	w := newSite(t)
	_, page := w.blocksOf(w.want(w.get("/lamp/oulu-first"), 200))
	for change, c := range map[string]struct{ sent, kept []string }{
		"note=else":             {[]string{"f-note", "state", "changes"}, []string{"f-rows", "met", "n-counts", "n-heat", "price", "n-face"}},
		"rows=7":                {[]string{"f-rows", "changes", "n-counts", "n-heat", "n-flow", "price", "made", "say"}, []string{"f-tray", "f-note", "f-brief"}},
		"typed.lead_length=two": {[]string{"f-lead-length", "state"}, []string{"f-rows", "n-counts", "n-flow", "price"}},
		"place.eye_distance=1m": {[]string{"f-place-eye-distance", "changes", "n-eyes"}, []string{"f-rows", "n-flow", "price"}},
		"supply=none-such":      {[]string{"f-supply"}, []string{"n-counts", "price", "n-flow"}},
	} {
		a := w.want(w.get("/lamp/oulu-first?"+change, "X-Fragment", "now", "X-Have", have(page)), 200)
		ids, _ := w.blocksOf(a)
		for _, id := range c.sent {
			if !slices.Contains(ids, id) {
				t.Errorf("%s: block %s is not sent: %v", change, id, ids)
			}
		}
		for _, id := range c.kept {
			if slices.Contains(ids, id) {
				t.Errorf("%s: block %s is sent again", change, id)
			}
		}
	}
}

// What is not understood, and what another page asks for of the same state, is
// not worked out once more.
func TestWorkedOutOnce(t *testing.T) {
	w := newSite(t)
	for _, q := range []string{"", "?typed.rows=many", "?typed.lead_length=two", "?rows=9"} {
		w.want(w.get("/lamp/oulu-first"+q), 200)
		w.want(w.get("/lamp/oulu-first"+q, "X-Fragment", "now"), 200)
	}
	if n := len(w.s.answers.all); n != 1 {
		t.Errorf("%d answers for one lamp", n)
	}
}

// Sent by the page's script, the form as a whole gives the same as its
// address, and the header says what that is.
func TestFormAsFragment(t *testing.T) {
	w := newSite(t)
	f := w.onPage("/lamp/oulu-first?rows=8")
	f.Set("lead_length", "2 m")
	f.Del("as")
	f.Del("since")
	a := w.want(w.get("/lamp/oulu-first?"+f.Encode(), "X-Fragment", "now"), 200)
	to := a.Header().Get("X-Address")
	if to != "/lamp/oulu-first?lead_length=2+m&rows=8" {
		t.Errorf("the address is %q", to)
	}
	_, byForm := w.blocksOf(a)
	_, byAddress := w.blocksOf(w.want(w.get(to, "X-Fragment", "now"), 200))
	for id, sum := range byForm {
		if byAddress[id] != sum {
			t.Errorf("block %s differs", id)
		}
	}
	b := w.want(w.get("/brief/oulu-bench?typed.place.tilt=x", "X-Fragment", "now"), 200)
	if ids, _ := w.blocksOf(b); !slices.Contains(ids, "asked") || b.Header().Get("X-Address") != "/brief/oulu-bench?typed.place.tilt=x" {
		t.Errorf("brief: %v at %q", ids, b.Header().Get("X-Address"))
	}
}

// Each block is one element, closed, whatever the state.
func TestBlocksAreWhole(t *testing.T) {
	w := newSite(t)
	for _, q := range []string{"", "?rows=1&sheet=", "?typed.rows=%3C%2Fdiv%3E", "?name=%3C%2Fdiv%3E%3Cp%3E", "?brief=oulu-bright"} {
		a := w.want(w.get("/lamp/oulu-first"+q, "X-Fragment", "now"), 200)
		nodes, err := html.ParseFragment(strings.NewReader(a.Body.String()), &html.Node{Type: html.ElementNode, Data: "body", DataAtom: atom.Body})
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range nodes {
			id, _ := attr(n, "id")
			if _, ok := attr(n, "data-sum"); !ok || n.Data != "div" || id == "" {
				t.Errorf("%s: beside the blocks stands <%s> %.60q", q, n.Data, n.Data)
			}
		}
	}
}
