package web

import (
	"context"
	"sync"

	"dawnsmith/internal/app"
)

// cache keeps the answers worked out last, by the address of their state.
// Whoever asks for one that is being worked out waits for it.
type cache struct {
	mu   sync.Mutex
	most int
	all  map[string]*entry
	use  []string // oldest first
}

type entry struct {
	done chan struct{}
	ans  app.Answer
	err  error
}

// get gives the answer of a key, working it out with make if need be. It
// returns early with ctx's error; the work then goes on and is kept.
func (c *cache) get(ctx context.Context, key string, make_ func() (app.Answer, error)) (app.Answer, error) {
	c.mu.Lock()
	if c.all == nil {
		c.all = map[string]*entry{}
	}
	e, ok := c.all[key]
	if !ok {
		e = &entry{done: make(chan struct{})}
		c.all[key] = e
		if len(c.use) >= c.most {
			delete(c.all, c.use[0])
			c.use = c.use[1:]
		}
		c.use = append(c.use, key)
	}
	c.mu.Unlock()
	if !ok {
		defer close(e.done)
		e.ans, e.err = make_()
		if e.err == context.Canceled {
			c.forget(key, e)
		}
		return e.ans, e.err
	}
	select {
	case <-e.done:
		return e.ans, e.err
	case <-ctx.Done():
		return app.Answer{}, ctx.Err()
	}
}

// forget drops an entry that was given up.
func (c *cache) forget(key string, e *entry) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.all[key] == e {
		delete(c.all, key)
		for i, k := range c.use {
			if k == key {
				c.use = append(c.use[:i], c.use[i+1:]...)
				break
			}
		}
	}
}

// has tells that the answer of a key is there already.
func (c *cache) has(key string) bool {
	c.mu.Lock()
	e, ok := c.all[key]
	c.mu.Unlock()
	if !ok {
		return false
	}
	select {
	case <-e.done:
		return true
	default:
		return false
	}
}
