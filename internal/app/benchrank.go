package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/internal/file"
	"dawnsmith/internal/store"
	"dawnsmith/lamp/predict"
)

// Kept is one lamp of the logbook with all that its runs say together.
type Kept struct {
	Lamp  store.Lamp
	Facts Facts
	// Record holds the numbers of all runs that count, the surest of each
	// measure; nil: nothing was read yet.
	Record *measure.Record
	// Aside lists in words what other runs say of the same measures.
	Aside []string
	Entry compare.Entry
	Claim []finding.Finding
}

// known remembers lamps while the logbook stays as it is.
type known struct {
	mu    sync.Mutex
	token string
	all   map[string]Kept
}

// Known gives a lamp of the logbook. predicted lets a lamp that has a document
// and no readings stand with what is predicted of it. What it holds is shared
// and not to be changed.
func (b *Bench) Known(ctx context.Context, slug string, predicted bool) (Kept, error) {
	token := b.Book.Token()
	name := fmt.Sprint(predicted, " ", slug)
	b.known.mu.Lock()
	if b.known.token != token || b.known.all == nil {
		b.known.token, b.known.all = token, map[string]Kept{}
	}
	k, ok := b.known.all[name]
	b.known.mu.Unlock()
	if ok {
		return k, nil
	}
	k, err := b.know(ctx, slug, predicted)
	if err != nil {
		return k, err
	}
	b.known.mu.Lock()
	defer b.known.mu.Unlock()
	if b.known.token == token && len(b.known.all) < 5000 {
		b.known.all[name] = k
	}
	return k, nil
}

func (b *Bench) know(ctx context.Context, slug string, predicted bool) (Kept, error) {
	var k Kept
	var err error
	if k.Lamp, err = b.Book.Lamp(ctx, slug, 0); err != nil {
		return k, err
	}
	if k.Facts, err = b.Facts(ctx, slug); err != nil {
		return k, err
	}
	recs, err := b.Book.Records(ctx, slug, "")
	if err != nil {
		return k, err
	}
	switch {
	case len(recs) > 0:
		one, aside, err := measure.Merge(recs...)
		if err != nil {
			return k, err
		}
		k.Record, k.Aside = &one, aside
		k.Entry = compare.Measured(slug, one)
		// Other distances are other numbers: they all stand.
		for _, r := range recs {
			for _, m := range r.Values {
				if m.Distance > 0 && !slices.ContainsFunc(k.Entry.Values[m.Key], func(d compare.Datum) bool { return math.Abs(d.Distance-m.Distance) < 1e-4 }) {
					k.Entry.Add(m.Key, compare.Datum{Value: m.Value, Bound: m.Bound, Distance: m.Distance, How: m.How})
				}
			}
		}
		units, err := b.Book.Units(ctx, slug)
		if err != nil {
			return k, err
		}
		k.Entry.Statement.Units = strconv.Itoa(max(1, len(units)))
	case predicted && k.Lamp.Document != "":
		u, err := b.predicted(k.Lamp)
		if err != nil {
			return k, err
		}
		k.Entry = compare.Predicted(slug, u)
	default:
		k.Entry = compare.Entry{ID: slug, Origin: compare.FromMeasurement}
	}
	e := &k.Entry
	e.Name = k.Lamp.Name
	if e.FaceLength == 0 {
		e.FaceLength, e.FaceWidth = k.Facts.FaceLength, k.Facts.FaceWidth
	}
	if k.Facts.UseDistance > 0 {
		e.UseDistance = k.Facts.UseDistance
	}
	if e.Price, err = parseMoney(k.Lamp.Price); err != nil {
		return k, err
	}
	e.PriceBasis = k.Facts.PriceBasis
	e.Statement.PriceBasis, e.Statement.Interest = k.Facts.PriceBasis, k.Facts.Interest
	e.Statement.Software = b.Program
	if k.Record != nil {
		e.Statement.Log = "raw readings in the logbook"
	}
	k.Claim = k.checkClaim()
	return k, nil
}

// predicted works out a lamp of the logbook from its document.
func (b *Bench) predicted(l store.Lamp) (predict.Uncertain, error) {
	s, err := file.ParseLamp([]byte(l.Document), l.Slug+".lamp.toml")
	if err != nil {
		return predict.Uncertain{}, err
	}
	built, err := b.Build(s)
	if err != nil {
		return predict.Uncertain{}, fmt.Errorf("lamp %q: %w", l.Slug, err)
	}
	return predict.Spread(built)
}

// View is a comparison as it is asked for; the logbook keeps views by name.
type View struct {
	// Key is the measure that ranks; More stand beside it in the table.
	Key  string   `json:"key"`
	More []string `json:"more,omitempty"`
	// Terms are what all are compared on.
	Terms compare.Terms `json:"terms"`
	// Lamps are those to compare; empty: all in use that pass the rest.
	Lamps []string `json:"lamps,omitempty"`
	// Text and Origin narrow the lamps as in a list; Where are conditions such
	// as "luminance < 12000".
	Text   string   `json:"text,omitempty"`
	Origin string   `json:"origin,omitempty"`
	Where  []string `json:"where,omitempty"`
	// Predicted lets designs without readings stand with what is predicted.
	Predicted bool `json:"predicted,omitempty"`
}

// Condition reads "luminance < 12000", "lux >= 2500 lx": a measure, < or >,
// and a number in the measure's unit.
func Condition(text string) (store.Limit, error) {
	var l store.Limit
	at := strings.IndexAny(text, "<>")
	if at < 0 {
		return l, fmt.Errorf("%q is no condition; allowed is a measure, < or >, and a number, such as \"luminance < 12000\"", text)
	}
	key, err := MeasureKey(strings.TrimSpace(text[:at]))
	if err != nil {
		return l, err
	}
	m, _ := measure.Declared(key)
	number := strings.TrimPrefix(text[at+1:], "=")
	if m.Unit != "" {
		number = strings.TrimSuffix(strings.TrimSpace(number), m.Unit)
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(number), " ", ""), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return l, fmt.Errorf("%q: %q is no number; write it plain or in %s", text, strings.TrimSpace(text[at+1:]), orNone(m.Unit))
	}
	l.Key = key
	if text[at] == '<' {
		l.Max = &x
	} else {
		l.Min = &x
	}
	return l, nil
}

// Chosen lists the lamps of a view, and in words those that its conditions
// leave out.
func (b *Bench) Chosen(ctx context.Context, v View) (slugs, out []string, err error) {
	f := store.LampFilter{Text: v.Text, Origin: store.Origin(v.Origin)}
	all, err := b.Book.Lamps(ctx, f)
	if err != nil {
		return nil, nil, err
	}
	for _, c := range v.Where {
		l, err := Condition(c)
		if err != nil {
			return nil, nil, err
		}
		f.Limits = append(f.Limits, l)
	}
	pass := all
	if len(f.Limits) > 0 {
		if pass, err = b.Book.Lamps(ctx, f); err != nil {
			return nil, nil, err
		}
	}
	has := func(rows []store.LampRow, slug string) bool {
		return slices.ContainsFunc(rows, func(r store.LampRow) bool { return r.Slug == slug })
	}
	for _, s := range v.Lamps {
		if !has(all, s) {
			if _, err := b.Book.Lamp(ctx, s, 0); err != nil {
				return nil, nil, err
			}
		}
	}
	for _, r := range all {
		switch {
		case len(v.Lamps) > 0 && !slices.Contains(v.Lamps, r.Slug):
		case r.Origin == store.Check && !slices.Contains(v.Lamps, r.Slug) && v.Origin == "":
			out = append(out, r.Name+": a check lamp, which only watches the meter")
		case !has(pass, r.Slug):
			out = append(out, r.Name+": not "+strings.Join(v.Where, " and "))
		default:
			slugs = append(slugs, r.Slug)
		}
	}
	return slugs, out, nil
}

// Ranked is a comparison made.
type Ranked struct {
	View    View
	Ranking compare.Ranking
	// Table holds the ranked column and those of View.More.
	Table []compare.Column
	Lamps []Kept
	// Left lists the lamps that the view's conditions leave out, with why.
	Left []string
}

// Rank makes a comparison.
func (b *Bench) Rank(ctx context.Context, v View) (Ranked, error) {
	r := Ranked{View: v}
	if v.Key == "" {
		return r, errors.New("say by which measure: lux, luminance, watts, cct, ra …, or the key of any measure (docs/json.md)")
	}
	var err error
	if r.View.Key, err = MeasureKey(v.Key); err != nil {
		return r, err
	}
	r.View.More = nil
	for _, w := range v.More {
		k, err := MeasureKey(w)
		if err != nil {
			return r, err
		}
		if k != r.View.Key {
			r.View.More = append(r.View.More, k)
		}
	}
	if err := v.Terms.Check(); err != nil {
		return r, err
	}
	slugs, left, err := b.Chosen(ctx, v)
	if err != nil {
		return r, err
	}
	r.Left = left
	r.Lamps = make([]Kept, len(slugs))
	errs := make([]error, len(slugs))
	var next atomic.Int32
	var readers sync.WaitGroup
	for range min(len(slugs), max(1, b.Workers)) {
		readers.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(slugs); i = int(next.Add(1)) - 1 {
				r.Lamps[i], errs[i] = b.Known(ctx, slugs[i], v.Predicted)
			}
		})
	}
	readers.Wait()
	if err := errors.Join(errs...); err != nil {
		return r, err
	}
	entries := make([]compare.Entry, len(slugs))
	for i, k := range r.Lamps {
		entries[i] = k.Entry
	}
	if r.Table, err = compare.Table(entries, append([]string{r.View.Key}, r.View.More...), v.Terms); err != nil {
		return r, err
	}
	r.Ranking, err = compare.Rank(r.Table[0], compare.Options{})
	return r, err
}

// Carried lists in words which lamps' numbers were carried to the terms, and
// how, one line for each way.
func (r Ranked) Carried() []string {
	var ways []string
	who := map[string][]string{}
	for _, c := range r.Table[:min(1, len(r.Table))] {
		for _, x := range c.Cells {
			if _, how, ok := strings.Cut(x.How, "; carried"); ok {
				if who[how] == nil {
					ways = append(ways, how)
				}
				who[how] = append(who[how], x.Name)
			}
		}
	}
	var out []string
	for _, w := range ways {
		out = append(out, fmt.Sprintf("Carried%s: %s.", w, strings.Join(who[w], ", ")))
	}
	return out
}
