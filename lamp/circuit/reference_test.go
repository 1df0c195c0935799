package circuit

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

type refCase struct {
	ID      string `json:"id"`
	Title   string `json:"title"`
	network Network
	Result  struct {
		SupplyCurrent float64     `json:"supply_current_A"`
		SupplyV       float64     `json:"supply_terminal_V"`
		UnitCurrent   [][]float64 `json:"unit_current_A"`
		RowCurrent    []float64   `json:"row_current_A"`
		Spread        float64     `json:"spread_lit"`
		MinOverMax    float64     `json:"min_over_max_lit"`
		CopperLoss    float64     `json:"copper_loss_W"`
		Lit           int         `json:"units_lit"`
	} `json:"result"`
}

// referenceCases reads testdata/reference.json: networks solved by ngspice 39
// and by an independent sparse Newton solver.
func referenceCases(t testing.TB) []refCase {
	t.Helper()
	b, err := os.ReadFile("testdata/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Vt    float64           `json:"thermal_voltage_V"`
		Cases []json.RawMessage `json:"cases"`
	}
	if err := json.Unmarshal(b, &file); err != nil {
		t.Fatal(err)
	}
	var out []refCase
	for _, raw := range file.Cases {
		var c refCase
		if err := json.Unmarshal(raw, &c); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(raw, &c.network); err != nil {
			t.Fatal(err)
		}
		c.network.SetThermalVoltage(file.Vt)
		out = append(out, c)
	}
	return out
}

func TestReferenceCases(t *testing.T) {
	for _, c := range referenceCases(t) {
		t.Run(c.ID, func(t *testing.T) {
			sol, err := Solve(&c.network)
			if err != nil {
				t.Fatal(err)
			}
			r := c.Result
			largest, worst := 0.0, 0.0
			for i, row := range r.UnitCurrent {
				for k, want := range row {
					largest = max(largest, want)
					worst = max(worst, math.Abs(sol.Rows[i].First.I[k]-want))
				}
			}
			if worst > 1e-8*largest {
				t.Errorf("unit currents differ by up to %.3g of the largest", worst/largest)
			}
			// The stored supply current carries the simulator's rounding in a
			// 1e-9 Ω link, hence 1e-5 (the cases' own tolerance).
			relative(t, "supply current", sol.SupplyCurrent, r.SupplyCurrent, 1e-5)
			relative(t, "supply voltage", sol.SupplyV, r.SupplyV, 1e-8)
			relative(t, "spread", sol.Spread, r.Spread, 1e-5)
			relative(t, "min over max", sol.MinOverMax, r.MinOverMax, 1e-8)
			relative(t, "copper loss", sol.Loss.Lamp(), r.CopperLoss, 1e-5)
			if sol.Lit != r.Lit {
				t.Errorf("%d units lit, want %d", sol.Lit, r.Lit)
			}
			for i, want := range r.RowCurrent {
				relative(t, "row current", sol.Rows[i].Current, want, 1e-8)
			}
			t.Logf("unit currents within %.1e, %d rounds", worst/largest, sol.Rounds)
		})
	}
}

func relative(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s = %.9g, want %.9g within %.1g", what, got, want, tol)
	}
}

// Plus and minus apart, 144 units: within 25 µs.
func BenchmarkGeneral144UnitsWithin25us(b *testing.B) {
	for _, kind := range []string{"pwl", "diode"} {
		b.Run(kind, func(b *testing.B) {
			u := pwlUnit
			if kind == "diode" {
				u = diodeUnit
			}
			n := opposite(12, 12, u)
			s, err := Compile(&n)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if err := s.Run(); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(s.rounds), "rounds")
		})
	}
}

func BenchmarkCompile144Units(b *testing.B) {
	n := opposite(12, 12, pwlUnit)
	for b.Loop() {
		if _, err := Compile(&n); err != nil {
			b.Fatal(err)
		}
	}
}

var (
	pwlUnit   = Unit{Kind: PiecewiseLinear, VNom: 24, V0: 16.2, R: 260}
	diodeUnit = Unit{Kind: SeriesDiode, VNom: 24, Series: 6, IS: 4.2e-21, Ideality: 2.5, RS: 3, RBallast: 220}
	ccUnit    = Unit{Kind: ConstantCurrent, VNom: 24, V0: 16.2, ROn: 60, ISet: 0.03, Slope: 0.002, P: 8}
)

// opposite is a lamp with its plus bus on the left and its minus bus on the
// right, both fed at row 0.
func opposite(rows, units int, u Unit) Network {
	n := Network{VOC: 24, RInt: 0.05, Buses: []Bus{{ID: "PL"}, {ID: "NR"}}}
	for i := range rows {
		if i > 0 {
			n.Buses[0].RSeg = append(n.Buses[0].RSeg, 0.0013)
			n.Buses[1].RSeg = append(n.Buses[1].RSeg, 0.0013)
		}
		row := Row{RUnit: 0.0031, Taps: []Tap{{LeftPlus, BusNode(0, i), 0.001}, {RightMinus, BusNode(1, i), 0.001}}}
		for range units {
			row.Units = append(row.Units, u)
		}
		n.Rows = append(n.Rows, row)
	}
	n.Feeds = []Feed{{PosAt: BusNode(0, 0), NegAt: BusNode(1, 0), RPos: 0.025, RNeg: 0.025}}
	return n
}
