package circuit

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// flatUnit draws 30 mA whatever the voltage: the even load of the closed forms.
var flatUnit = Unit{Kind: ConstantCurrent, VNom: 24, V0: 1, ROn: 1, ISet: 0.03, P: 8}

// Even load of i' A/m on rails of r Ω/m each, row length L: voltage lost at
// distance x is 2·r·i'·(L·x - x²/2) with plus and minus at the same end, and
// r·i'·(L²/2 + L·x - x²) with plus left and minus right (integrate the current
// along each rail).
func TestEvenLoadClosedForms(t *testing.T) {
	const n, cut, rail = 200, 0.01, 0.06
	iPerM, length := 0.03/cut, n*cut
	for _, opposite := range []bool{false, true} {
		minus := LeftMinus
		if opposite {
			minus = RightMinus
		}
		row := Row{RUnit: rail * cut}
		for range n {
			row.Units = append(row.Units, flatUnit)
		}
		net := Network{VOC: 24, Rows: []Row{row}, Feeds: []Feed{{PosAt: PadNode(0, LeftPlus), NegAt: PadNode(0, minus)}}}
		sol, err := Solve(&net)
		if err != nil {
			t.Fatal(err)
		}
		for k, v := range sol.Rows[0].First.V {
			x := (float64(k) + 0.5) * cut
			want := 2 * rail * iPerM * (length*x - x*x/2)
			if opposite {
				want = rail * iPerM * (length*length/2 + length*x - x*x)
			}
			// Lumping the load into units leaves r·i'·c²/4.
			if math.Abs(24-v-want) > 0.3*rail*iPerM*cut*cut+1e-6 {
				t.Fatalf("opposite %v unit %d: %.9f V lost, closed form %.9f V", opposite, k, 24-v, want)
			}
		}
	}
}

// The bus obeys the same forms with i' = row current over spacing; fed at both
// ends its middle loses a quarter of what a single feed's end does.
func TestBothEndsQuarter(t *testing.T) {
	const n = 101
	net := Network{VOC: 24, Buses: []Bus{{ID: "P"}, {ID: "N"}}}
	for i := range n {
		net.Rows = append(net.Rows, Row{Units: []Unit{flatUnit}, Taps: []Tap{{LeftPlus, BusNode(0, i), 0}, {LeftMinus, BusNode(1, i), 0}}})
		if i > 0 {
			net.Buses[0].RSeg, net.Buses[1].RSeg = append(net.Buses[0].RSeg, 0.001), append(net.Buses[1].RSeg, 0.001)
		}
	}
	net.Feeds = []Feed{{PosAt: BusNode(0, 0), NegAt: BusNode(1, 0)}}
	lost := func() float64 {
		sol, err := Solve(&net)
		if err != nil {
			t.Fatal(err)
		}
		low := 24.0
		for _, r := range sol.Rows {
			low = min(low, r.First.V[0])
		}
		return 24 - low
	}
	one := lost()
	net.Feeds = append(net.Feeds, Feed{PosAt: BusNode(0, n-1), NegAt: BusNode(1, n-1)})
	relative(t, "both ends over one end", lost()/one, 0.25, 0.02)
	relative(t, "one end", one, 2*0.001*0.03*(n-1)*n/2, 1e-6)
}

// Plus at the first row, minus at the last: the bus form with i' = row current
// over spacing, r·i'·(L²/2 + L·x − x²). Ends lose half of what the far end of a
// same-end bus does, the middle three quarters, and the spread is a quarter.
func TestReverseReturnBus(t *testing.T) {
	const n, seg, amp = 101, 0.001, 0.03
	bus := func(minusAt int) (v []float64) {
		net := Network{VOC: 24, Buses: []Bus{{ID: "P"}, {ID: "N"}}}
		for i := range n {
			net.Rows = append(net.Rows, Row{Units: []Unit{flatUnit}, Taps: []Tap{{LeftPlus, BusNode(0, i), 0}, {LeftMinus, BusNode(1, i), 0}}})
			if i > 0 {
				net.Buses[0].RSeg, net.Buses[1].RSeg = append(net.Buses[0].RSeg, seg), append(net.Buses[1].RSeg, seg)
			}
		}
		net.Feeds = []Feed{{PosAt: BusNode(0, 0), NegAt: BusNode(1, minusAt)}}
		sol, err := Solve(&net)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range sol.Rows {
			v = append(v, 24-r.First.V[0])
		}
		return v
	}
	same, reverse := bus(0), bus(n-1)
	far := same[n-1]
	relative(t, "far end of a same-end bus", far, 2*seg*amp*(n-1)*n/2, 1e-6)
	relative(t, "ends", reverse[0]/far, 0.5, 0.02)
	relative(t, "other end", reverse[n-1]/far, 0.5, 0.02)
	relative(t, "middle", reverse[n/2]/far, 0.75, 0.02)
	relative(t, "spread", (reverse[n/2]-reverse[0])/far, 0.25, 0.02)
}

// Linear ladder in closed form: cosh θ = 1 + R·g/2, V_k - V0 = A·cosh((N-½-k)θ).
// First unit 29.97339 mA, last 29.94129 mA, sum 299.5306 mA (case C01).
func TestLadderClosedForm(t *testing.T) {
	const n, rUnit, rIn = 10, 0.003096443965517241, 0.02
	g, r := 1.0/260, 2*rUnit
	th := math.Acosh(1 + r*g/2)
	a := (24 - 16.2) / (math.Cosh((n-0.5)*th) + (rIn+r/2)*g*math.Sinh(n*th)/(2*math.Sinh(th/2)))
	row := Row{RUnit: rUnit}
	for range n {
		row.Units = append(row.Units, pwlUnit)
	}
	sol, err := Solve(&Network{VOC: 24, Rows: []Row{row}, Feeds: []Feed{{PosAt: PadNode(0, LeftPlus), NegAt: PadNode(0, LeftMinus), RPos: 0.01, RNeg: 0.01}}})
	if err != nil {
		t.Fatal(err)
	}
	for k, i := range sol.Rows[0].First.I {
		relative(t, "unit current", i, g*a*math.Cosh((n-0.5-float64(k))*th), 1e-12)
	}
	relative(t, "sum", sol.SupplyCurrent, 0.2995306, 1e-6)
}

// A regulated strip so long and a lead so thin that most units fall out of
// regulation: plain Newton started at the supply's voltage cycles here.
func TestOutOfRegulationConverges(t *testing.T) {
	for _, rows := range []int{1, 4, 12} {
		for _, lead := range []float64{0.1, 0.5, 2, 10} {
			l := tray(rows, 100, ccUnit, FeedFirst)
			l.RailR = 0.25
			l.RInt = lead
			sol, err := l.Solve()
			if err != nil {
				t.Fatalf("%d rows, %g Ω: %v", rows, lead, err)
			}
			if sol.Rounds > 60 {
				t.Errorf("%d rows, %g Ω: %d rounds", rows, lead, sol.Rounds)
			}
			balance(t, sol)
			if sol.MinOverMax > 0.999 {
				t.Errorf("%d rows, %g Ω: still in regulation", rows, lead)
			}
		}
	}
}

type failer interface {
	Helper()
	Errorf(string, ...any)
}

// balance: what the source gives is what units and copper take.
func balance(t failer, s *Solution) {
	t.Helper()
	taken := s.UnitPower + s.Loss.Lamp() + s.Loss.Supply
	// 1e-7 W: the leak of 1e-12 S at each of a hundred nodes of cut-off parts.
	if !(math.Abs(s.SupplyPower-taken) <= 1e-6*math.Abs(s.SupplyPower)+1e-7) {
		t.Errorf("source gives %.12g W, units and copper take %.12g W", s.SupplyPower, taken)
	}
}

func finite(t failer, s *Solution) {
	t.Helper()
	xs := []float64{s.SupplyCurrent, s.SupplyV, s.Min, s.Max, s.Mean, s.Spread, s.CV, s.UnitPower, s.CopperEfficiency, s.Loss.Lamp()}
	for _, r := range s.Rows {
		xs = append(append(append(append(xs, r.First.V...), r.First.I...), r.Second.V...), r.Second.I...)
	}
	for _, b := range append(append(s.Segments, s.Taps...), s.Jumpers) {
		xs = append(xs, b...)
	}
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("a result is %g", x)
			return
		}
	}
}

// drawNetwork is any network the description allows, faults and all.
func drawNetwork(t *rapid.T) Network {
	ohm := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-4, 0.3))
	rows := rapid.IntRange(1, 6).Draw(t, "rows")
	n := Network{VOC: rapid.Float64Range(5, 30).Draw(t, "v"), RInt: ohm.Draw(t, "r_int"), Buses: []Bus{{ID: "A"}, {ID: "B"}}}
	for b := range n.Buses {
		for range rows - 1 {
			r := ohm.Draw(t, "seg")
			if rapid.IntRange(0, 15).Draw(t, "broken") == 0 {
				r = math.Inf(1)
			}
			n.Buses[b].RSeg = append(n.Buses[b].RSeg, r)
		}
	}
	for i := range rows {
		row := Row{RUnit: ohm.Draw(t, "r_unit"), Reversed: rapid.IntRange(0, 9).Draw(t, "reversed") == 0}
		u := rapid.SampledFrom(testUnits).Draw(t, "unit")
		for range rapid.IntRange(1, 6).Draw(t, "units") {
			row.Units = append(row.Units, u)
			if rapid.IntRange(0, 9).Draw(t, "other") == 0 {
				u = rapid.SampledFrom(testUnits).Draw(t, "unit")
			}
		}
		if rapid.IntRange(0, 3).Draw(t, "second") == 0 {
			for range row.Units {
				row.Second = append(row.Second, u)
			}
		}
		if rapid.IntRange(0, 5).Draw(t, "break") == 0 {
			row.Breaks = []Break{{Unit: rapid.IntRange(0, len(row.Units)-1).Draw(t, "after"), Rail: rapid.IntRange(0, 1).Draw(t, "rail")}}
		}
		ends := []Pad{LeftPlus, LeftMinus, RightPlus, RightMinus}
		if row.Second != nil {
			ends = append(ends, LeftMinus2)
		}
		for _, p := range ends {
			if rapid.IntRange(0, 2).Draw(t, "tapped") > 0 {
				b := 1
				if p == LeftPlus || p == RightPlus {
					b = 0
				}
				row.Taps = append(row.Taps, Tap{End: p, Bus: BusNode(b, i), R: ohm.Draw(t, "tap")})
			}
		}
		n.Rows = append(n.Rows, row)
	}
	for range rapid.IntRange(1, 2).Draw(t, "feeds") {
		n.Feeds = append(n.Feeds, Feed{
			PosAt: BusNode(0, rapid.IntRange(0, rows-1).Draw(t, "pos")), NegAt: BusNode(1, rapid.IntRange(0, rows-1).Draw(t, "neg")),
			RPos: rapid.Float64Range(1e-3, 0.3).Draw(t, "r_pos"), RNeg: ohm.Draw(t, "r_neg"),
		})
	}
	if rows > 1 && rapid.Bool().Draw(t, "jump") {
		n.Jumpers = append(n.Jumpers, Jumper{A: PadNode(0, RightPlus), B: PadNode(rows-1, RightPlus), R: ohm.Draw(t, "jumper")})
	}
	return n
}

// Any network: solved, energy kept, no number that is none, cut-off units zero.
func TestRandomNetworks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawNetwork(t)
		s, err := Solve(&n)
		if err != nil {
			t.Fatal(err)
		}
		finite(t, s)
		balance(t, s)
		for i, r := range s.Rows {
			for _, u := range []Units{r.First, r.Second} {
				for k := range u.I {
					if u.State[k] == Open && (u.I[k] != 0 || u.V[k] != 0) {
						t.Fatalf("row %d unit %d is cut off and shows %g A", i, k, u.I[k])
					}
				}
			}
		}
	})
}

// Mirroring left and right, or the order of the rows, changes nothing else.
func TestSymmetry(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(testUnits).Draw(t, "unit")
		units := rapid.IntRange(1, 10).Draw(t, "units")
		rows := rapid.IntRange(1, 6).Draw(t, "rows")
		l := tray(rows, units, u, FeedOpposite)
		l.LeadLength = 0
		n, err := l.Network()
		if err != nil {
			t.Fatal(err)
		}
		s, err := Solve(n)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range s.Rows { // plus left, minus right: each row is its own mirror image
			for k := range units {
				if math.Abs(r.First.I[k]-r.First.I[units-1-k]) > 1e-9*r.First.I[k] {
					t.Fatalf("unit %d draws %g A, its mirror image %g A", k, r.First.I[k], r.First.I[units-1-k])
				}
			}
		}
		l.Feed = FeedReverseReturn
		s, err = l.Solve()
		if err != nil {
			t.Fatal(err)
		}
		for i := range rows { // every row has the same bus in its path, turned round
			a, b := s.Rows[i].Current, s.Rows[rows-1-i].Current
			if math.Abs(a-b) > 1e-9*a {
				t.Fatalf("row %d draws %g A, row %d %g A", i, a, rows-1-i, b)
			}
		}
	})
}

// A part that is cut off is open, not an error and not a number.
func TestCutOff(t *testing.T) {
	l := tray(4, 6, diodeUnit, FeedFirst)
	n, err := l.Network()
	if err != nil {
		t.Fatal(err)
	}
	n.Rows[1].Breaks = []Break{{Unit: 2, Rail: 0}}
	n.Buses[1].RSeg[2] = math.Inf(1)
	n.Rows[2].Reversed = true
	s, err := Solve(n)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"lit lit lit lit lit lit", "lit lit lit open open open", "dark dark dark dark dark dark", "open open open open open open"} {
		var got []string
		for _, st := range s.Rows[i].First.State {
			got = append(got, st.String())
		}
		if strings.Join(got, " ") != want {
			t.Errorf("row %d: %s, want %s", i, strings.Join(got, " "), want)
		}
	}
	if list := strings.Join(s.NotConnected, " "); list != "NL_3 r1R+ r3L- r3R-" {
		t.Errorf("not connected: %s", list)
	}
	if s.Lit != 9 || s.Units != 24 {
		t.Errorf("%d of %d lit", s.Lit, s.Units)
	}
}

// Currents meet at every node: taps sum to the leads, bus segments to the
// rows behind them, also where resistances are zero.
func TestCurrentsMeet(t *testing.T) {
	for _, tap := range []float64{0, 0.002} {
		l := tray(5, 7, diodeUnit, FeedFirst)
		l.RTap = tap
		s, err := l.Solve()
		if err != nil {
			t.Fatal(err)
		}
		behind := 0.0
		for i := 4; i > 0; i-- {
			behind += s.Rows[i].Current
			relative(t, "plus bus segment", s.Segments[0][i-1], behind, 1e-9)
			relative(t, "minus bus segment", -s.Segments[1][i-1], behind, 1e-9)
		}
		for i, r := range s.Rows {
			relative(t, "plus tap", -s.Taps[i][0], r.Current, 1e-9)
			relative(t, "minus tap", s.Taps[i][1], r.Current, 1e-9)
		}
		relative(t, "lead", s.Leads[0][0], s.SupplyCurrent, 1e-9)
	}
}

func TestRefusals(t *testing.T) {
	good := func() Network { return opposite(2, 2, pwlUnit) }
	for name, spoil := range map[string]func(*Network){
		"voltage":     func(n *Network) { n.VOC = math.NaN() },
		"resistance":  func(n *Network) { n.Feeds[0].RPos = -1 },
		"rail":        func(n *Network) { n.Rows[0].RUnit = math.NaN() },
		"bus node":    func(n *Network) { n.Feeds[0].PosAt = BusNode(7, 0) },
		"tap":         func(n *Network) { n.Rows[1].Taps[0].End = LeftMinus2 },
		"no units":    func(n *Network) { n.Rows[1].Units = nil },
		"unit":        func(n *Network) { n.Rows[1].Units[1].R = 0 },
		"break":       func(n *Network) { n.Rows[0].Breaks = []Break{{Unit: 5}} },
		"second":      func(n *Network) { n.Rows[0].Second = []Unit{pwlUnit} },
		"joint":       func(n *Network) { n.Rows[0].Joints = []Joint{{Before: 9}} },
		"jumper node": func(n *Network) { n.Jumpers = []Jumper{{}} },
	} {
		n := good()
		spoil(&n)
		if _, err := Solve(&n); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	n := good()
	n.RInt = 0
	n.Jumpers = []Jumper{{A: Terminal, B: Ground}}
	if _, err := Solve(&n); !errors.Is(err, ErrShort) {
		t.Errorf("a dead short gives %v", err)
	}
}

// Bytes of any kind are read or refused, never a crash, and what is read is
// solved or refused.
func FuzzNetworkJSON(f *testing.F) {
	f.Add([]byte(`{"supply":{"v_oc":24,"r_int":0.1},"feeds":[{"r_pos":0.01,"r_neg":0.01,"pos_at":"A_0","neg_at":"B_0"}],` +
		`"buses":[{"id":"A","r_seg":[0.1,null]},{"id":"B","r_seg":[0.1,0]}],"rows":[{"units":3,"r_unit":0.003,"joint_r":{"1":0.1},` +
		`"reversed_units":true,"open_after":{"unit":1,"rail":"+"},"unit":{"kind":"pwl","v0":16,"r":260,"v_nom":24},` +
		`"taps":[{"end":"L+","bus":"A_1","r":0},{"end":"L-","bus":"B_1","r":0.1}]}],"jumpers":[["r0L+","r0R+",0.1]]}`))
	f.Add([]byte(`{"rows":[{"units":-1}]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		var n Network
		if json.Unmarshal(b, &n) != nil {
			return
		}
		total := 0
		for _, r := range n.Rows {
			total += len(r.Units)
		}
		if total > 2000 {
			return
		}
		s, err := Solve(&n)
		if err != nil {
			return
		}
		finite(t, s)
	})
}
