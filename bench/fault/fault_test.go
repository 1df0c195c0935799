package fault

import (
	"math"
	"strings"
	"testing"

	"dawnsmith/lamp/circuit"
)

// eight rows of seven units, 24 V, fed at the first row.
func layout(t *testing.T) circuit.Layout {
	t.Helper()
	u, err := circuit.FromDatasheet(circuit.Datasheet{Kind: circuit.SeriesDiode, VNom: 24, PowerPerM: 14.4, CutLength: 0.05, Series: 6, Parallel: 1})
	if err != nil {
		t.Fatal(err)
	}
	l := circuit.Layout{VOC: 24, RInt: 0.05, CutLength: 0.05, RailR: circuit.RailResistance(2, 0.004, 300), Channels: []circuit.Channel{{Unit: u, Duty: 1}},
		Bus: circuit.AWG(20), Lead: circuit.AWG(20), LeadLength: 1.5, Feed: circuit.FeedFirst, RContact: 0.01, Pitch: []float64{0.035}}
	for range 8 {
		l.RowUnits = append(l.RowUnits, 7)
	}
	return l
}

// observe plays a careful look at a lamp with a fault: every row, and the
// volts at both ends of each.
func observe(t *testing.T, l circuit.Layout, tr trial, volts bool) Seen {
	t.Helper()
	n, err := l.Network()
	if err != nil {
		t.Fatal(err)
	}
	if tr.change != nil {
		tr.change(n)
	}
	s, err := circuit.Solve(n)
	if err != nil {
		t.Fatal(err)
	}
	seen := Seen{Blinking: tr.blinks, SupplyCurrent: &s.SupplyCurrent, Along: falls(s, true), Across: falls(s, false)}
	if volts {
		v := entryVolts(&l, s)
		seen.SupplyVolts = &v
	}
	for i, row := range s.Rows {
		r := RowSeen{Row: i + 1}
		lit := litUnits(row)
		for k := range lit {
			if !lit[k] {
				if r.DarkFrom == 0 {
					r.DarkFrom = k + 1
				}
			}
		}
		if r.DarkFrom > 0 && lit[len(lit)-1] {
			r.DarkOnly, r.DarkFrom = r.DarkFrom, 0
		}
		if volts {
			near, far := unitVolts(row, 0), unitVolts(row, len(lit)-1)
			r.Near, r.Far = &near, &far
		}
		seen.Rows = append(seen.Rows, r)
	}
	return seen
}

// Each fault, looked at carefully, is found: the fault itself or one that
// shows exactly the same leads the list or shares the lead.
func TestEveryFaultIsFound(t *testing.T) {
	l := layout(t)
	count, first := 0, 0
	seenKey := map[string]int{}
	for i, tr := range trials(&l) {
		if tr.key == "row.short" {
			continue // dims everything: its own test
		}
		seenKey[tr.key]++
		if seenKey[tr.key] > 3 && i%9 != 0 {
			continue // three of each kind, then every ninth
		}
		got, err := Find(l, observe(t, l, tr, true))
		if err != nil {
			t.Fatalf("%s: %v", tr.what, err)
		}
		count++
		if got[0].Key == tr.key {
			first++
			continue
		}
		found := false
		for _, s := range got[:3] {
			found = found || s.Key == tr.key && s.Fits
		}
		if !found {
			t.Errorf("%s: found instead %s (%.2f), %s (%.2f)", tr.what, got[0].What, got[0].Weight, got[1].What, got[1].Weight)
		}
	}
	t.Logf("%d of %d faults lead their list", first, count)
}

func TestWeightsAreShares(t *testing.T) {
	l := layout(t)
	got, err := Find(l, Seen{Rows: []RowSeen{{Row: 3, DarkFrom: 1}}, OthersLit: true})
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, s := range got {
		sum += s.Weight
		if s.Weight < 0 || math.IsNaN(s.Weight) || s.What == "" || s.Next == "" || s.Mend == "" {
			t.Errorf("suspect %+v", s)
		}
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("weights add up to %v", sum)
	}
	// A single dark row: turned round, or a tap of that very row.
	for _, s := range got[:3] {
		if !strings.Contains(s.What, "row 3") {
			t.Errorf("row 3 is dark, suspected is %q", s.What)
		}
	}
}

func TestShortIsSuspected(t *testing.T) {
	l := layout(t)
	amps := 9.0
	volts := 6.0
	got, err := Find(l, Seen{AllDark: true, SupplyCurrent: &amps, SupplyVolts: &volts})
	if err != nil {
		t.Fatal(err)
	}
	short := 0.0
	for _, s := range got {
		if s.Key == "row.short" {
			short += s.Weight
		}
	}
	if short < 0.8 {
		t.Errorf("9 A and a dark lamp: short suspected with %.2f only; first is %q", short, got[0].What)
	}
}

func TestRefuses(t *testing.T) {
	l := layout(t)
	bad := math.NaN()
	for _, s := range []Seen{{}, {Rows: []RowSeen{{Row: 9}}}, {Rows: []RowSeen{{Row: 1, DarkFrom: 8}}}, {SupplyCurrent: &bad}} {
		if _, err := Find(l, s); err == nil {
			t.Errorf("%+v passed", s)
		}
	}
}

// A row that is dark from a unit on, the rest lit as ever: its rail is open
// just before, and the volts at its free end say so.
func TestDarkFromAUnitOn(t *testing.T) {
	found, err := Find(layout(t), Seen{OthersLit: true, Rows: []RowSeen{{Row: 3, DarkFrom: 4}}})
	if err != nil {
		t.Fatal(err)
	}
	if found[0].Key != "row.rail" || !strings.Contains(found[0].What, "row 3") || !strings.Contains(found[0].What, "unit 3") {
		t.Errorf("first is %+v", found[0])
	}
}
