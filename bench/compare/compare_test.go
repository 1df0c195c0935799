package compare

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/spectrum"
	"dawnsmith/metric"
	"dawnsmith/quantity"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g ± %.2g", what, got, want, tol)
	}
}

// face is a measured lamp with an even a × b face of luminance l, read at d.
func face(id string, l, a, b, d, watts float64) Entry {
	e := Entry{ID: id, Name: id, Origin: FromMeasurement, FaceLength: a, FaceWidth: b, UseDistance: d, Price: part.Money{Cents: 10000, Currency: "EUR"}}
	lux := optics.OnAxis(l, a, b, d)
	own := quantity.Combine(lux, quantity.Part{Value: quantity.Measured(0, 0.02*lux, "meter lx-1 calibration"), Slope: 1}, quantity.Part{Value: quantity.Measured(0, 0.005*lux, id+" reading"), Slope: 1})
	e.Add(predict.MeterLux, Datum{Value: own, Distance: d})
	e.Add(measure.MeterEDI, Datum{Value: own.Scale(0.6), Distance: d})
	e.Add(predict.MainsPower, Datum{Value: quantity.Measured(watts, 0.01*watts, id+" watts")})
	e.Add(predict.FaceMean, Datum{Value: own.Scale(l / lux)})
	return e
}

func put(t *testing.T, es []Entry, key string, terms Terms) Column {
	t.Helper()
	c, err := Put(es, key, terms)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Cells) != len(es) {
		t.Fatalf("%d cells for %d lamps", len(c.Cells), len(es))
	}
	return c
}

func TestSameDistance(t *testing.T) {
	big, small := face("big", 8000, 0.6, 0.4, 0.5, 60), face("small", 40000, 0.15, 0.10, 0.3, 20)
	es := []Entry{big, small}
	c := put(t, es, predict.MeterLux, Terms{})
	if !finding.Has(c.Findings, "compare.distances_differ") {
		t.Error("readings at 500 and 300 mm stand side by side without a word")
	}
	c = put(t, es, predict.MeterLux, Terms{Where: SameDistance, Distance: 0.5})
	if len(c.Findings) > 0 {
		t.Errorf("same distance is blamed: %v", c.Findings)
	}
	near(t, "big, as read", c.Cells[0].Value.X, optics.OnAxis(8000, 0.6, 0.4, 0.5), 1e-9)
	near(t, "small, carried", c.Cells[1].Value.X, optics.OnAxis(40000, 0.15, 0.10, 0.5), 1e-6)
	// Never 1/d² near the face.
	if wrong := optics.OnAxis(40000, 0.15, 0.10, 0.3) * 0.36; math.Abs(c.Cells[1].Value.X/wrong-1) < 0.02 {
		t.Error("carried by inverse square")
	}
	if c.Cells[1].Value.U()/c.Cells[1].Value.X <= small.Values[predict.MeterLux][0].Value.U()/small.Values[predict.MeterLux][0].Value.X {
		t.Error("carrying a reading costs nothing")
	}
	if c = put(t, es, predict.MeterLux, Terms{Where: SameDistance, Distance: 1.0}); c.Cells[1].Missing == "" || c.Cells[0].Missing != "" {
		t.Errorf("300 mm carried to 1 m: %+v", c.Cells[1])
	}
	unknown := small
	unknown.FaceLength = 0
	if c = put(t, []Entry{unknown}, predict.MeterLux, Terms{Where: SameDistance, Distance: 0.5}); !strings.Contains(c.Cells[0].Missing, "size of its face") {
		t.Errorf("carried without a size: %+v", c.Cells[0])
	}
	// Of readings at several distances the nearest is taken.
	two := face("two", 40000, 0.15, 0.10, 0.3, 20)
	two.Add(predict.MeterLux, Datum{Value: quantity.Exact(777), Distance: 0.5})
	if c = put(t, []Entry{two}, predict.MeterLux, Terms{Where: SameDistance, Distance: 0.5}); c.Cells[0].Value.X != 777 {
		t.Errorf("%+v", c.Cells[0])
	}
	c = put(t, es, predict.MeterLux, Terms{Where: UseDistance})
	if c.Cells[0].Distance != 0.5 || c.Cells[1].Distance != 0.3 {
		t.Errorf("use distances: %+v", c.Cells)
	}
}

func TestSameLuxAndLuminance(t *testing.T) {
	a, b := face("a", 8000, 0.6, 0.4, 0.5, 60), face("b", 16000, 0.3, 0.2, 0.5, 40)
	es := []Entry{a, b}
	// Where each gives 5 000 lx: EDI is 0.6 of it, and the distance is the law's.
	c := put(t, es, measure.MeterEDI, Terms{Where: SameLux, Lux: 5000})
	near(t, "EDI at 5 000 lx", c.Cells[0].Value.X, 3000, 1e-9)
	if u := c.Cells[0].Value.U(); u > 1e-9*3000 {
		t.Errorf("the meter's scale stays in a ratio: %g", u)
	}
	c = put(t, es, optics.KeyEqualLight, Terms{Where: SameLux, Lux: 5000})
	for i, e := range []struct{ l, a, b float64 }{{8000, 0.6, 0.4}, {16000, 0.3, 0.2}} {
		near(t, "lux at that distance", optics.OnAxis(e.l, e.a, e.b, c.Cells[i].Value.X), 5000, 0.5)
		if c.Cells[i].Value.U() <= 0 {
			t.Error("a distance without uncertainty")
		}
	}
	if c = put(t, es, optics.KeyEqualLight, Terms{Where: SameLux, Lux: 30000}); c.Cells[0].Missing == "" {
		t.Error("30 000 lx from a face of 8 000 cd/m²")
	}
	// Dimmed to 3 000 lx at 500 mm: the smaller face is brighter.
	dimmed := Terms{Where: SameLux, Lux: 3000, Distance: 0.5}
	c = put(t, es, predict.FaceMean, dimmed)
	near(t, "luminance of a", c.Cells[0].Value.X, 3000/optics.OnAxis(1, 0.6, 0.4, 0.5), 1e-6)
	near(t, "luminance of b", c.Cells[1].Value.X, 3000/optics.OnAxis(1, 0.3, 0.2, 0.5), 1e-6)
	c = put(t, es, predict.FaceMean, Terms{Where: SameLux, Lux: 6000, Distance: 0.5})
	if c.Cells[1].Missing == "" {
		t.Errorf("b gives %.0f lx only", b.Values[predict.MeterLux][0].Value.X)
	}
	c = put(t, es, predict.MeterLux, Terms{Where: SameLuminance, Luminance: 6000, Distance: 0.5})
	near(t, "lux of a at 6 000 cd/m²", c.Cells[0].Value.X, optics.OnAxis(6000, 0.6, 0.4, 0.5), 1e-6)
	near(t, "lux of b at 6 000 cd/m²", c.Cells[1].Value.X, optics.OnAxis(6000, 0.3, 0.2, 0.5), 1e-6)
	c = put(t, es, predict.MeterLux, Terms{Where: SameLuminance, Luminance: 6000, Distance: 0.5, Per: PerWatt})
	near(t, "lux a watt of a, dimmed", c.Cells[0].Value.X, optics.OnAxis(8000, 0.6, 0.4, 0.5)/60, 1e-9)
}

func TestPer(t *testing.T) {
	a := face("a", 8000, 0.6, 0.4, 0.5, 60)
	b := face("b", 8000, 0.6, 0.4, 0.5, 40)
	b.Price = part.Money{Cents: 50000, Currency: "SEK"}
	d := face("d", 8000, 0.6, 0.4, 0.5, 40)
	d.Price = part.Money{}
	e := face("e", 8000, 0.6, 0.4, 0.5, 40)
	es := []Entry{a, b, d, e}
	lux := optics.OnAxis(8000, 0.6, 0.4, 0.5)
	c := put(t, es, predict.MeterLux, Terms{Per: PerWatt})
	near(t, "per watt", c.Cells[0].Value.X, lux/60, 1e-9)
	if c.Unit != "lx/W" {
		t.Errorf("unit %q", c.Unit)
	}
	c = put(t, es, predict.MeterLux, Terms{Per: PerPrice})
	near(t, "per euro", c.Cells[0].Value.X, lux/100, 1e-9)
	if c.Unit != "lx/EUR" || !strings.Contains(c.Cells[1].Missing, "SEK") || c.Cells[2].Missing == "" {
		t.Errorf("%q %+v", c.Unit, c.Cells)
	}
	c = put(t, es, predict.MeterLux, Terms{Per: PerArea})
	near(t, "per area", c.Cells[0].Value.X, lux/0.24, 1e-6)
	for _, bad := range []Terms{{Where: "moon"}, {Where: SameDistance}, {Where: SameDistance, Distance: 500}, {Where: SameLux}, {Per: "smile"}, {Where: SameLuminance}} {
		if _, err := Put(es, predict.MeterLux, bad); err == nil {
			t.Errorf("%+v taken", bad)
		}
	}
	if _, err := Put(es, "charm", Terms{}); err == nil {
		t.Error("an undeclared measure taken")
	}
}

func column(values ...quantity.Value) Column {
	c := Column{Metric: metric.Metric{Key: "k", Name: "measure", Better: metric.Up}}
	for i, v := range values {
		c.Cells = append(c.Cells, Cell{Entry: i, ID: fmt.Sprint("lamp-", i), Value: v})
	}
	return c
}

func rank(t *testing.T, c Column, o Options) Ranking {
	t.Helper()
	r, err := Rank(c, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Two lamps 3 % apart read with one meter of 5 %: the meter's scale cancels and
// the order is real; with two meters it is not.
func TestSharedMeterDecides(t *testing.T) {
	value := func(x float64, meter, lamp string) quantity.Value {
		return quantity.Combine(x, quantity.Part{Value: quantity.Measured(0, 0.05*x, meter), Slope: 1}, quantity.Part{Value: quantity.Measured(0, 0.005*x, lamp), Slope: 1})
	}
	r := rank(t, column(value(10000, "meter", "a"), value(10300, "meter", "b")), Options{Seed: 1})
	if r.Pairs[0].Tied || r.Rows[0].ID != "lamp-1" || len(r.Groups) != 2 {
		t.Errorf("%+v", r.Pairs)
	}
	near(t, "sigmas", r.Pairs[0].Sigmas, 300/math.Sqrt(15*15+50*50+51.5*51.5), 0.01)
	if r.Rows[0].High != 1 || r.Rows[1].Low != 2 {
		t.Errorf("places %d–%d and %d–%d", r.Rows[0].Low, r.Rows[0].High, r.Rows[1].Low, r.Rows[1].High)
	}
	r = rank(t, column(value(10000, "meter 1", "a"), value(10300, "meter 2", "b")), Options{Seed: 1})
	if !r.Pairs[0].Tied || len(r.Groups) != 1 || r.Rows[0].Low != 1 || r.Rows[0].High != 2 {
		t.Errorf("%+v", r)
	}
	// The share of first places is that of the normal distribution:
	// Φ(300/(0.0502·14356)).
	near(t, "first", r.Rows[0].First, 0.6616, 0.015)
}

// Ties are not transitive: a–b and b–c tie, a–c do not. The groups follow the
// stated rule and the pairs tell all.
func TestTiesAreNotTransitive(t *testing.T) {
	m := func(x float64, s string) quantity.Value { return quantity.Measured(x, 1, s) }
	r := rank(t, column(m(10, "a"), m(8, "b"), m(6, "c")), Options{})
	if !slices.Equal(r.Rows[0].Ties, []int{1}) || !slices.Equal(r.Rows[1].Ties, []int{0, 2}) || !slices.Equal(r.Rows[2].Ties, []int{1}) {
		t.Errorf("ties %v %v %v", r.Rows[0].Ties, r.Rows[1].Ties, r.Rows[2].Ties)
	}
	if len(r.Groups) != 2 || !slices.Equal(r.Groups[0], []int{0, 1}) || !slices.Equal(r.Groups[1], []int{2}) {
		t.Errorf("groups %v", r.Groups)
	}
}

func TestRankKeepsEverything(t *testing.T) {
	c := column(quantity.Exact(1), quantity.Exact(2), quantity.Exact(3))
	c.Cells[1].Missing = "not measured"
	c.Cells[2].Bound = measure.AtLeast
	r := rank(t, c, Options{})
	if len(r.Rows) != 1 || len(r.Unranked) != 2 {
		t.Errorf("%d ranked, %d not", len(r.Rows), len(r.Unranked))
	}
	if _, err := json.Marshal(r); err != nil {
		t.Error(err)
	}
	c = column(quantity.Exact(1), quantity.Exact(2))
	c.Metric.Better = metric.Neither
	if r = rank(t, c, Options{}); !finding.Has(r.Findings, "compare.no_direction") {
		t.Error("ranked without a word on which way is better")
	}
	c.Metric.Better = metric.Down
	if r = rank(t, c, Options{}); r.Rows[0].ID != "lamp-0" {
		t.Error("less is better, yet more comes first")
	}
	if _, err := Rank(c, Options{Draws: 3}); err == nil {
		t.Error("three draws taken")
	}
}

// For any lamps: nothing is lost, ties are symmetric, the order does not
// depend on the order of entry, adding a source that all share equally changes
// no tie, and the place by estimate lies within the interval of places.
func TestRankProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "n")
		var vs, shifted []quantity.Value
		for i := range n {
			x := rapid.Float64Range(50, 150).Draw(t, "x")
			u := rapid.Float64Range(0, 20).Draw(t, "u")
			v := quantity.Measured(x, u, fmt.Sprint("own ", i))
			vs = append(vs, v)
			shifted = append(shifted, quantity.Combine(x, quantity.Part{Value: v, Slope: 1}, quantity.Part{Value: quantity.Measured(0, 30, "shared"), Slope: 1}))
		}
		o := Options{Draws: 400, Seed: rapid.Uint64().Draw(t, "seed")}
		r, err := Rank(column(vs...), o)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Rows)+len(r.Unranked) != n || len(r.Pairs) != n*(n-1)/2 {
			t.Fatalf("%d rows, %d unranked, %d pairs of %d lamps", len(r.Rows), len(r.Unranked), len(r.Pairs), n)
		}
		grouped := 0
		for g, rows := range r.Groups {
			grouped += len(rows)
			for _, i := range rows[1:] {
				if !slices.Contains(r.Rows[rows[0]].Ties, i) {
					t.Fatalf("group %d holds a lamp that differs from its leader", g)
				}
			}
		}
		if grouped != n {
			t.Fatalf("%d of %d lamps in groups", grouped, n)
		}
		for i, row := range r.Rows {
			for _, j := range row.Ties {
				if !slices.Contains(r.Rows[j].Ties, i) {
					t.Fatalf("%d ties with %d, not the other way", i, j)
				}
			}
			if row.Low > row.High || row.Low < 1 || row.High > n {
				t.Fatalf("place %d of %d–%d", row.Place, row.Low, row.High)
			}
		}
		again, _ := Rank(column(shifted...), o)
		for i := range r.Pairs {
			if r.Pairs[i].Tied != again.Pairs[i].Tied && math.Abs(r.Pairs[i].Sigmas-r.K) > 1e-6 {
				t.Fatalf("a shared error changed a tie: %v, %v", r.Pairs[i], again.Pairs[i])
			}
		}
		same, _ := Rank(column(vs...), o)
		for i := range r.Rows {
			if r.Rows[i].Low != same.Rows[i].Low || r.Rows[i].High != same.Rows[i].High {
				t.Fatal("the same seed gives other intervals")
			}
		}
		back := column(vs...)
		slices.Reverse(back.Cells)
		rev, _ := Rank(back, o)
		for i := range r.Rows {
			if r.Rows[i].ID != rev.Rows[i].ID || !slices.Equal(r.Rows[i].Ties, rev.Rows[i].Ties) || r.Rows[i].Low != rev.Rows[i].Low {
				t.Fatal("the order of entry matters")
			}
		}
	})
}

func TestHugeLampAsksForLogAxis(t *testing.T) {
	r := rank(t, column(quantity.Exact(9000), quantity.Exact(11000), quantity.Exact(10000), quantity.Exact(90000)), Options{})
	if !r.LogAxis || !strings.Contains(r.LogWhy, "lamp-3") || len(r.Rows) != 4 {
		t.Errorf("%v %q", r.LogAxis, r.LogWhy)
	}
	r = rank(t, column(quantity.Exact(9000), quantity.Exact(11000), quantity.Exact(10000), quantity.Exact(20000)), Options{})
	if r.LogAxis {
		t.Errorf("%q", r.LogWhy)
	}
	if r = rank(t, column(quantity.Exact(0), quantity.Exact(1), quantity.Exact(2), quantity.Exact(90)), Options{}); !strings.Contains(r.LogWhy, "below range") {
		t.Errorf("zero on a log axis: %q", r.LogWhy)
	}
}

func TestStatementsShowGaps(t *testing.T) {
	e := Stated("x", "bought lamp", map[string]float64{predict.MeterLux: 10000}, 0)
	items := e.States()
	if len(items) != 16 {
		t.Fatalf("%d items", len(items))
	}
	for _, it := range items {
		if !it.Missing || it.Given != Missing {
			t.Errorf("%+v", it)
		}
	}
	if !finding.Has(StatementFindings([]Entry{e}), "compare.not_stated") {
		t.Error("gaps are not told")
	}
	rec := measure.Record{Run: "r", Subject: measure.Subject{Lamp: "a", Maker: "the tester"}, Instrument: "lx-1", Calibration: measure.Calibration{Date: "2026-03-02"},
		Conditions: measure.Conditions{Distance: 0.5, From: measure.FromFace, Room: measure.DarkRoom, Facing: measure.AtLamp, WarmUp: 3600, Date: "2026-11-25"}}
	given := map[string]bool{}
	for _, it := range Measured("a", rec).States() {
		given[it.Key] = !it.Missing
	}
	for _, key := range []string{"meter", "distance", "room", "warm_up", "date", "interest", "place"} {
		if !given[key] {
			t.Errorf("%s is in the record and shown as missing", key)
		}
	}
	for _, key := range []string{"spectrum", "supply", "photos", "price_basis", "setting"} {
		if given[key] {
			t.Errorf("%s is shown as stated", key)
		}
	}
	full := e
	full.Statement = Statement{"m", "s", "p", "d", "r", "w", "s", "s", "1", "d", "p", "l", "u", "i", "p", "s"}
	if fs := StatementFindings([]Entry{full}); len(fs) != 0 {
		t.Errorf("%v", fs)
	}
}

func TestClaims(t *testing.T) {
	b3, _ := spectrum.Illuminant("LED-B3") // 4 103 K, Ra 84.9
	q := func(x, u float64) *quantity.Value { v := quantity.Measured(x, u, "reading"); return &v }
	for _, c := range []struct {
		name  string
		claim Claim
		keys  []string
	}{
		{"no distance", Claim{Lux: 10000}, []string{"claim.lux_without_distance"}},
		{"sound", Claim{Lux: 10000, Distance: 0.5, Lumens: 11000, Watts: 110, FaceLength: 0.6, FaceWidth: 0.3, CCT: 4000, Ra: 85, Spectrum: &b3}, nil},
		// A 0.6 × 0.3 m face needs 10 100 lm for 10 000 lx at 0.5 m.
		{"too few lumens", Claim{Lux: 10000, Distance: 0.5, Lumens: 5000, FaceLength: 0.6, FaceWidth: 0.3}, []string{"claim.lux_above_lumens"}},
		{"bare LEDs' lumens", Claim{Lux: 2000, Distance: 0.5, Lumens: 9000, FaceLength: 0.6, FaceWidth: 0.3}, []string{"claim.lumens_above_lux"}},
		{"close up", Claim{Lux: 10000, Distance: 0.1}, []string{"claim.lux_close_up"}},
		{"impossible", Claim{Lumens: 20000, Watts: 40}, []string{"claim.lumens_impossible"}},
		{"too good", Claim{Lumens: 10000, Watts: 45}, []string{"claim.lumens_too_many"}},
		{"above its own spectrum", Claim{Lumens: 3300, Watts: 10, Spectrum: &b3}, []string{"claim.lumens_above_spectrum", "claim.lumens_too_many"}},
		{"kelvin", Claim{CCT: 6500, Spectrum: &b3}, []string{"claim.kelvin_against_spectrum"}},
		{"Ra", Claim{Ra: 95, Spectrum: &b3}, []string{"claim.ra_against_spectrum"}},
		{"kelvin alone", Claim{CCT: 6500}, []string{"claim.no_spectrum"}},
		{"measured less", Claim{Lux: 10000, Distance: 0.3, MeasuredLux: q(7000, 200)}, []string{"claim.lux_against_reading"}},
		{"measured alike", Claim{Lux: 10000, Distance: 0.3, MeasuredLux: q(9700, 280)}, nil},
		{"watts", Claim{Watts: 60, MeasuredWatts: q(32, 0.3)}, []string{"claim.watts_against_reading"}},
	} {
		var got []string
		for _, f := range CheckClaim(c.claim) {
			got = append(got, f.Key)
			if f.What == "" || f.Mend == "" || f.Source == "" {
				t.Errorf("%s: %+v lacks words", c.name, f)
			}
		}
		slices.Sort(got)
		if !slices.Equal(got, c.keys) {
			t.Errorf("%s: %v, want %v", c.name, got, c.keys)
		}
	}
}
