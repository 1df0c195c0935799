package web

import (
	"context"
	"errors"
	"slices"
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
// returns early with ctx's error. An answer that was given up before it was
// there is not kept; whoever waited for it works it out.
func (c *cache) get(ctx context.Context, key string, make_ func() (app.Answer, error)) (app.Answer, error) {
	for {
		e, mine := c.enter(key)
		if mine {
			return c.fill(key, e, make_)
		}
		select {
		case <-e.done:
			if errors.Is(e.err, context.Canceled) && ctx.Err() == nil {
				continue // it was another reader who went on
			}
			return e.ans, e.err
		case <-ctx.Done():
			return app.Answer{}, ctx.Err()
		}
	}
}

// enter finds the entry of a key, or makes it: then it is the caller's to fill.
func (c *cache) enter(key string) (e *entry, mine bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.all == nil {
		c.all = map[string]*entry{}
	}
	if e, ok := c.all[key]; ok {
		return e, false
	}
	e = &entry{done: make(chan struct{}), err: context.Canceled}
	c.all[key] = e
	if len(c.use) >= c.most {
		delete(c.all, c.use[0])
		c.use = c.use[1:]
	}
	c.use = append(c.use, key)
	return e, true
}

// fill works an entry out. If make_ panics or is given up, the entry goes.
func (c *cache) fill(key string, e *entry, make_ func() (app.Answer, error)) (app.Answer, error) {
	defer close(e.done)
	defer func() {
		if errors.Is(e.err, context.Canceled) {
			c.forget(key, e)
		}
	}()
	ans, err := make_()
	e.ans, e.err = ans, err
	return ans, err
}

// forget drops an entry that was given up.
func (c *cache) forget(key string, e *entry) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.all[key] == e {
		delete(c.all, key)
		c.use = slices.DeleteFunc(c.use, func(k string) bool { return k == key })
	}
}
