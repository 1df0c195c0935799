package circuit

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// tray is a plausible lamp: rows of 24 V strip on 20 AWG buses.
func tray(rows, units int, u Unit, feed Scheme) Layout {
	return Layout{
		VOC: u.VNom, RInt: 0.05,
		RowUnits: slices.Repeat([]int{units}, rows), Pitch: []float64{0.03}, CutLength: 0.05,
		RailR: RailResistance(2, 0.004, 293.15), Channels: []Channel{{Unit: u}},
		Feed: feed, Bus: AWG(20).Solid(), Lead: AWG(18).Solid(), LeadLength: 1.2, RTap: 0.001, RContact: 0.005,
	}
}

var testUnits = []Unit{pwlUnit, diodeUnit, ccUnit}

// The fast forms are the general solver's numbers by other routes.
func TestFastFormsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(testUnits).Draw(t, "unit")
		rows := rapid.IntRange(1, 10).Draw(t, "rows")
		l := tray(rows, 1, u, Scheme(rapid.IntRange(0, 4).Draw(t, "feed")))
		l.RowUnits = rapid.SliceOfN(rapid.IntRange(1, 14), rows, rows).Draw(t, "units")
		l.RInt = rapid.Float64Range(1e-3, 0.5).Draw(t, "r_int")
		l.RailR *= rapid.Float64Range(0, 8).Draw(t, "rail")
		l.JointR = 0.01
		l.Joints = make([][]int, rows)
		for i := range rows {
			if l.RowUnits[i] > 4 {
				l.Joints[i] = []int{0, 3}
			}
		}
		two := rapid.IntRange(0, 2).Draw(t, "channels")
		if two > 0 {
			l.Channels = append(l.Channels, Channel{Unit: rapid.SampledFrom(testUnits).Draw(t, "second")})
			l.Interleaved = two == 2 && rows > 1
			l.Channels[rapid.IntRange(0, 1).Draw(t, "which")].Off = rapid.IntRange(0, 3).Draw(t, "off") == 0
		}
		want, err := l.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if f, ok := l.Folded(); ok {
			s := NewFolded(10, 14)
			got, err := s.Solve(&f)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "folded current", got.Current, want.SupplyCurrent)
			near(t, "folded unit power", got.UnitPower, want.UnitPower)
			near(t, "folded dimmest", minLit(got), want.Min)
		}
		if len(l.Channels) == 2 {
			return
		}
		c, ok, err := l.Chain(NewRowTable)
		if !ok || err != nil {
			t.Fatal("no chain", err)
		}
		got, err := NewChain(10).Solve(&c)
		if err != nil {
			t.Fatal(err)
		}
		// The regulated law bends within a cell of the table: 1e-5 there.
		tol := 1e-7
		if u.Kind == ConstantCurrent {
			tol = 1e-5
		}
		within(t, "chain current", got.Current, want.SupplyCurrent, tol)
		within(t, "chain dimmest", got.Low, want.Min, tol)
		within(t, "chain brightest", got.High, want.Max, tol)
		within(t, "chain unit power", got.UnitPower, want.UnitPower, tol)
	})
}

func minLit(r FoldedResult) float64 {
	m := math.Inf(1)
	for c := range r.Min {
		if r.Lit[c] > 0 {
			m = min(m, r.Min[c])
		}
	}
	return m
}

func near(t *rapid.T, what string, got, want float64) {
	t.Helper()
	within(t, what, got, want, 1e-8)
}

func within(t *rapid.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s = %.12g, general solver %.12g (relative %.2g)", what, got, want, got/want-1)
	}
}

// 12 × 12 units drawn as one conductor: within 5 µs piecewise linear, within
// 60 µs as diodes.
func BenchmarkFolded12x12(b *testing.B) {
	for name, u := range map[string]Unit{"piecewise-within-5us": pwlUnit, "diode-within-60us": diodeUnit, "regulated": ccUnit} {
		for _, second := range []bool{false, true} {
			l := tray(12, 12, u, FeedFirst)
			title := name
			if second {
				l.Channels = append(l.Channels, Channel{Unit: u})
				title += "-two-channels"
			}
			b.Run(title, func(b *testing.B) {
				f, _ := l.Folded()
				s := NewFolded(12, 12)
				b.ReportAllocs()
				var r FoldedResult
				for b.Loop() {
					var err error
					if r, err = s.Solve(&f); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(r.Rounds), "rounds")
			})
		}
	}
}

// The tabulated lamp of 12 rows: within 1 µs.
func BenchmarkTabulated12RowsWithin1us(b *testing.B) {
	for _, feed := range []Scheme{FeedFirst, FeedReverseReturn} {
		b.Run(feed.String(), func(b *testing.B) {
			l := tray(12, 12, diodeUnit, feed)
			var one *RowTable
			c, _, err := l.Chain(func(n RowNeed) (*RowTable, error) {
				var err error
				if one == nil {
					one, err = NewRowTable(n)
				}
				return one, err
			})
			if err != nil {
				b.Fatal(err)
			}
			s := NewChain(12)
			b.ReportAllocs()
			var r ChainResult
			for b.Loop() {
				if r, err = s.Solve(&c); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(r.Rounds), "rounds")
		})
	}
}

func BenchmarkRowTable(b *testing.B) {
	for b.Loop() {
		if _, err := NewRowTable(RowNeed{Unit: diodeUnit, Units: 12, RUnit: 0.0031, Tap: 0.001}); err != nil {
			b.Fatal(err)
		}
	}
}
