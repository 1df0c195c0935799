package stock

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/lamp"
	"dawnsmith/lamp/cut"
	"dawnsmith/lamp/price"
	"dawnsmith/lamp/wiring"
)

// Plan is how one or several like lamps are cut from stock and from new reels.
type Plan struct {
	// Reels are those that give at least one piece, stock first. Rows are
	// numbered through all lamps: row i of lamp k is k·rows + i.
	Reels []wiring.Reel
	// Costs weigh plans against each other, in the currency of the strip's
	// price; NewReel, WholeReel and a leftover (nothing) are the costs of
	// opening.
	Costs              cut.Costs
	NewReel, WholeReel float64
	Cost               float64 // of this plan
	// Bound is a lower bound from a simpler problem; Proven says that no
	// plan from these reels costs less; LeastReels is the plain bound.
	Bound      float64
	Proven     bool
	LeastReels int
	Explored   int
	New        int // new reels opened
	Opened     int
	Splices    int
	Joints     int // factory joints inside pieces
	Kept       int // units of leftovers to keep, in opened reels
	Scrap      int // units of leftovers too short
	Keep       int // the shortest leftover kept, in units
	Rules      Rules
	// Phases tells, when the first joint of a reel is not known, for each
	// place where it may lie (in cut units from the start; all such reels
	// alike), what the best plan would be. The plan is the worst of them.
	Phases []Phase
	// Spare are the reels of this strip that the plan does not touch.
	Spare []string
	// Parts are the plans of either strip where two take turns, with the rows
	// of the whole lamp; their sums are in the fields above, all but Phases.
	// Channel is the strip's channel in such a part.
	Parts   []*Plan
	Channel string
}

// Phase is one supposition about the first joint of reels not yet unrolled.
type Phase struct {
	First  int // units from the start
	Cost   float64
	Opened int
	Joints int // inside rows
	Splice int
}

// Impossible says that no plan exists, and why.
type Impossible struct{ Lamp, Why string }

// Error names what is missing.
func (e *Impossible) Error() string {
	return fmt.Sprintf("the rows of lamp %q cannot be cut: %s", e.Lamp, e.Why)
}

// Weights of a plan, in the currency of the strip's price, against the price
// of a new reel: what a splice and a factory joint in a row are worth in work
// and risk. Common practice, no source.
const (
	spliceShare = 0.2
	jointShare  = 0.02
	wholeShare  = 0.5 // a reel in stock that is still whole, against a new one
	noPrice     = 20.0
)

// Cut plans n like lamps from the stock and from as many new reels as it takes,
// at the least cost, proved: see cut.Solve. Leftovers cost nothing to open, a
// whole reel in stock half a new one.
//
// Where a reel's first joint is not known, every place where it may lie is
// tried, alike for all such reels, and the plan is the one of the costliest:
// whatever is found when the reels are unrolled, a plan at least as good exists.
//
// Not modelled: reels whose first joints lie differently from each other when
// none was measured.
//
// The two strips of a lamp with interleaved rows are cut each by a plan of its
// own, which together are the best since no reel serves both.
func (s Stock) Cut(l lamp.Lamp, n int) (*Plan, error) { return s.cut(l, n, true) }

// cut is Cut; without tidy only the number of reels is asked for.
func (s Stock) cut(l lamp.Lamp, n int, tidy bool) (*Plan, error) {
	if !l.Interleaved() {
		return s.cutOne(l, n, tidy)
	}
	all := &Plan{Proven: true}
	for k := range l.Strips() {
		p, err := s.cutOne(l.Half(k), n, tidy)
		if err != nil {
			return nil, err
		}
		p.Channel = l.ChannelNames()[k]
		half := l.RowsOf(k)
		for i := range p.Reels {
			r := &p.Reels[i]
			if r.New {
				r.Name += ", " + p.Channel
			}
			for j := range r.Pieces {
				c := &r.Pieces[j]
				c.Row = c.Row/half*l.Spec.Rows + l.RowOfHalf(k, c.Row%half)
				c.Reel = len(all.Reels) + i
			}
		}
		all.add(p)
	}
	return all, nil
}

// add takes the plan of one strip into that of the lamp.
func (p *Plan) add(q *Plan) {
	p.Parts = append(p.Parts, q)
	p.Reels, p.Spare = append(p.Reels, q.Reels...), append(p.Spare, q.Spare...)
	p.Costs, p.NewReel, p.WholeReel, p.Rules, p.Keep = q.Costs, q.NewReel, q.WholeReel, q.Rules, q.Keep
	p.Cost, p.Bound, p.Proven = p.Cost+q.Cost, p.Bound+q.Bound, p.Proven && q.Proven
	p.LeastReels, p.Explored, p.New, p.Opened = p.LeastReels+q.LeastReels, p.Explored+q.Explored, p.New+q.New, p.Opened+q.Opened
	p.Splices, p.Joints, p.Kept, p.Scrap = p.Splices+q.Splices, p.Joints+q.Joints, p.Kept+q.Kept, p.Scrap+q.Scrap
}

// cutOne is cut for a lamp of one strip.
func (s Stock) cutOne(l lamp.Lamp, n int, tidy bool) (*Plan, error) {
	if n < 1 || n > 8 {
		return nil, fmt.Errorf("%d lamps at a time; allowed are 1 to 8", n)
	}
	p := &Plan{Rules: s.Cutting}
	p.Rules.Pieces = max(1, p.Rules.Pieces)
	if p.Rules.Least == 0 {
		p.Rules.Least = 3
	}
	p.Keep = max(1, int(math.Ceil(s.Cutting.Keep/l.Strip.Cut-1e-6)))
	if s.Cutting.Keep == 0 {
		p.Keep = l.Spec.Units
	}
	perReel := l.Strip.Reel / l.Strip.PackSize()
	p.NewReel = l.Strip.Price.Amount() * perReel
	if p.NewReel <= 0 {
		p.NewReel = noPrice
	}
	p.WholeReel = wholeShare * p.NewReel
	full := max(1, l.Strip.UnitsPerReel())
	p.Costs = cut.Costs{Splice: spliceShare * p.NewReel, Joint: jointShare * p.NewReel, Scrap: p.NewReel / float64(full)}

	reels := s.reels(l, n, p)
	every := wiring.JointEvery(l)
	unknown := slices.ContainsFunc(reels, func(r reel) bool { return !r.Known })
	phases := []int{0}
	if unknown && every > 0 {
		phases = phases[:0]
		for f := 1; f <= every; f++ {
			phases = append(phases, f)
		}
	}
	if !tidy && !p.Rules.NoJoints && len(phases) > 1 {
		// Only the number of reels is asked for, and a joint in a row is much
		// cheaper than a reel: where the joints lie does not decide it.
		phases = phases[len(phases)-1:]
	}
	var worst *cut.Plan
	var why string
	at := 0
	for _, f := range phases {
		job := p.job(l, n, reels, f)
		got, err := cut.Solve(job)
		if err != nil {
			return nil, fmt.Errorf("lamp %q: %w", l.Name, err)
		}
		if !got.Feasible {
			why = got.Why
			if unknown && every > 0 {
				why += fmt.Sprintf(" (should the first joint lie %s from the start)", mm(float64(f)*l.Strip.Cut))
			}
			return nil, &Impossible{l.Name, why}
		}
		p.Phases = append(p.Phases, Phase{f, got.Cost, got.Opened, got.Joints, got.Splices})
		if worst == nil || got.Cost > worst.Cost+1e-9 {
			worst, at = got, f
		}
	}
	job := p.job(l, n, reels, at)
	if tidy {
		worst = gather(job, worst)
	}
	p.take(l, reels, worst, at)
	if !slices.ContainsFunc(p.Reels, func(r wiring.Reel) bool { return !r.Known && len(r.Joints) > 0 }) {
		p.Phases = nil // nothing that is used was supposed
	}
	return p, nil
}

// reel is a reel that may be cut, with where its joints lie if that is known.
type reel struct {
	wiring.Reel
	open float64
	// every is the distance of its joints, first the place of the first (0:
	// none or not known).
	every, first int
}

// reels are those on hand of this strip, leftovers first, then as many new ones
// as n lamps could take.
func (s Stock) reels(l lamp.Lamp, n int, p *Plan) []reel {
	every := wiring.JointEvery(l)
	var out []reel
	for _, k := range s.Reels {
		u := units(k.Length, l.Strip.Cut)
		if k.Strip != l.Strip.ID || u < 1 {
			continue
		}
		r := reel{Reel: wiring.Reel{Name: k.Name, Strip: l.Strip.ID, Batch: k.Batch, Units: u}, open: p.WholeReel, every: every}
		if k.Begun {
			r.open = 0
		}
		if k.JointEvery > 0 {
			r.every = max(1, int(math.Round(k.JointEvery/l.Strip.Cut)))
		}
		r.first = int(math.Round(k.FirstJoint / l.Strip.Cut))
		r.Known = k.NoJoints || k.FirstJoint > 0 || r.every == 0
		if k.NoJoints {
			r.every = 0
		}
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(a, b reel) int {
		switch {
		case a.open < b.open:
			return -1
		case a.open > b.open:
			return 1
		}
		return a.Units - b.Units
	})
	full := l.Strip.UnitsPerReel()
	if full < 1 {
		return out
	}
	for i := range newReels(l, n, full, every, p.Rules) {
		out = append(out, reel{Reel: wiring.Reel{Name: fmt.Sprintf("new reel %d", i+1), Strip: l.Strip.ID, New: true, Units: full, Known: every == 0}, open: p.NewReel, every: every})
	}
	return out
}

// mostNew is how many new reels a plan may open.
const mostNew = 24

// newReels is how many new reels n lamps could take at most.
func newReels(l lamp.Lamp, n, full, every int, r Rules) int {
	per := full / max(1, l.Spec.Units)
	if r.NoJoints && every > 0 {
		// The first and the last stretch may be short.
		per = max(0, full/every-1) * (every / max(1, l.Spec.Units))
	}
	if per < 1 {
		return min(mostNew, n*l.Spec.Rows*r.Pieces) // a piece a reel at the worst
	}
	return min(mostNew, (n*l.Spec.Rows+per-1)/per)
}

// job states the task for package cut, with unknown first joints at unit f.
func (p *Plan) job(l lamp.Lamp, n int, reels []reel, f int) cut.Job {
	j := cut.Job{MaxPieces: p.Rules.Pieces, MinPiece: p.Rules.Least, JointsAllowed: !p.Rules.NoJoints, Keep: p.Keep, OneBatch: !p.Rules.MixBatches, Costs: p.Costs}
	if p.Rules.Pieces == 1 {
		j.MinPiece = 1
	}
	for range n {
		var t cut.Tray
		for range l.Spec.Rows {
			t.Rows = append(t.Rows, l.Spec.Units)
		}
		j.Trays = append(j.Trays, t)
	}
	for _, r := range reels {
		j.Reels = append(j.Reels, cut.Reel{Name: r.Name, Units: r.Units, Joints: r.joints(f), Batch: batch(r.Reel), OpenCost: r.open})
	}
	return j
}

// batch is the batch for the planner: new reels are bought together and of one
// batch; a reel in stock whose batch is not known matches no other.
func batch(r wiring.Reel) string {
	switch {
	case r.New:
		return "new"
	case r.Batch == "":
		return "reel " + r.Name
	}
	return "batch " + r.Batch
}

// joints lists the reel's factory joints, the first at f when it is not known.
func (r reel) joints(f int) []int {
	if r.every <= 0 {
		return nil
	}
	at := r.first
	if !r.Known {
		at = f
	}
	var out []int
	for ; at < r.Units; at += r.every {
		if at > 0 {
			out = append(out, at)
		}
	}
	return out
}

// take turns a solved job into the reels of the plan.
func (p *Plan) take(l lamp.Lamp, reels []reel, got *cut.Plan, f int) {
	p.Cost, p.Bound, p.Proven, p.LeastReels, p.Explored = got.Cost, got.Bound, got.Proven, got.LeastReels, got.Explored
	p.Opened, p.Splices, p.Joints, p.Kept, p.Scrap = got.Opened, got.Splices, got.Joints, got.Kept, got.Scrap
	place := map[int]int{}
	fresh := 0
	for i, r := range reels {
		used := slices.ContainsFunc(got.Rows, func(w cut.Row) bool {
			return slices.ContainsFunc(w.Pieces, func(c cut.Piece) bool { return c.Reel == i })
		})
		if !used {
			if !r.New {
				p.Spare = append(p.Spare, r.Name)
			}
			continue
		}
		w := r.Reel
		w.Joints = r.joints(f)
		if w.New {
			fresh++
			w.Name = fmt.Sprintf("new reel %d", fresh)
		}
		place[i] = len(p.Reels)
		p.Reels = append(p.Reels, w)
	}
	p.New = fresh
	for _, b := range got.Leftovers {
		k := place[b.Reel]
		p.Reels[k].Rests = append(p.Reels[k].Rests, wiring.Rest{From: b.From, To: b.To, Kept: b.Kept})
	}
	// Rows are alike: number them in each lamp as they come off the reels.
	rows := slices.Clone(got.Rows)
	slices.SortStableFunc(rows, func(a, b cut.Row) int {
		if a.Tray != b.Tray {
			return a.Tray - b.Tray
		}
		if x, y := place[a.Pieces[0].Reel], place[b.Pieces[0].Reel]; x != y {
			return x - y
		}
		return a.Pieces[0].From - b.Pieces[0].From
	})
	for i, r := range rows {
		for _, c := range r.Pieces {
			k := place[c.Reel]
			p.Reels[k].Pieces = append(p.Reels[k].Pieces, wiring.Piece{Row: i, Reel: k, From: c.From, To: c.To})
		}
	}
	for k := range p.Reels {
		slices.SortFunc(p.Reels[k].Pieces, func(a, b wiring.Piece) int { return a.From - b.From })
	}
}

// Bill is what the shopping list needs to know; next is the plan of the lamp
// after this one, or nil.
func (s Stock) Bill(l lamp.Lamp, p *Plan, next *Plan) *price.Cutting {
	c := &price.Cutting{Strips: map[string]price.Reels{}, Joints: p.Splices * wiring.SpliceJoints(l), Wire: float64(p.Splices*l.Pads()) * wiring.SpliceWire}
	for k, strip := range l.Strips() {
		r := price.Reels{First: p.part(k).New}
		if next != nil {
			r.Next = next.part(k).New
		}
		for _, have := range s.Reels {
			if have.Strip == strip.ID {
				r.Held += have.Length
			}
		}
		c.Strips[strip.ID] = r
	}
	return c
}

// part is the plan of the lamp's k-th strip.
func (p *Plan) part(k int) *Plan {
	if len(p.Parts) > 0 {
		return p.Parts[k]
	}
	return p
}

func mm(m float64) string { return fmt.Sprintf("%.0f\u202fmm", m*1000) }
