// Package search finds the lamps that a brief asks for among all that a
// catalogue can make, shows what they trade against each other, and when
// there are none says which limit stands in the way and by how much.
//
// The search is exhaustive: every tray, strip, lining (on the walls, or on
// walls and floor), sheet, direction and number of rows is screened; what the
// current decides (supply, wire, fuse, connector, mount) is then chosen as
// small as the rules allow. The best are worked out in full before they are
// shown.
package search

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/price"
)

// Options steer a search; the zero value is good.
type Options struct {
	// Top is how many picks are worked out, 1 to 10; 0: 3.
	Top int
	// Workers is how many families are screened at a time; 0: 1.
	Workers int
	// Stock is what the owner has: prices are those of what must be bought
	// besides. Strip counts by its metres; nil: nothing.
	Stock price.Stock
	// Progress, if not nil, is told families done and in all; it is called
	// from one goroutine at a time.
	Progress func(done, total int)
}

// Found is the outcome of a search.
type Found struct {
	Brief   brief.Brief
	Targets []Target
	// Considered lamps were screened, Feasible ones meet every target without
	// a stop; Unbuildable ones lack a part in the catalogue.
	Considered, Feasible, Unbuildable int
	// Spotless says that feasible lamps which show rows or chips were passed
	// over in the picks.
	Spotless bool
	// Picks are the best lamps, worked out in full.
	Picks []Pick
	// Front holds the feasible lamps that no other feasible lamp beats in
	// price, in mean luminance and in mains power at once.
	Front []Point
	// Cloud is a sample of the feasible lamps, for the trade-off picture.
	Cloud []Point
	// Impossible explains why there is no lamp; nil when there is one.
	Impossible *Impossible
	// Missing counts the parts that the catalogue lacked, by kind.
	Missing map[string]int
}

// Point is a screened lamp.
type Point struct {
	Spec    lamp.Spec
	Numbers map[string]float64
	Checks  []Check
	// worst is the greatest Short of the checks.
	worst    float64
	hot      bool
	spotless bool
}

// Pick is a lamp worth building, with the reason why it was picked.
type Pick struct {
	Title  string // "least money", …
	Why    string // one sentence
	Lamp   lamp.Lamp
	Result predict.Result
	Bill   price.Bill
	Checks []Check
}

// Find searches the catalogue for the brief. It fails on a brief or catalogue
// that makes no sense and when ctx ends.
func Find(ctx context.Context, b brief.Brief, set part.Set, opt Options) (Found, error) {
	b.Place = b.Place.WithDefaults()
	if err := b.Check(); err != nil {
		return Found{}, err
	}
	if err := set.Check(); err != nil {
		return Found{}, err
	}
	if opt.Top <= 0 {
		opt.Top = 3
	}
	f := Found{Brief: b, Targets: Targets(b), Missing: map[string]int{}}
	s := newShelf(set)
	s.stock = opt.Stock
	if len(families(b, set, true)) == 0 || len(set.Strips) == 0 {
		return Found{}, fmt.Errorf("the catalogue holds no tray, strip or sheet to build from; add some in a parts file")
	}
	s.wide = proof(b, set) != "" // nothing to be found: look beyond the limits at once
	points, err := screenAll(ctx, b, s, families(b, set, s.wide), f.Targets, &f, opt)
	if err != nil {
		return Found{}, err
	}
	good := slices.DeleteFunc(slices.Clone(points), func(p Point) bool { return p.worst > 0 || p.hot })
	if len(good) == 0 && !s.wide {
		// None: screen again without giving up early, to see what would help.
		s.wide = true
		f.Unbuildable, f.Missing = 0, map[string]int{}
		if points, err = screenAll(ctx, b, s, families(b, set, s.wide), f.Targets, &f, opt); err != nil {
			return Found{}, err
		}
	}
	f.Considered = len(points) + f.Unbuildable
	f.Feasible = len(good)
	if len(good) > 0 {
		f.Front = front(good)
		f.Cloud = sample(good, 400)
		// Unless the brief says how much ripple is allowed, lamps that show rows
		// or chips are picked only where there is nothing else.
		pickable := good
		if b.Wanted.Ripple == 0 {
			if even := slices.DeleteFunc(slices.Clone(good), func(p Point) bool { return !p.spotless }); len(even) > 0 {
				pickable = even
				f.Spotless = len(even) < len(good)
			}
		}
		if f.Picks, err = picks(ctx, pickable, f.Targets, s, opt.Top); err != nil {
			return Found{}, err
		}
		if f.Spotless {
			for i := range f.Picks {
				f.Picks[i].Why = strings.Replace(f.Picks[i].Why, "that meets the brief", "that meets the brief without showing rows or chips", 1)
			}
		}
	}
	if len(f.Picks) == 0 {
		f.Impossible = explain(b, set, f.Targets, points)
		f.Feasible, f.Front, f.Cloud = 0, nil, nil
	}
	return f, nil
}

// family is a set of lamps that share tray, sheet and direction of the rows;
// its members differ in strip, lining and number of rows.
type family struct {
	tray  part.Tray
	sheet string
	along lamp.Side
}

// lined is one way of lining a tray.
type lined struct {
	lining string
	floor  bool
}

func families(b brief.Brief, set part.Set, wide bool) []family {
	var out []family
	for _, t := range set.Trays {
		if w := b.Wanted; !wide && (w.Length > 0 && t.Length > w.Length || w.Depth > 0 && t.Depth > w.Depth) {
			continue
		}
		for _, along := range []lamp.Side{lamp.AlongLength, lamp.AlongWidth} {
			for _, sh := range set.Sheets {
				out = append(out, family{t, sh.ID, along})
			}
		}
	}
	return out
}

func linings(set part.Set) []lined {
	out := []lined{{}}
	for _, li := range set.Linings {
		out = append(out, lined{li.ID, false}, lined{li.ID, true})
	}
	return out
}

func screenAll(ctx context.Context, b brief.Brief, s *shelf, fams []family, ts []Target, f *Found, opt Options) ([]Point, error) {
	type answer struct {
		i       int
		points  []Point
		missing map[string]int
		err     error
	}
	jobs := make(chan int)
	answers := make(chan answer)
	var wg sync.WaitGroup
	for range max(1, opt.Workers) {
		wg.Go(func() {
			cache := predict.NewCache()
			for i := range jobs {
				ps, missing, err := screenFamily(b, s, fams[i], ts, cache)
				answers <- answer{i, ps, missing, err}
			}
		})
	}
	go func() {
		defer close(jobs)
		for i := range fams {
			select {
			case jobs <- i:
			case <-ctx.Done():
				return
			}
		}
	}()
	go func() { wg.Wait(); close(answers) }()
	byFamily := make([][]Point, len(fams))
	var firstErr error
	done := 0
	for a := range answers {
		done++
		if a.err != nil && firstErr == nil {
			firstErr = a.err
		}
		byFamily[a.i] = a.points
		for k, n := range a.missing {
			f.Missing[k] += n
			f.Unbuildable += n
		}
		if opt.Progress != nil {
			opt.Progress(done, len(fams))
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return slices.Concat(byFamily...), firstErr
}

// screenFamily screens every strip, lining and number of rows of one family.
func screenFamily(b brief.Brief, s *shelf, fam family, ts []Target, cache *predict.Cache) ([]Point, map[string]int, error) {
	missing := map[string]int{}
	var out []Point
	for _, strip := range s.set.Strips {
		supply, wire, plug, err := s.start(strip)
		if err != nil {
			missing[err.Error()]++
			continue
		}
		for _, li := range linings(s.set) {
			spec := lamp.Spec{
				Schema: 1, Name: "candidate", Tray: fam.tray.ID, Strip: strip.ID, Sheet: fam.sheet, Lining: li.lining, LineFloor: li.floor,
				Rows: 1, Along: fam.along, Supply: supply, Bus: wire, Lead: wire, Connector: plug, Place: b.Place, Feed: "first-row",
			}
			l, err := lamp.Build(spec, s.set)
			if err != nil || l.RowLength() > l.Strip.Reel {
				break // no unit or no sheet fits this tray: no candidate
			}
			prep, err := cache.Prepare(l)
			if err != nil {
				return nil, nil, fmt.Errorf("tray %q, strip %q: %w", fam.tray.ID, strip.ID, err)
			}
			out = append(out, s.rows(prep, l, ts, missing)...)
		}
	}
	return out, missing, nil
}

// rows screens the numbers of rows of one lined box: a coarse ladder first,
// then every number between two rungs that may come near the targets. Light,
// luminance, watts, mass and price all grow with the rows, so the ladder ends
// where a part is lacking or an upper limit is passed twofold (unless the
// search is wide: then it also looks where one limit alone is missed).
func (s *shelf) rows(prep *predict.Prepared, l lamp.Lamp, ts []Target, missing map[string]int) []Point {
	at := func(rows int) (Point, bool, bool) {
		c := l
		c.Spec.Rows = rows
		p, lack, ok := s.candidate(prep, c, ts)
		if lack != "" {
			missing[lack]++
		}
		return p, ok, lack != ""
	}
	var rungs []Point
	var numbers []int
	last := 0
	step := func(n int) int {
		if s.every {
			return n + 1
		}
		return max(n+1, n*5/4)
	}
	for n := 1; n <= l.RowsThatFit(); n = step(n) {
		p, ok, lack := at(n)
		if lack {
			// Somewhere since the last rung the parts ran out: try each.
			for m := last + 1; m < n && last > 0; m++ {
				if q, ok, _ := at(m); ok {
					rungs, numbers = append(rungs, q), append(numbers, m)
				}
			}
			break
		}
		last = n
		if !ok {
			continue
		}
		rungs, numbers = append(rungs, p), append(numbers, n)
		if !s.wide && slices.ContainsFunc(p.Checks, func(c Check) bool { return c.Bound == AtMost && c.Short > 1 }) {
			break
		}
	}
	out := slices.Clone(rungs)
	for i := 1; i < len(rungs); i++ {
		for n := numbers[i-1] + 1; n < numbers[i]; n++ {
			t := float64(n-numbers[i-1]) / float64(numbers[i]-numbers[i-1])
			far := 0
			for j, c := range rungs[i-1].Checks {
				if got := c.Got*(1-t) + rungs[i].Checks[j].Got*t; c.short(got) >= 0.1 {
					far++
				}
			}
			if far == 0 || s.wide && far == 1 {
				if p, ok, _ := at(n); ok {
					out = append(out, p)
				}
			}
		}
	}
	return out
}

// candidate screens one lamp, chooses what its current decides, and paints
// the back when heat asks for it.
func (s *shelf) candidate(prep *predict.Prepared, l lamp.Lamp, ts []Target) (p Point, lack string, ok bool) {
	sc, err := prep.Screen(l)
	if err != nil {
		return Point{}, "", false
	}
	if sc.TooHot() && !l.Tray.Painted && len(s.backPaint) > 0 {
		l.Spec.Paint = s.backPaint[0].ID
		l.Paint = &s.backPaint[0]
		if sc, err = prep.Screen(l); err != nil {
			return Point{}, "", false
		}
	}
	spec := l.Spec
	if lack = s.complete(&spec, l.Strip, sc.Current, sc.CurrentUpper, sc.SupplyNeeded, sc.Mass); lack != "" {
		return Point{}, lack, false
	}
	full, err := lamp.Build(spec, s.set)
	if err != nil {
		return Point{}, "", false
	}
	if sc, err = prep.Screen(full); err != nil {
		return Point{}, "", false
	}
	n := sc.Numbers()
	bill, err := price.List(full, s.set, s.stock)
	if err != nil {
		return Point{}, "", false
	}
	n[PriceFirst], n[PriceNext] = bill.First.Amount(), bill.Next.Amount()
	p = Point{Spec: spec, Numbers: n, Checks: Judge(ts, n), hot: sc.TooHot(), spotless: sc.Spotless()}
	for _, c := range p.Checks {
		p.worst = math.Max(p.worst, c.Short)
	}
	return p, "", true
}

// front keeps the points that none beats in price, luminance and power.
func front(ps []Point) []Point {
	keys := []string{PriceFirst, predict.FaceMean, predict.MainsPower}
	var out []Point
	for _, p := range ps {
		beaten := slices.ContainsFunc(ps, func(q Point) bool {
			better := false
			for _, k := range keys {
				switch d := q.Numbers[k] - p.Numbers[k]; {
				case d > 0:
					return false
				case d < 0:
					better = true
				}
			}
			return better
		})
		if !beaten {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b Point) int { return cmp.Compare(a.Numbers[PriceFirst], b.Numbers[PriceFirst]) })
	return out
}

// sample thins the points to at most n, evenly over the list.
func sample(ps []Point, n int) []Point {
	if len(ps) <= n {
		return ps
	}
	out := make([]Point, n)
	for i := range out {
		out[i] = ps[i*len(ps)/n]
	}
	return out
}

// taste is one way of calling a lamp best.
type taste struct {
	title, why string
	score      func(n map[string]float64) float64 // least is best
}

var tastes = []taste{
	{"least money", "no lamp that meets the brief costs less to build the first time", func(n map[string]float64) float64 { return n[PriceFirst] }},
	{"softest face", "no lamp that meets the brief has a dimmer, more comfortable face", func(n map[string]float64) float64 { return n[predict.FaceMean] }},
	{"least power", "no lamp that meets the brief draws less from the mains", func(n map[string]float64) float64 { return n[predict.MainsPower] }},
	{"truest colour", "no lamp that meets the brief renders colours better", func(n map[string]float64) float64 { return -n[predict.Ra] }},
	{"most light", "no lamp that meets the brief gives more light at the meter", func(n map[string]float64) float64 { return -n[predict.MeterLux] }},
	{"lightest", "no lamp that meets the brief weighs less", func(n map[string]float64) float64 { return n[predict.LampMass] }},
}

// picks works out the best lamp of each taste until top are found that differ
// and hold in the full prediction.
func picks(ctx context.Context, good []Point, ts []Target, s *shelf, top int) ([]Pick, error) {
	var out []Pick
	seen := map[string]bool{}
	for _, taste := range tastes {
		if len(out) >= top {
			break
		}
		order := slices.Clone(good)
		slices.SortStableFunc(order, func(a, b Point) int {
			return cmp.Or(cmp.Compare(taste.score(a.Numbers), taste.score(b.Numbers)), cmp.Compare(a.Numbers[PriceFirst], b.Numbers[PriceFirst]))
		})
		for _, p := range order[:min(len(order), 25)] {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			id := fmt.Sprint(p.Spec.Tray, p.Spec.Strip, p.Spec.Sheet, p.Spec.Lining, p.Spec.LineFloor, p.Spec.Along, p.Spec.Rows)
			if seen[id] {
				continue
			}
			pick, ok, err := s.workOut(p, ts, taste)
			if err != nil {
				return nil, err
			}
			if ok {
				seen[id] = true
				out = append(out, pick)
				break
			}
		}
	}
	return out, nil
}

// workOut predicts a screened lamp in full; a lamp whose targets or safety do
// not hold there is no pick.
func (s *shelf) workOut(p Point, ts []Target, t taste) (Pick, bool, error) {
	spec := p.Spec
	for _, feed := range []string{"first-row", "reverse-return"} {
		spec.Feed = feed
		l, err := lamp.Build(spec, s.set)
		if err != nil {
			return Pick{}, false, err
		}
		r, err := predict.Lamp(l)
		if err != nil {
			return Pick{}, false, nil
		}
		if feed == "first-row" && r.Numbers[predict.Evenness] < 0.97 {
			continue // costs one longer wire and evens the rows
		}
		bill, err := price.List(l, s.set, s.stock)
		if err != nil {
			return Pick{}, false, err
		}
		r.Numbers[PriceFirst], r.Numbers[PriceNext] = bill.First.Amount(), bill.Next.Amount()
		checks := Judge(ts, r.Numbers)
		worst, _ := finding.Worst(r.Findings)
		ok := worst < finding.Stop && !slices.ContainsFunc(checks, func(c Check) bool { return !c.Met() })
		return Pick{Title: t.title, Why: t.why, Lamp: l, Result: r, Bill: bill, Checks: checks}, ok, nil
	}
	return Pick{}, false, nil
}
