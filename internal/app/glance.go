package app

import (
	"fmt"
	"sync"

	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/stock"
)

// Glancer works lamps out at the grade for sliders, and keeps what lamps of a
// family share from one glance to the next. It may be used by several at a
// time; they take turns.
type Glancer struct {
	app   *App
	mu    sync.Mutex
	cache *predict.Cache
	used  int
	fits  map[string]*stock.Outfit // by what is cut
}

// keptGlances is how often a cache is used before it is made anew, so that it
// does not grow without end.
const keptGlances = 400

// Glancer makes a Glancer.
func (a *App) Glancer() *Glancer { return &Glancer{app: a} }

// At works a lamp out: every number within the bound that lamp/predict states
// for predict.Live, without uncertainty, in a fraction of the time. b may be
// nil; the place is the lamp's own.
func (g *Glancer) At(s lamp.Spec, b *brief.Brief) (Answer, error) {
	l, err := g.app.Build(s)
	if err != nil {
		return Answer{}, err
	}
	r, err := g.result(l)
	if err != nil {
		return Answer{}, fmt.Errorf("lamp %q: %w", s.Name, err)
	}
	return g.app.finish(Answer{Lamp: l, Result: r}, b, g.fit)
}

// fit plans the cutting, or takes the plan of a lamp that was cut alike.
func (g *Glancer) fit(l lamp.Lamp) (*stock.Outfit, error) {
	key := fmt.Sprint(l.Spec.Rows, l.Spec.Units, l.Strip)
	g.mu.Lock()
	o := g.fits[key]
	g.mu.Unlock()
	if o != nil {
		return o.For(l, g.app.Parts)
	}
	o, err := g.app.fit(l)
	if err != nil {
		return nil, err
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.fits == nil || len(g.fits) >= keptGlances {
		g.fits = map[string]*stock.Outfit{}
	}
	g.fits[key] = o
	return o, nil
}

func (g *Glancer) result(l lamp.Lamp) (predict.Result, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.cache == nil || g.used >= keptGlances {
		g.cache, g.used = predict.NewCache(), 0
	}
	g.used++
	p, err := g.cache.Prepare(l)
	if err != nil {
		return predict.Result{}, err
	}
	return p.At(l, predict.Live)
}
