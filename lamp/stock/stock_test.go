package stock

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"dawnsmith/lamp"
	"dawnsmith/lamp/cut"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/price"
	"dawnsmith/lamp/wiring"
	"dawnsmith/quantity"

	"pgregory.net/rapid"
)

// bench is a lamp of nine rows of seven units of 50 mm, from reels of 5 m with
// a factory joint every 0.5 m, at 18.90 a reel.
func bench() lamp.Lamp {
	l := lamp.Lamp{Spec: lamp.Spec{Name: "bench", Rows: 9, Units: 7, Feed: "first-row", LeadLength: 1.5, WiredMargin: 0.012, FreeMargin: 0.004}}
	l.Tray = part.Tray{Item: part.Item{ID: "tray"}, Length: 0.38, Width: 0.28, Depth: 0.05}
	l.Strip = part.Strip{Item: part.Item{ID: "strip", Pack: 5, Price: part.Money{Cents: 1890, Currency: "EUR"}}, Width: 0.010, Cut: 0.05, Reel: 5, Joint: 0.5,
		Channels: []part.Channel{{Name: "white"}}}
	l.Bus = part.Wire{Area: 0.518e-6, Diameter: 0.0018, Item: part.Item{ID: "wire", Pack: 10, Price: part.Money{Cents: 490, Currency: "EUR"}}}
	l.Lead, l.Connector = l.Bus, part.Connector{Item: part.Item{ID: "socket"}, Poles: 2}
	l.Supply = part.Supply{Item: part.Item{ID: "supply"}, Outlet: "socket"}
	return l
}

func set() part.Set {
	return part.Set{Tools: []part.Tool{{Item: part.Item{ID: "iron"}}}, Consumables: []part.Consumable{{Item: part.Item{ID: "solder", Pack: 50}, PerJoint: 0.2}}}
}

// Leftovers and reels that are there are used before anything is bought.
func TestStockFirst(t *testing.T) {
	l := bench()
	s := Stock{Reels: []Reel{
		{Name: "rest", Strip: "strip", Batch: "A", Length: 1.85, FirstJoint: 0.15, Begun: true},
		{Name: "whole", Strip: "strip", Batch: "A", Length: 5, FirstJoint: 0.5},
		{Name: "other", Strip: "warm", Length: 5},
	}}
	p, err := s.Cut(l, 1)
	if err != nil {
		t.Fatal(err)
	}
	if p.New != 0 || !p.Proven {
		t.Errorf("%d new reels, proven %v; the rows fit what is there", p.New, p.Proven)
	}
	if !slices.ContainsFunc(p.Reels, func(r wiring.Reel) bool { return r.Name == "rest" }) {
		t.Error("the leftover is not used, though it costs nothing")
	}
	if len(p.Phases) != 0 || p.Unsure(l) != "" {
		t.Error("every joint is measured, and yet one is supposed")
	}
	// Of different batches, the two do not go together.
	s.Reels[1].Batch = "B"
	if p, err = s.Cut(l, 1); err != nil || len(p.Reels) != 1 || p.Reels[0].Name != "whole" {
		t.Errorf("reels of two batches: %+v, %v", p.Reels, err)
	}
	// A single short leftover of unknown batch, splices and mixing allowed.
	s = Stock{Cutting: Rules{Pieces: 2, MixBatches: true}, Reels: []Reel{{Name: "a", Strip: "strip", Length: 0.25, NoJoints: true, Begun: true}, {Name: "b", Strip: "strip", Length: 3.0, NoJoints: true, Begun: true}}}
	if p, err = s.Cut(l, 1); err != nil {
		t.Fatal(err)
	}
	// 3.25 m for 3.15 m in rows of 0.35 m: eight rows whole from b, which leaves
	// 0.2 m, and one of 0.2 + 0.15 m; a splice is cheaper than a reel.
	if p.New != 0 || p.Splices != 1 {
		t.Errorf("%d new reels, %d splices; want none and one", p.New, p.Splices)
	}
}

// One lamp, then the next from what it leaves: reels are bought once.
func TestFirstAndNext(t *testing.T) {
	l := bench()
	o, err := Stock{}.Fit(l, set())
	if err != nil {
		t.Fatal(err)
	}
	// A reel gives 14 rows; 9 and 5 with one of batch "new": the second lamp
	// wants nine of one batch.
	if o.Plan.New != 1 || o.Next.New != 1 {
		t.Errorf("new reels: %d and %d, want 1 and 1", o.Plan.New, o.Next.New)
	}
	kept := 0.0
	for _, r := range o.After.Reels {
		if r.Strip != "strip" || !r.Begun {
			t.Errorf("after the lamp: %+v", r)
		}
		kept += r.Length
	}
	if want := float64(o.Plan.Kept) * l.Strip.Cut; math.Abs(kept-want) > 1e-9 {
		t.Errorf("%.3f m on hand afterwards, the plan keeps %.3f m", kept, want)
	}
	if err := o.After.Check(); err != nil {
		t.Errorf("the stock afterwards: %v", err)
	}
	if i := slices.IndexFunc(o.After.Have, func(h Have) bool { return h.Part == "tool/iron" }); i < 0 || o.After.Have[i].Count != 1 {
		t.Errorf("the iron bought is not on hand: %+v", o.After.Have)
	}
}

// Strip is neither made nor lost, whatever is on hand: what was there and what
// is bought is in the rows, left, or scrap; and the stock afterwards is one
// that can be read.
func TestStripIsConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := bench()
		l.Spec.Rows, l.Spec.Units = rapid.IntRange(1, 10).Draw(t, "rows"), rapid.IntRange(1, 7).Draw(t, "units")
		l.Strip.Joint = rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t, "joint")
		s := Stock{Cutting: Rules{Pieces: rapid.IntRange(1, 2).Draw(t, "pieces"), Least: rapid.IntRange(0, 3).Draw(t, "least"), Keep: rapid.SampledFrom([]float64{0, 0.1, 0.35}).Draw(t, "keep"), MixBatches: rapid.Bool().Draw(t, "mix")}}
		for i := range rapid.IntRange(0, 3).Draw(t, "reels") {
			r := Reel{Name: string(rune('a' + i)), Strip: "strip", Batch: rapid.SampledFrom([]string{"", "A", "B"}).Draw(t, "batch"), Begun: rapid.Bool().Draw(t, "begun"),
				Length: float64(rapid.IntRange(1, 100).Draw(t, "length")) * 0.05}
			switch rapid.IntRange(0, 2).Draw(t, "joints") {
			case 0:
				r.NoJoints = true
			case 1:
				r.FirstJoint = float64(rapid.IntRange(1, 12).Draw(t, "first")) * 0.05
			}
			s.Reels = append(s.Reels, r)
		}
		if l.Spec.Rows > 1 && rapid.Bool().Draw(t, "by turns") {
			l.Strip.Channels[0].CCT = quantity.Exact(6500)
			second := l.Strip
			second.ID, second.Channels = "second", []part.Channel{{Name: "white", CCT: quantity.Exact(2700)}}
			if err := l.Interleave(second); err != nil {
				t.Fatal(err)
			}
			for i := range s.Reels {
				s.Reels[i].Strip = rapid.SampledFrom([]string{"strip", "second"}).Draw(t, "of")
			}
		}
		o, err := s.Fit(l, set())
		if err != nil {
			t.Fatal(err)
		}
		if err := o.After.Check(); err != nil {
			t.Fatal(err)
		}
		before, after, inRows := 0.0, 0.0, l.StripLength()
		for _, r := range s.Reels {
			before += r.Length
		}
		for _, r := range o.After.Reels {
			after += r.Length
		}
		bought := float64(o.Plan.New) * l.Strip.Reel
		scrap := float64(o.Plan.Scrap) * l.Strip.Cut
		if math.Abs(before+bought-inRows-after-scrap) > 1e-6 {
			t.Fatalf("%.3f m there, %.3f m bought, %.3f m in rows, %.3f m left, %.3f m scrap", before, bought, inRows, after, scrap)
		}
		for _, n := range o.Bill.Lines {
			k := 0
			if n.ID == "second" {
				k = 1
			}
			if first, next := o.Plan.part(k).New, o.Next.part(k).New; n.Kind == "strip" && (n.FirstPacks != first || n.NextPacks != next) {
				t.Fatalf("bought %d and %d packs of %s, opened %d and %d reels", n.FirstPacks, n.NextPacks, n.ID, first, next)
			}
			if n.Kind == "consumable" && math.Abs(n.Need-0.2*float64(l.Joints()+o.Plan.Splices*wiring.SpliceJoints(l))) > 1e-9 {
				t.Fatalf("solder for %.1f joints, %d splices", n.Need/0.2, o.Plan.Splices)
			}
		}
		// The wiring takes the plan over as it is.
		w := wiring.Of(l, wiring.Options{Reels: o.Plan.Reels})
		if w.Splices() != o.Plan.Splices || len(w.Reels) != len(o.Plan.Reels) || len(w.Joints) != l.Joints()+o.Plan.Splices*wiring.SpliceJoints(l) {
			t.Fatalf("plan: %d splices, %d reels; wiring: %d, %d; %d joints", o.Plan.Splices, len(o.Plan.Reels), w.Splices(), len(w.Reels), len(w.Joints))
		}
		joints := 0
		for i, r := range w.Rows {
			for _, c := range r.Pieces {
				joints += len(c.Joints)
				if of := w.Reels[c.Reel].Strip; of != l.RowStrip(i).ID {
					t.Fatalf("%s is cut from a reel of %q and is of %q", wiring.RowName(i), of, l.RowStrip(i).ID)
				}
			}
		}
		if joints != o.Plan.Joints {
			t.Fatalf("%d factory joints in the rows of the wiring, %d in the plan", joints, o.Plan.Joints)
		}
		wire := 0.0
		for _, x := range w.Wires {
			wire += x.Length * float64(x.Count)
		}
		if i := slices.IndexFunc(o.Bill.Lines, func(n price.Line) bool { return n.Kind == "wire" }); math.Abs(o.Bill.Lines[i].Need-wire) > 1e-9 {
			t.Fatalf("%.3f m of wire bought for, %.3f m cut", o.Bill.Lines[i].Need, wire)
		}
	})
}

// Whatever the first joint turns out to be, a plan no dearer than the printed
// one exists; and gathering what is left changes no cost.
func TestWorstPhase(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := bench()
		l.Spec.Rows, l.Spec.Units = rapid.IntRange(1, 9).Draw(t, "rows"), rapid.IntRange(2, 7).Draw(t, "units")
		s := Stock{Cutting: Rules{NoJoints: rapid.Bool().Draw(t, "no joints")}, Reels: []Reel{{Name: "a", Strip: "strip", Length: 5, Batch: "A"}}}
		p, err := s.Cut(l, 1)
		if err != nil {
			t.Fatal(err)
		}
		found := s
		found.Reels = slices.Clone(s.Reels)
		found.Reels[0].FirstJoint = 0.05 * float64(rapid.IntRange(1, 10).Draw(t, "found"))
		q, err := found.Cut(l, 1)
		if err != nil {
			t.Fatal(err)
		}
		if q.Opened == 1 && q.Cost > p.Cost+1e-9 {
			t.Fatalf("supposed: %.2f; measured at %.2f m: %.2f", p.Cost, found.Reels[0].FirstJoint, q.Cost)
		}
		// Cost from the pieces alone.
		cost := float64(p.Splices)*p.Costs.Splice + float64(p.Joints)*p.Costs.Joint + float64(p.Scrap)*p.Costs.Scrap
		for _, r := range p.Reels {
			if r.New {
				cost += p.NewReel
			} else {
				cost += p.WholeReel
			}
			used := make([]bool, r.Units)
			mark := func(from, to int) {
				for x := from; x < to; x++ {
					if used[x] {
						t.Fatalf("unit %d of %s twice", x, r.Name)
					}
					used[x] = true
				}
			}
			for _, c := range r.Pieces {
				mark(c.From, c.To)
			}
			for _, b := range r.Rests {
				mark(b.From, b.To)
			}
			if slices.Contains(used, false) {
				t.Fatalf("%s: a unit is in no row and no rest: %+v", r.Name, r)
			}
		}
		if math.Abs(cost-p.Cost) > 1e-6 {
			t.Fatalf("the plan says %.3f, its pieces cost %.3f", p.Cost, cost)
		}
	})
}

func TestImpossible(t *testing.T) {
	l := bench()
	l.Strip.Reel = 0.3 // shorter than a row
	_, err := Stock{}.Cut(l, 1)
	var none *Impossible
	if !errors.As(err, &none) || !strings.Contains(err.Error(), "bench") {
		t.Fatalf("got %v", err)
	}
	if f := none.Finding(); !f.NoOverride || f.Key != "cut.impossible" {
		t.Errorf("%+v", f)
	}
	// Joined from two pieces it can be done.
	if p, err := (Stock{Cutting: Rules{Pieces: 2}}).Cut(l, 1); err != nil || p.Splices != l.Spec.Rows {
		t.Errorf("spliced: %+v, %v", p, err)
	}
	if _, err := (Stock{}).Cut(bench(), 0); err == nil {
		t.Error("no lamp at all was planned")
	}
}

func TestCheck(t *testing.T) {
	ok := Stock{Reels: []Reel{{Name: "a", Strip: "s", Length: 1}}, Have: []Have{{Part: "wire/w", Length: 2}}}
	if err := ok.Check(); err != nil {
		t.Fatal(err)
	}
	for key, change := range map[string]func(*Stock){
		"cutting.pieces_per_row": func(s *Stock) { s.Cutting.Pieces = 9 },
		"cutting.least_units":    func(s *Stock) { s.Cutting.Least = -1 },
		"cutting.keep":           func(s *Stock) { s.Cutting.Keep = math.NaN() },
		"reel[1].name":           func(s *Stock) { s.Reels[0].Name = " " },
		"reel[2].name":           func(s *Stock) { s.Reels = append(s.Reels, s.Reels[0]) },
		"reel[1].length":         func(s *Stock) { s.Reels[0].Length = math.Inf(1) },
		"reel[1].first_joint":    func(s *Stock) { s.Reels[0].FirstJoint, s.Reels[0].NoJoints = 0.2, true },
		"have[1].part":           func(s *Stock) { s.Have[0].Area = 1 },
		"have[2].part":           func(s *Stock) { s.Have = append(s.Have, Have{Part: "strip/s", Length: 1}) },
	} {
		s := Stock{Reels: slices.Clone(ok.Reels), Have: slices.Clone(ok.Have)}
		change(&s)
		var f *Fault
		if err := s.Check(); !errors.As(err, &f) || f.Key != key {
			t.Errorf("%s: got %v", key, err)
		}
	}
	for _, h := range []Have{{Part: "wire/w"}, {Part: "wire/w", Count: 1}, {Part: "wire"}, {Part: "bolt/m3", Count: 1}, {Part: "sheet/s", Length: 1}} {
		if err := (Stock{Have: []Have{h}}).Check(); err == nil {
			t.Errorf("%+v passed", h)
		}
	}
	if err := ok.Known(part.Set{}); err == nil {
		t.Error("an unknown strip passed")
	}
}

// Four lamps from eight reels: a campaign of the bench, planned within
// seconds.
func BenchmarkFourLampsEightReels(b *testing.B) {
	l := bench()
	s := Stock{Cutting: Rules{Pieces: 2}}
	for i := range 8 {
		s.Reels = append(s.Reels, Reel{Name: string(rune('a' + i)), Strip: "strip", Batch: string(rune('A' + i/3)), Length: 1.2 + 0.55*float64(i), FirstJoint: 0.1 + 0.05*float64(i), Begun: i < 6})
	}
	for b.Loop() {
		p, err := s.Cut(l, 4)
		if err != nil || !p.Proven {
			b.Fatal(p, err)
		}
	}
}

// A job as package cut takes it, solved plainly, is what Cut rests on.
func TestAgreesWithCut(t *testing.T) {
	l := bench()
	s := Stock{Reels: []Reel{{Name: "a", Strip: "strip", Batch: "A", Length: 5, FirstJoint: 0.2}}}
	p, err := s.Cut(l, 1)
	if err != nil {
		t.Fatal(err)
	}
	j := cut.Job{Trays: []cut.Tray{{Rows: []int{7, 7, 7, 7, 7, 7, 7, 7, 7}}}, Reels: []cut.Reel{{Units: 100, Joints: []int{4, 14, 24, 34, 44, 54, 64, 74, 84, 94}, Batch: "A", OpenCost: 9.45}},
		MaxPieces: 1, MinPiece: 1, JointsAllowed: true, Keep: 7, Costs: cut.Costs{Splice: 3.78, Joint: 0.378, Scrap: 0.189}}
	q, err := cut.Solve(j)
	if err != nil || math.Abs(q.Cost-p.Cost) > 1e-9 {
		t.Errorf("%.3f here, %.3f there, %v", p.Cost, q.Cost, err)
	}
}

// What every prediction of a lamp pays for its list: the plan of the lamp and
// of the next one, the first joint unknown.
func BenchmarkFit(b *testing.B) {
	l := bench()
	for b.Loop() {
		if _, err := (Stock{}).Fit(l, set()); err != nil {
			b.Fatal(err)
		}
	}
}

// The largest tray of the catalogue filled with short units.
func BenchmarkFitLarge(b *testing.B) {
	l := bench()
	l.Spec.Rows, l.Spec.Units, l.Strip.Cut = 18, 13, 0.0417
	for b.Loop() {
		if _, err := (Stock{}).Fit(l, set()); err != nil {
			b.Fatal(err)
		}
	}
}

// What is left of one reel is of one batch, though nobody wrote it down: two
// rests of it serve one lamp together.
func TestRestsOfOneReelGoTogether(t *testing.T) {
	l := bench()
	l.Spec.Units = 5 // 45 units of 100; the worst first joint leaves 11 and 44
	o, err := Stock{}.Fit(l, set())
	if err != nil {
		t.Fatal(err)
	}
	if o.Plan.New != 1 || o.Next.New != 0 {
		t.Errorf("%d reels for the first lamp, %d for the next", o.Plan.New, o.Next.New)
	}
	rests := o.After.Reels
	if len(rests) < 2 || rests[0].Batch == "" || rests[0].Batch != rests[1].Batch {
		t.Errorf("%+v", rests)
	}
}
