package web

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"dawnsmith/internal/app"
	"dawnsmith/quantity"
)

// marked is an answer that can be told from others.
func marked(x float64) app.Answer {
	return app.Answer{Values: map[string]quantity.Value{"mark": {X: x}}}
}

func mark(a app.Answer) float64 { return a.Values["mark"].X }

// However many ask at once, it is worked out once.
func TestCacheOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := &cache{most: 4}
		var made atomic.Int32
		release := make(chan struct{})
		for range 20 {
			go func() {
				a, err := c.get(t.Context(), "key", func() (app.Answer, error) { made.Add(1); <-release; return marked(7), nil })
				if err != nil || mark(a) != 7 {
					t.Errorf("%v, %v", a, err)
				}
			}()
		}
		synctest.Wait()
		close(release)
		synctest.Wait()
		if made.Load() != 1 {
			t.Errorf("made %d times", made.Load())
		}
	})
}

// Who waits for an answer that its first asker gave up gets it all the same,
// and who gives up waiting goes at once.
func TestCacheGivenUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := &cache{most: 4}
		first, leave := context.WithCancel(t.Context())
		second, leave2 := context.WithCancel(t.Context())
		var wg sync.WaitGroup
		wg.Go(func() {
			_, err := c.get(first, "key", func() (app.Answer, error) { <-first.Done(); return app.Answer{}, context.Canceled })
			if !errors.Is(err, context.Canceled) {
				t.Errorf("first: %v", err)
			}
		})
		synctest.Wait()
		var made atomic.Int32
		for range 3 {
			wg.Go(func() {
				a, err := c.get(t.Context(), "key", func() (app.Answer, error) { made.Add(1); return marked(2), nil })
				if err != nil || mark(a) != 2 {
					t.Errorf("waiter: %v, %v", a, err)
				}
			})
		}
		gone := make(chan error, 1)
		go func() {
			_, err := c.get(second, "key", func() (app.Answer, error) { return marked(3), nil })
			gone <- err
		}()
		synctest.Wait()
		leave2()
		if err := <-gone; !errors.Is(err, context.Canceled) {
			t.Errorf("who gave up waiting: %v", err)
		}
		if made.Load() != 0 {
			t.Error("a waiter did not wait")
		}
		leave()
		wg.Wait()
		if made.Load() != 1 {
			t.Errorf("made %d times after the first gave up", made.Load())
		}
	})
}

// A panic reaches who asked, and whoever waited or comes later is served.
func TestCachePanic(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := &cache{most: 4}
		release := make(chan struct{})
		var wg sync.WaitGroup
		wg.Go(func() {
			defer func() {
				if p := recover(); p != "broken" {
					t.Errorf("panic %v", p)
				}
			}()
			_, _ = c.get(t.Context(), "key", func() (app.Answer, error) { <-release; panic("broken") })
		})
		synctest.Wait()
		wg.Go(func() {
			if a, err := c.get(t.Context(), "key", func() (app.Answer, error) { return marked(5), nil }); err != nil || mark(a) != 5 {
				t.Errorf("waiter: %v, %v", a, err)
			}
		})
		synctest.Wait()
		close(release)
		wg.Wait()
		if a, err := c.get(t.Context(), "key", func() (app.Answer, error) { return marked(6), nil }); err != nil || mark(a) != 5 {
			t.Errorf("later: %v, %v", a, err)
		}
		if len(c.use) != 1 || len(c.all) != 1 {
			t.Errorf("holds %v", c.use)
		}
	})
}

// An error that is the lamp's own is kept like an answer.
func TestCacheError(t *testing.T) {
	c := &cache{most: 4}
	own := errors.New("the rows do not fit")
	for range 3 {
		if _, err := c.get(t.Context(), "key", func() (app.Answer, error) { err := own; own = errors.New("another"); return app.Answer{}, err }); err == nil || err.Error() != "the rows do not fit" {
			t.Fatalf("%v", err)
		}
	}
}

// The last answers are kept, no more.
func TestCacheBound(t *testing.T) {
	c := &cache{most: 3}
	made := map[string]int{}
	ask := func(key string) {
		if _, err := c.get(t.Context(), key, func() (app.Answer, error) { made[key]++; return marked(1), nil }); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 10 {
		ask(fmt.Sprint(i))
		if len(c.all) > 3 || len(c.use) != len(c.all) {
			t.Fatalf("holds %v, %d entries", c.use, len(c.all))
		}
	}
	ask("9")
	ask("0")
	if made["9"] != 1 || made["0"] != 2 {
		t.Errorf("made %v", made)
	}
}

// A request that is given up while it waits for its turn is no one's failure:
// the next one is answered.
func TestGivenUpRequest(t *testing.T) {
	s, _ := testServer(t)
	p, err := s.readLamp("oulu-first", nil)
	if err != nil {
		t.Fatal(err)
	}
	for range cap(s.quick) {
		s.quick <- struct{}{} // no place is free
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := s.answer(ctx, p, glance); !errors.Is(err, context.Canceled) {
		t.Errorf("given up: %v", err)
	}
	for range cap(s.quick) {
		<-s.quick
	}
	ans, err := s.answer(t.Context(), p, glance)
	if err != nil || !ans.Worked() {
		t.Errorf("the next one: %v", err)
	}
}
