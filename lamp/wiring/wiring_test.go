package wiring

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/price"
	"dawnsmith/quantity"

	"pgregory.net/rapid"
)

var feeds = []string{"first-row", "middle-row", "reverse-return", "opposite-ends", "opposite-ends-reverse", "both-ends", "serpentine"}

// bench is a lamp of nine rows of 7 × 50 mm in a tray of 380 × 280 mm.
func bench(feed string, channels ...string) lamp.Lamp {
	l := lamp.Lamp{Spec: lamp.Spec{Name: "bench", Rows: 9, Units: 7, Feed: feed, LeadLength: 1.5, WiredMargin: 0.012, FreeMargin: 0.004}}
	l.Tray = part.Tray{Length: 0.38, Width: 0.28, Depth: 0.05}
	l.Strip = part.Strip{Width: 0.010, Cut: 0.05, Reel: 5, Joint: 0.5}
	l.Strip.ID, l.Strip.Pack, l.Strip.Price = "strip", 5, part.Money{Cents: 1000, Currency: "EUR"}
	if len(channels) == 0 {
		channels = []string{"white"}
	}
	for _, c := range channels {
		l.Strip.Channels = append(l.Strip.Channels, part.Channel{Name: c})
	}
	l.Bus = part.Wire{Area: 0.518e-6, Diameter: 0.0018, Item: part.Item{ID: "awg-20"}}
	l.Lead = l.Bus
	l.Connector = part.Connector{Item: part.Item{ID: "socket"}, Poles: 1 + len(channels)}
	l.Supply = part.Supply{Outlet: "socket"}
	l.Fuse = &part.Fuse{}
	return l
}

// anyLamp draws a lamp that Build would accept.
func anyLamp(t *rapid.T) lamp.Lamp {
	ch := []string{"white"}
	if rapid.Bool().Draw(t, "two channels") {
		ch = []string{"warm", "cool"}
	}
	l := bench(rapid.SampledFrom(feeds).Draw(t, "feed"), ch...)
	l.Tray.Length = rapid.Float64Range(0.2, 1.2).Draw(t, "length")
	l.Tray.Width = rapid.Float64Range(0.1, 1).Draw(t, "width") * l.Tray.Length
	if rapid.Bool().Draw(t, "across") {
		l.Spec.Along = lamp.AlongWidth
	}
	l.Strip.Width = rapid.Float64Range(0.008, 0.014).Draw(t, "strip width")
	l.Strip.Cut = rapid.Float64Range(0.015, 0.05).Draw(t, "cut")
	l.Strip.Reel = rapid.Float64Range(2, 10).Draw(t, "reel")
	l.Strip.Joint = rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t, "joint")
	l.WiredMargin = rapid.Float64Range(0.004, 0.02).Draw(t, "wired margin")
	l.FreeMargin = rapid.Float64Range(0.002, 0.02).Draw(t, "free margin")
	if l.UnitsThatFit() < 1 || l.RowsThatFit() < 1 {
		t.Skip("too small")
	}
	l.Spec.Units = rapid.IntRange(1, l.UnitsThatFit()).Draw(t, "units")
	l.Spec.Rows = rapid.IntRange(1, min(20, l.RowsThatFit())).Draw(t, "rows")
	if l.RowLength() > l.Strip.Reel {
		t.Skip("row longer than the reel")
	}
	if rapid.Bool().Draw(t, "no fuse") {
		l.Fuse = nil
	}
	l.Strip.LEDs = math.Round(rapid.Float64Range(1, 4).Draw(t, "LEDs a unit")) / l.Strip.Cut
	if l.Spec.Staggered = rapid.Bool().Draw(t, "staggered"); l.Spec.Units > l.UnitsThatFit() {
		l.Spec.Staggered = false
	}
	if len(ch) == 1 && l.Spec.Rows > 1 && l.Feed != "serpentine" && rapid.Bool().Draw(t, "by turns") {
		byTurns(t, &l)
	}
	return l
}

// byTurns makes every second row of another strip.
func byTurns(t interface{ Fatal(...any) }, l *lamp.Lamp) {
	l.Strip.Channels = []part.Channel{{Name: "white", CCT: quantity.Exact(2700)}}
	second := l.Strip
	second.ID, second.Channels = "second", []part.Channel{{Name: "white", CCT: quantity.Exact(6500)}}
	if err := l.Interleave(second); err != nil {
		t.Fatal(err)
	}
}

// nets joins everything that conducts and names the pieces by a root.
type nets map[string]string

func (n nets) root(a string) string {
	for n[a] != "" && n[a] != a {
		a = n[a]
	}
	return a
}
func (n nets) join(a, b string) {
	if ra, rb := n.root(a), n.root(b); ra != rb {
		n[ra] = rb
	}
}

func at(p Point) string { return fmt.Sprintf("%.5f/%.5f", p.X, p.Y) }

// connect builds the nets of a plan from its geometry alone: wires conduct from
// end to end and touch what lies at their bared places.
func connect(p Plan) nets {
	n := nets{}
	for _, r := range p.Rows {
		for _, pad := range r.Pads { // the strip's rails
			n.join(fmt.Sprintf("rail %d %d", pad.Row, pad.Conductor), "pad "+at(pad.At))
		}
	}
	for _, b := range p.Buses {
		for _, w := range b.Windows {
			n.join(b.Code, "pad "+at(w.At))
		}
	}
	for _, k := range p.Links {
		// Links of one code are several wires.
		n.join(fmt.Sprintf("%s from %d", k.Code, k.From), "pad "+at(k.A))
		n.join(fmt.Sprintf("%s from %d", k.Code, k.From), "pad "+at(k.B))
	}
	for _, r := range p.Runs {
		end := r.Path[len(r.Path)-1]
		n.join(r.Code, "pad "+at(end))
		for _, b := range p.Buses {
			if b.Conductor == r.Conductor && math.Abs(b.X-end.X) < 1e-9 {
				n.join(r.Code, b.Code)
			}
		}
		if r.Code[0] == 'X' {
			n.join(r.Code, "L"+p.Conductors[r.Conductor].Mark)
		}
	}
	return n
}

// Every rail of every row hangs on the lead of its own conductor and on no
// other: no row is dark, reversed or shorted, whatever the feed.
func TestEveryRowIsFedAndNothingIsShorted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLamp(t)
		p := Of(l, Options{})
		n := connect(p)
		for c := range p.Conductors {
			lead := n.root("L" + p.Conductors[c].Mark)
			for i := range p.Rows {
				if !l.HasPad(i, c) {
					if len(p.Rows[i].Pads) != 4 {
						t.Fatalf("%s has %d pads", RowName(i), len(p.Rows[i].Pads))
					}
					continue
				}
				if n.root(fmt.Sprintf("rail %d %d", i, c)) != lead {
					t.Fatalf("%s: the %s rail of %s is not joined to its lead", l.Feed, p.Conductors[c].Name, RowName(i))
				}
			}
			for d := range c {
				if n.root("L"+p.Conductors[d].Mark) == lead {
					t.Fatalf("%s: %s and %s are shorted", l.Feed, p.Conductors[c].Name, p.Conductors[d].Name)
				}
			}
		}
	})
}

func TestPlanAgreesWithLampAndPrice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLamp(t)
		p := Of(l, Options{})
		if len(p.Joints) != l.Joints() {
			t.Fatalf("%s: %d joints drawn, the parts list counts %d", l.Feed, len(p.Joints), l.Joints())
		}
		var bus, lead float64
		for _, w := range p.Wires {
			switch w.Role {
			case lamp.BusWire, lamp.LinkWire:
				bus += w.Length * float64(w.Count)
			default:
				lead += w.Length * float64(w.Count)
			}
		}
		if math.Abs(bus-l.BusTotal()) > 1e-9 || math.Abs(lead-l.LeadTotal()) > 1e-9 {
			t.Fatalf("%s: cut list has %.4f m of bus wire and %.4f m of lead wire, the parts list %.4f m and %.4f m", l.Feed, bus, lead, l.BusTotal(), l.LeadTotal())
		}
		bill, err := price.List(l, part.Set{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		l.Strip.Pack = l.Strip.Reel
		for _, n := range bill.Lines {
			reels := 0
			for _, r := range p.Reels {
				if n.Kind == "strip" && r.Strip == n.ID {
					reels++
				}
			}
			if n.Kind == "strip" && math.Ceil(float64(reels)*l.Strip.Reel/n.Pack-1e-9) != float64(n.FirstPacks) {
				t.Fatalf("cut from %d reels of %.2f m, bought %d packs of %.2f m", reels, l.Strip.Reel, n.FirstPacks, n.Pack)
			}
		}
		units := 0
		for _, r := range p.Reels {
			for i, c := range r.Pieces {
				units += c.To - c.From
				if c.From < 0 || c.To > r.Units || i > 0 && c.From < r.Pieces[i-1].To {
					t.Fatalf("piece %+v does not fit its reel of %d units", c, r.Units)
				}
			}
		}
		if units != l.Spec.Rows*l.Spec.Units {
			t.Fatalf("%d units cut, the lamp has %d", units, l.Spec.Rows*l.Spec.Units)
		}
	})
}

func TestBusesReachTheirPads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLamp(t)
		p := Of(l, Options{})
		for _, b := range p.Buses {
			w := b.Windows
			if tail := b.Length - w[len(w)-1].Centre; math.Abs(tail-lamp.BusTail) > 1e-9 {
				t.Fatalf("%s: bus %s goes on %.4f m beyond its last window; want %.4f m", l.Feed, b.Code, tail, lamp.BusTail)
			}
			for i := 1; i < len(w); i++ {
				along := w[i].Centre - w[i-1].Centre
				if gap := w[i].At.Y - w[i-1].At.Y; math.Abs(along-gap-l.GapSlack()*float64(w[i].Row-w[i-1].Row)) > 1e-9 {
					t.Fatalf("%s: %.4f m of wire for %.4f m between pads", b.Code, along, gap)
				}
			}
			if b.LeadIn && math.Abs(w[0].Centre-w[0].At.Y-lamp.WireWork-l.GapSlack()*float64(w[0].Row)) > 1e-9 {
				t.Fatalf("%s: first window %.4f m from the start for a pad %.4f m from the wall", b.Code, w[0].Centre, w[0].At.Y)
			}
			// Neighbouring windows on one bus do not run together, and a window
			// stays off the middle of the next pad.
			if w[0].Length > padSpacing(l) && padSpacing(l) > shortestWindow {
				t.Fatalf("window %.4f m reaches the next pad at %.4f m", w[0].Length, padSpacing(l))
			}
		}
		for _, r := range p.Runs {
			way := 0.0
			for i := 1; i < len(r.Path); i++ {
				way += math.Abs(r.Path[i].X-r.Path[i-1].X) + math.Abs(r.Path[i].Y-r.Path[i-1].Y)
			}
			// A lead that ends at the entry needs only to reach over the few
			// millimetres between the buses; its bus brings the working length.
			if r.Length > 0 && r.Length < way-0.016 || r.Length == 0 && way > 0.016 {
				t.Fatalf("%s: run %s is %.3f m long for a way of %.3f m", l.Feed, r.Code, r.Length, way)
			}
			if r.Length > way+2*lamp.WireWork+0.02 {
				t.Fatalf("%s: run %s is %.3f m long for a way of only %.3f m", l.Feed, r.Code, r.Length, way)
			}
		}
	})
}

// The electrical model's detour of the minus lead and the wire to cut must tell
// of the same way, up to what is added for handling.
func TestDetoursAgreeWithTheCircuit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLamp(t)
		adv := circuit.Layout{CutLength: l.Strip.Cut}
		for range l.Spec.Rows {
			adv.RowUnits = append(adv.RowUnits, l.Spec.Units)
		}
		adv.Pitch = []float64{l.RowPitch()}
		span, row := adv.Span(), adv.RowLength()
		want := map[string]float64{"reverse-return": span, "opposite-ends": row, "opposite-ends-reverse": span + row, "both-ends": row}[l.Feed]
		for _, w := range l.Wires() {
			got := w.Inside
			if w.Role == lamp.CrossWire {
				got = w.Length
			} else if w.Role != lamp.LeadWire || w.Conductor == 0 || want == 0 || l.Feed == "both-ends" {
				continue
			}
			// First row's distance from the wall, handling, and the buses' places.
			// Where strips take turns the circuit counts a bus to the last row, the
			// wire list to the last of its own.
			less := 0.0
			if l.Interleaved() {
				less = l.RowPitch()
			}
			if over := got - want; over < -less || over > l.RowAt(0)+2*lamp.WireWork+0.04 {
				t.Fatalf("%s: %.3f m of wire to cut where the circuit counts %.3f m", l.Feed, got, want)
			}
		}
	})
}

func TestTasksBuildOnEarlierOnes(t *testing.T) {
	for _, feed := range feeds {
		p := Of(bench(feed), Options{})
		var done []string
		for _, k := range p.Tasks {
			for _, a := range k.After {
				if !slices.Contains(done, a) {
					t.Errorf("%s: task %q builds on %q, which has not been done", feed, k.Key, a)
				}
			}
			if k.Minutes <= 0 {
				t.Errorf("%s: task %q takes no time", feed, k.Key)
			}
			done = append(done, k.Key)
		}
		for i, j := range p.Joints {
			if j.Number != i+1 {
				t.Errorf("%s: joint %d is numbered %d", feed, i+1, j.Number)
			}
		}
	}
}

func TestFindings(t *testing.T) {
	with := func(feed string, change func(*lamp.Lamp)) lamp.Lamp {
		l := bench(feed)
		change(&l)
		return l
	}
	for _, c := range []struct {
		key  string
		l    lamp.Lamp
		want bool
	}{
		{"wiring.feed_unknown", bench("anyhow"), true},
		{"wiring.feed_unknown", bench("first-row"), false},
		{"wiring.wired_margin", with("first-row", func(l *lamp.Lamp) { l.Tray.Length, l.WiredMargin = 0.36, 0.005 }), true},
		{"wiring.wired_margin", bench("first-row"), false},
		{"wiring.far_margin", with("opposite-ends", func(l *lamp.Lamp) { l.Tray.Length = 0.3665 }), true},
		{"wiring.far_margin", with("first-row", func(l *lamp.Lamp) { l.Tray.Length = 0.3665 }), false},
		{"wiring.bus_thick", with("first-row", func(l *lamp.Lamp) { l.Bus.Area = 6e-6 }), true},
		{"wiring.bus_thick", bench("first-row"), false},
		{"wiring.pads_close", with("first-row", func(l *lamp.Lamp) { l.Strip.Width = 0.005 }), true},
		{"wiring.pads_close", bench("first-row"), false},
		{"wiring.cut_on_joint", with("first-row", func(l *lamp.Lamp) { l.Strip.Joint = 0.35 }), true},
		{"wiring.cut_on_joint", with("first-row", func(l *lamp.Lamp) { l.Strip.Joint = 0 }), false},
		{"wiring.joint_in_row", bench("first-row"), true},
		{"wiring.joint_in_row", with("first-row", func(l *lamp.Lamp) { l.Strip.Joint = 0 }), false},
		{"wiring.conducting_lining", with("first-row", func(l *lamp.Lamp) { l.Lining, l.Spec.LineFloor = &part.Lining{Conducting: true}, true }), true},
		{"wiring.conducting_lining", with("first-row", func(l *lamp.Lamp) { l.Lining = &part.Lining{Conducting: true} }), false},
		{"wiring.outlet", with("first-row", func(l *lamp.Lamp) { l.Supply.Outlet = "terminal" }), true},
		{"wiring.outlet", bench("first-row"), false},
		{"wiring.channels_together", bench("first-row", "warm", "cool"), true},
		{"wiring.channels_together", bench("first-row"), false},
		{"wiring.serpentine", bench("serpentine"), true},
		{"wiring.serpentine", bench("first-row"), false},
	} {
		fs := Of(c.l, Options{}).Findings
		if got := finding.Has(fs, c.key); got != c.want {
			t.Errorf("%s (feed %s): found %v, want %v: %v", c.key, c.l.Feed, got, c.want, fs)
		}
	}
}

// A mend that is offered as data clears its finding.
func TestMarginMendClears(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLamp(t)
		for _, f := range Of(l, Options{}).Findings {
			if f.Key != "wiring.wired_margin" && f.Key != "wiring.far_margin" {
				continue
			}
			m := l
			for _, c := range f.Changes {
				var x float64
				switch c.Path {
				case "wired_margin":
					fmt.Sscanf(c.Value, "\"%f mm\"", &x)
					m.WiredMargin = x / 1000
				case "free_margin":
					fmt.Sscanf(c.Value, "\"%f mm\"", &x)
					m.FreeMargin = x / 1000
				case "units_per_row":
					fmt.Sscan(c.Value, &m.Spec.Units)
				}
			}
			if m.Spec.Units < 1 {
				continue // the tray is too short for it: another feed is the way
			}
			if finding.Has(Of(m, Options{}).Findings, f.Key) {
				t.Fatalf("%s is not cleared by %+v", f.Key, f.Changes)
			}
		}
	})
}

func ExampleOf() {
	p := Of(bench("first-row"), Options{})
	for _, w := range p.Wires {
		fmt.Printf("%s %s: %.0f mm\n", w.Code, w.Name, w.Length*1000)
	}
	fmt.Println(len(p.Joints), "joints; first:", p.Joints[0].What)
	fmt.Printf("windows of B1 at %.1f, %.1f … mm\n", p.Buses[0].Windows[0].Centre*1000, p.Buses[0].Windows[1].Centre*1000)
	// Output:
	// B1 plus bus, wired end: 321 mm
	// B2 minus bus, wired end: 326 mm
	// L+ plus conductor of the lead: 1500 mm
	// L− minus conductor of the lead: 1500 mm
	// 24 joints; first: B1 to the plus pad of row 1
	// windows of B1 at 43.1, 77.2 … mm
}

// A row of two pieces is bridged on every rail: wires, joints, tape and a note;
// a row of one piece has none of it.
func TestSplice(t *testing.T) {
	for _, channels := range [][]string{{"white"}, {"warm", "cool"}} {
		l := bench("first-row", channels...)
		l.Spec.Rows = 2
		plain := Of(l, Options{})
		w := Of(l, Options{Reels: []Reel{
			{Name: "a", Units: 10, Pieces: []Piece{{Row: 0, From: 0, To: 7}, {Row: 1, From: 7, To: 10}}},
			{Name: "b", Units: 4, Joints: []int{2}, Known: true, Pieces: []Piece{{Row: 1, Reel: 1, From: 0, To: 4}}}}})
		rails := 1 + len(channels)
		if w.Splices() != 1 || len(w.Joints)-len(plain.Joints) != 2*rails || len(w.Wires)-len(plain.Wires) != rails || len(w.Tape)-len(plain.Tape) != 1 {
			t.Errorf("%d splices, %d more joints, %d more wires, %d more patches", w.Splices(), len(w.Joints)-len(plain.Joints), len(w.Wires)-len(plain.Wires), len(w.Tape)-len(plain.Tape))
		}
		if !finding.Has(w.Findings, "wiring.splice") || finding.Has(plain.Findings, "wiring.splice") {
			t.Error("the note on splices stands where there is none, or is missing")
		}
		if len(w.Rows[1].Pieces) != 2 || len(w.Rows[1].Pieces[1].Joints) != 1 || w.Rows[1].Pieces[1].Joints[0] != 2 {
			t.Errorf("pieces of row 2: %+v", w.Rows[1].Pieces)
		}
		// Pieces that do not make up the rows are no plan.
		if bad := Of(l, Options{Reels: []Reel{{Units: 10, Pieces: []Piece{{Row: 0, To: 7}}}}}); len(bad.Rows[1].Pieces) != 1 || bad.Splices() != 0 {
			t.Error("a plan that leaves a row out was taken over")
		}
	}
}
