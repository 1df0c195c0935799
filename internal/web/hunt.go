package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"sync"
	"time"

	"dawnsmith/internal/app"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/search"
)

// hunts are the searches for briefs that run or have run: one at a time runs,
// a few outcomes are kept. A search is known by its brief, so that its address
// lives longer than the server.
type hunts struct {
	mu   sync.Mutex
	all  map[string]*hunt
	use  []string
	turn sync.Mutex // held by the one that runs
}

const keptHunts = 8

// hunt is one search.
type hunt struct {
	cancel context.CancelFunc
	done   chan struct{}

	mu        sync.Mutex
	did, of   int
	found     search.Found
	answers   []app.Answer
	err       error
	stopped   bool
	began     time.Time
	listeners []chan struct{}
}

// progress tells how far the search is.
func (h *hunt) progress() (did, of int, over bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	select {
	case <-h.done:
		over = true
	default:
	}
	return h.did, h.of, over
}

// watch gives a channel that is poked when the search moves on.
func (h *hunt) watch() (moved <-chan struct{}, leave func()) {
	c := make(chan struct{}, 1)
	h.mu.Lock()
	h.listeners = append(h.listeners, c)
	h.mu.Unlock()
	return c, func() {
		h.mu.Lock()
		h.listeners = slices.DeleteFunc(h.listeners, func(x chan struct{}) bool { return x == c })
		h.mu.Unlock()
	}
}

func (h *hunt) step(did, of int) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.did, h.of = did, of
	for _, c := range h.listeners {
		select {
		case c <- struct{}{}:
		default:
		}
	}
}

// huntFor gives the search for a brief, starting it if need be. again drops an
// outcome that was stopped or failed.
func (s *Server) huntFor(b brief.Brief, again bool) *hunt {
	key := fmt.Sprintf("%+v", b)
	s.hunts.mu.Lock()
	defer s.hunts.mu.Unlock()
	if s.hunts.all == nil {
		s.hunts.all = map[string]*hunt{}
	}
	if h, ok := s.hunts.all[key]; ok {
		_, _, over := h.progress()
		if !over || h.err == nil || !again {
			return h
		}
		s.hunts.drop(key)
	}
	ctx, cancel := context.WithCancel(s.ctx)
	h := &hunt{cancel: cancel, done: make(chan struct{}), began: s.now()}
	s.hunts.all[key] = h
	s.hunts.use = append(s.hunts.use, key)
	for len(s.hunts.use) > keptHunts {
		old := s.hunts.all[s.hunts.use[0]]
		old.cancel()
		s.hunts.drop(s.hunts.use[0])
	}
	go s.run(ctx, h, b)
	return h
}

// drop forgets a search; mu is held.
func (hs *hunts) drop(key string) {
	delete(hs.all, key)
	hs.use = slices.DeleteFunc(hs.use, func(k string) bool { return k == key })
}

func (s *Server) run(ctx context.Context, h *hunt, b brief.Brief) {
	defer h.step(1, 1)
	defer close(h.done)
	defer h.cancel()
	defer func() {
		if p := recover(); p != nil {
			s.log.Printf("search for %q: panic: %v", b.Name, p)
			h.mu.Lock()
			h.err = errors.New("something went wrong inside Dawnsmith; the fault is ours")
			h.mu.Unlock()
		}
	}()
	s.hunts.turn.Lock()
	defer s.hunts.turn.Unlock()
	found, err := s.app.Find(ctx, b, 3, h.step)
	var answers []app.Answer
	for i := 0; err == nil && i < len(found.Picks); i++ {
		if err = ctx.Err(); err != nil {
			break
		}
		found.Picks[i].Lamp.Spec.Name = b.Name + ": " + found.Picks[i].Title
		var ans app.Answer
		if ans, err = s.app.FromPick(found.Picks[i], b, true); err == nil {
			answers = append(answers, ans)
		}
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	h.found, h.answers, h.err = found, answers, err
	h.stopped = errors.Is(err, context.Canceled)
}

// progress streams how far a search is, as server-sent events: "did of", and
// "over" at the end.
func (s *Server) progress(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openBrief(w, r)
	if !ok {
		return
	}
	h := s.huntFor(p.state.Doc, false)
	flush := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	moved, leave := h.watch()
	defer leave()
	_ = flush.SetWriteDeadline(time.Time{})
	for {
		did, of, over := h.progress()
		if over {
			fmt.Fprint(w, "event: over\ndata: over\n\n")
			_ = flush.Flush()
			return
		}
		fmt.Fprintf(w, "data: %d %d\n\n", did, of)
		if flush.Flush() != nil {
			return
		}
		select {
		case <-moved:
		case <-h.done:
		case <-r.Context().Done():
			return
		case <-s.ctx.Done():
			return
		case <-time.After(10 * time.Second):
		}
	}
}

// stopHunt ends a search.
func (s *Server) stopHunt(w http.ResponseWriter, r *http.Request) {
	q, ok := s.posted(w, r)
	if !ok {
		return
	}
	p, err := s.readBrief(r.PathValue("name"), q)
	if err != nil {
		s.failDocument(w, r, "brief", r.PathValue("name"), err)
		return
	}
	s.huntFor(p.state.Doc, false).cancel()
	http.Redirect(w, r, address(briefPath(p.name), p.state.Query()), http.StatusSeeOther)
}

// pickQuery is the address of a lamp that was found, as changes of the new
// lamp.
func (s *Server) pickQuery(ans *app.Answer, briefName string) url.Values {
	p, err := s.readLamp(newName, url.Values{})
	if err != nil {
		return url.Values{}
	}
	q := differing(s.lamps, p.state.Base, ans.Lamp.Spec)
	q.Set("brief", briefName)
	return q
}
