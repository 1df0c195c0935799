package predict

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// Invented parts, plain enough to reason about.

func item(id string) part.Item { return part.Item{ID: id, Name: id, Invented: true} }

func val(x, u float64, source string) quantity.Value { return quantity.Measured(x, u, source) }

func whiteStrip() part.Strip {
	return part.Strip{
		Item: item("strip"), Drive: part.Resistor, Voltage: 24, LEDs: 120, Series: 6, Cut: 0.05, Reel: 5, Joint: 0.5, JointR: 0.005,
		Width: 0.010, Height: 0.0015, Copper: 2, Rail: 0.004, Beam: 2 * math.Pi / 3, Emitter: 5e-6, Adhesive: "acrylic",
		TapeLimit: 353.15, Reflectance: val(0.85, 0.04, "strip board"), JunctionR: val(20, 5, "strip junction"), JunctionLimit: 378.15,
		Channels: []part.Channel{{Name: "white", Power: val(14.4, 0.9, "strip power"), Flux: val(1440, 100, "strip flux"),
			CCT: val(5000, 125, "strip cct"), Ra: 90, Pump: part.BluePump, FluxPerKelvin: val(-0.0015, 0.0005, "strip flux per kelvin")}},
	}
}

func twoChannelStrip() part.Strip {
	s := whiteStrip()
	s.ID = "two"
	warm, cool := s.Channels[0], s.Channels[0]
	warm.Name, warm.CCT = "warm", val(2700, 70, "warm cct")
	cool.Name, cool.CCT = "cool", val(6500, 160, "cool cct")
	warm.Power, cool.Power = val(9.6, 0.6, "warm power"), val(9.6, 0.6, "cool power")
	warm.Flux, cool.Flux = val(900, 60, "warm flux"), val(1000, 70, "cool flux")
	s.Channels = []part.Channel{warm, cool}
	return s
}

func steadyStrip() part.Strip {
	s := whiteStrip()
	s.ID, s.Drive = "steady", part.ConstantCurrent
	return s
}

// warmStrip is of one series with whiteStrip.
func warmStrip() part.Strip {
	s := whiteStrip()
	s.ID = "warm"
	s.Channels = slices.Clone(s.Channels)
	s.Channels[0].CCT = val(2700, 70, "warm strip cct")
	return s
}

func tray(rho float64) part.Tray {
	return part.Tray{Item: item(fmt.Sprintf("tray-%02.0f", rho*100)), Material: "aluminium-3003", Length: 0.38, Width: 0.28, Depth: 0.05, Thickness: 0.001,
		Reflectance: val(rho, 0.05, "tray reflectance"), Specular: val(0.2, 0.1, "tray mirror share"),
		EmissivityBack: val(0.1, 0.05, "tray back"), EmissivityInside: val(0.1, 0.05, "tray inside")}
}

func sheet(t, r float64) part.Sheet {
	return part.Sheet{Item: item(fmt.Sprintf("sheet-%02.0f", t*100)), Thickness: 0.0002, Density: 1200, Transmittance: val(t, 0.03, "sheet transmittance"),
		Reflectance: val(r, 0.02, "sheet reflectance"), Limit: 353.15, Emissivity: 0.9}
}

func foil() part.Lining {
	return part.Lining{Item: item("foil"), Thickness: 0.0001, Reflectance: val(0.90, 0.02, "foil reflectance"), Specular: val(0.85, 0.1, "foil mirror share"), Emissivity: 0.05, Conducting: true}
}

func testSet() part.Set {
	s := part.Set{
		Strips:      []part.Strip{whiteStrip(), twoChannelStrip(), steadyStrip(), warmStrip()},
		Linings:     []part.Lining{foil(), {Item: item("white"), Reflectance: val(0.96, 0.01, "white"), Specular: val(0.05, 0.05, "white mirror"), Emissivity: 0.85, Curve: part.Curve{{400, 0.9}, {450, 0.95}, {555, 0.96}, {700, 0.965}}}},
		Supplies:    []part.Supply{{Item: item("dc24"), Voltage: val(24, 0.24, "supply voltage"), Rating: 240, Efficiency: val(0.88, 0.02, "supply efficiency"), Insulated: true}},
		Wires:       []part.Wire{{Item: item("awg18"), Area: 0.823e-6, Limit: 7, Stranded: true}},
		Connectors:  []part.Connector{{Item: item("block"), Limit: 10, Contact: 0.005, Poles: 3}},
		Fuses:       []part.Fuse{{Item: item("fuse5"), Rating: 5, Voltage: 32}},
		Consumables: []part.Consumable{{Item: item("paint"), ForBack: true, Emissivity: 0.9}},
	}
	for _, rho := range []float64{0.55, 0.65, 0.70, 0.75} {
		s.Trays = append(s.Trays, tray(rho))
	}
	for _, t := range [][2]float64{{0.50, 0.45}, {0.60, 0.34}, {0.80, 0.15}} {
		s.Sheets = append(s.Sheets, sheet(t[0], t[1]))
	}
	film := sheet(0.62, 0.33)
	film.ID, film.Lobe, film.LobeWidth, film.Clear = "film", 0.6, val(70*math.Pi/180, 0.15, "film width"), val(0.01, 0, "film clear")
	s.Sheets = append(s.Sheets, film)
	return s
}

func testSpec() lamp.Spec {
	return lamp.Spec{Schema: 1, Name: "test lamp", Tray: "tray-65", Strip: "strip", Sheet: "sheet-60", Rows: 8, Supply: "dc24", Bus: "awg18", Lead: "awg18",
		Connector: "block", Fuse: "fuse5", Place: brief.Place{MeterDistance: 0.305, EyeDistance: 0.6, LampAboveEye: 0.2}}
}

func build(t testing.TB, s lamp.Spec) lamp.Lamp {
	t.Helper()
	l, err := lamp.Build(s, testSet())
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func work(t testing.TB, s lamp.Spec) Result {
	t.Helper()
	r, err := Lamp(build(t, s))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Watts in are light out and heat; light of the LEDs is what leaves and what
// floor, walls and sheet keep.
func TestEnergyBalance(t *testing.T) {
	for _, change := range []func(*lamp.Spec){
		func(*lamp.Spec) {},
		func(s *lamp.Spec) { s.Lining, s.LineFloor = "foil", true },
		func(s *lamp.Spec) { s.Strip = "steady"; s.Sheet = "film" },
		func(s *lamp.Spec) { s.Strip = "two"; s.Drive = map[string]float64{"warm": 0.3} },
	} {
		s := testSpec()
		change(&s)
		r := work(t, s)
		n := r.Numbers
		if sum := r.Optics.Efficiency + n[LostFloor] + n[LostWalls] + n[LostSheet]; math.Abs(sum-1) > 1e-3 {
			t.Errorf("%s: light adds up to %v", s.Strip, sum)
		}
		radiant := 0.0
		for i, c := range r.Channels {
			src, err := Light(r.Lamp.Strip.Channels[i], 0)
			if err != nil {
				t.Fatal(err)
			}
			radiant += c.Flux / src.LER
		}
		inTray := (r.Circuit.Loss.Bus + r.Circuit.Loss.Rails + r.Circuit.Loss.Joints + r.Circuit.Loss.Taps)
		if d := n[StripPower] + inTray - n[LampHeat] - radiant*r.Optics.Efficiency; math.Abs(d) > 0.02*n[StripPower] {
			t.Errorf("%s: %v W unaccounted for of %v W", s.Strip, d, n[StripPower])
		}
		if math.Abs(r.Heat.Balance) > 0.01 {
			t.Errorf("%s: heat out of balance by %v W", s.Strip, r.Heat.Balance)
		}
	}
}

func TestMonotone(t *testing.T) {
	base := work(t, testSpec()).Numbers
	for _, c := range []struct {
		name   string
		change func(*lamp.Spec)
		up     []string
		down   []string
	}{
		{"more rows", func(s *lamp.Spec) { s.Rows = 10 }, []string{MeterLux, FaceMean, StripPower, MainsPower, StripTemp, LampMass, SupplyCurrent}, nil},
		{"brighter metal", func(s *lamp.Spec) { s.Tray = "tray-75" }, []string{MeterLux, BoxShare, FluxOut}, []string{LostFloor, LostWalls}},
		{"clearer sheet", func(s *lamp.Spec) { s.Sheet = "sheet-80" }, []string{MeterLux, BoxShare}, []string{LostFloor}},
		{"warmer air", func(s *lamp.Spec) { s.Place.Air = 308.15 }, []string{StripTemp, JunctionTemp, BackTemp, SheetTemp}, nil},
		{"painted back", func(s *lamp.Spec) { s.Paint = "paint" }, nil, []string{StripTemp, BackTemp, JunctionTemp}},
		{"further meter", func(s *lamp.Spec) { s.Place.MeterDistance = 0.5 }, nil, []string{MeterLux}},
		{"longer lead", func(s *lamp.Spec) { s.LeadLength = 5 }, []string{CopperLoss}, []string{MeterLux, StripPower}},
		{"half drive", func(s *lamp.Spec) { s.Drive = map[string]float64{"white": 0.5} }, nil, []string{MeterLux, StripPower, StripTemp}},
	} {
		s := testSpec()
		c.change(&s)
		n := work(t, s).Numbers
		for _, k := range c.up {
			if !(n[k] > base[k]) {
				t.Errorf("%s: %s went from %v to %v, want up", c.name, k, base[k], n[k])
			}
		}
		for _, k := range c.down {
			if !(n[k] < base[k]) {
				t.Errorf("%s: %s went from %v to %v, want down", c.name, k, base[k], n[k])
			}
		}
	}
}

// tradeLux is the on-axis light at 0.305 m of 77.5 W at 100 delivered lm/W in
// the given box: 10 mm strip at 13.3 mm rows, or 8 mm strip at 17 mm rows.
func tradeLux(t testing.TB, metal float64, lining bool, floor bool, tt, rr float64, wide bool) float64 {
	t.Helper()
	row := optics.Row{Z: 0.0015, StripWidth: 0.010, StripReflectance: 0.85, Flux: 1}
	rows, spacing := 20, 0.0133
	if !wide {
		row.StripWidth, rows, spacing = 0.008, 16, 0.017
	}
	b := optics.Box{Length: 0.38, Width: 0.28, Height: 0.05, Sheet: optics.Sheet{T: tt, R: rr}}
	b.Rows = optics.Grid(b.Length, b.Width, rows, spacing, 22, 1.0/60, row)
	surface := optics.Surface{Reflectance: metal, Specular: 0.2}
	walls := surface
	if lining {
		walls = optics.Surface{Reflectance: 0.90, Specular: 0.85}
	}
	b.Walls, b.Floor = optics.SameWalls(walls), surface
	if floor {
		b.Floor = walls
	}
	p, err := optics.Prepare(b, nil, optics.Target{Position: optics.Vec{Z: 0.305}, Normal: optics.Vec{Z: -1}})
	if err != nil {
		t.Fatal(err)
	}
	f := p.Finish(b)
	f.LEDFlux = 7750
	q, err := p.Screen(f)
	if err != nil {
		t.Fatal(err)
	}
	return q.Lux[0]
}

// Common practice, no source: a 280 × 380 × 50 mm aluminium tray of ρ 0.65
// behind a sheet of T/R 0.50/0.45 with 77.5 W at 100 delivered lm/W reads
// 11 900 to 12 400 lx ± 3 % at 0.305 m on axis (the trade quotes 10 000 to
// 14 500 lx).
func TestTradeOutput(t *testing.T) {
	for _, wide := range []bool{true, false} {
		e := tradeLux(t, 0.65, false, false, 0.50, 0.45, wide)
		if e < 11900*0.97 || e > 12400*1.03 {
			t.Errorf("10 mm strip %v: %.0f lx, want 11 900 to 12 400 ± 3 %%", wide, e)
		}
	}
}

// Common practice, no source: lining walls and floor gaps with foil of ρ 0.90
// raises the light on the axis by a tenth or more over bare metal of ρ ≤ 0.70
// behind sheets of T ≤ 0.6; not so over good metal behind a clear sheet.
func TestTradeLining(t *testing.T) {
	gain := func(metal, tt, rr float64) float64 {
		return tradeLux(t, metal, true, true, tt, rr, false)/tradeLux(t, metal, false, false, tt, rr, false) - 1
	}
	for _, metal := range []float64{0.55, 0.65, 0.70} {
		for _, s := range [][2]float64{{0.50, 0.45}, {0.60, 0.34}} {
			if g := gain(metal, s[0], s[1]); g < 0.10 {
				t.Errorf("metal %.2f, sheet %.2f: lining gains %.1f %%, want 10 or more", metal, s[0], 100*g)
			}
		}
	}
	if g := gain(0.75, 0.80, 0.15); g >= 0.10 || g <= 0 {
		t.Errorf("metal 0.75 behind a sheet of 0.80: lining gains %.1f %%, want less than 10", 100*g)
	}
}

// Common practice, no source: supply = load + 20 %, on the larger of label and
// predicted upper bound.
func TestSupplyRule(t *testing.T) {
	r := work(t, testSpec())
	n := r.Numbers
	label := 14.4 * r.Lamp.StripLength()
	upper := n[SupplyLoad] * (1 + 2*0.9/14.4)
	if want := 1.2 * math.Max(label, upper); math.Abs(n[SupplyNeeded]-want) > 1e-9*want {
		t.Errorf("asks for %v W, want %v", n[SupplyNeeded], want)
	}
}

// The two-channel lamp's light is the sum of its channels' lights.
func TestChannelsAdd(t *testing.T) {
	s := testSpec()
	s.Strip, s.Rows = "two", 6
	both := work(t, s)
	sum := 0.0
	for _, off := range []string{"warm", "cool"} {
		s.Drive = map[string]float64{off: 0}
		sum += work(t, s).Numbers[MeterLux]
	}
	if e := both.Numbers[MeterLux]; math.Abs(e-sum) > 0.04*sum || e >= sum {
		t.Errorf("both channels give %v lx, each alone together %v: want a little less for the shared heat and plus rail", e, sum)
	}
	warm := s
	warm.Drive = map[string]float64{"cool": 0}
	if k := work(t, warm).Numbers[CCT]; math.Abs(k-2700) > 80 {
		t.Errorf("warm channel alone is %v K, want about 2700", k)
	}
}

// workDeep works a lamp out in a tray of another depth, m.
func workDeep(t testing.TB, s lamp.Spec, depth float64) Result {
	t.Helper()
	l := build(t, s)
	l.Tray.Depth = depth
	r, err := Lamp(l)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Whatever lamp can be placed gives ordinary numbers or a plain error. All go
// through Screen, every fortieth through Lamp.
func TestRandomLampsNeverNaN(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	const count = randomLamps
	built := 0
	for i := 0; built < count; i++ {
		if i > 20*count {
			t.Fatalf("only %d of %d random lamps could be placed", built, i)
		}
		set := randomSet(r)
		cache := NewCache()
		for range 8 {
			l, err := lamp.Build(randomSpec(r, set), set)
			if err != nil {
				continue
			}
			prep, err := cache.Prepare(l)
			if err != nil {
				if strings.Contains(err.Error(), "NaN") {
					t.Fatal(err)
				}
				continue
			}
			built++
			s, err := prep.Screen(l)
			if err == nil {
				for k, v := range s.Numbers() {
					if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 && k != Duv && k != Ra && !strings.HasSuffix(k, "_c") {
						t.Fatalf("lamp %d: %s is %v: %+v", i, k, v, l.Spec)
					}
				}
			} else if strings.Contains(err.Error(), "NaN") {
				t.Fatal(err)
			}
			if built%40 == 0 {
				res, err := Lamp(l)
				if err != nil {
					if strings.HasPrefix(err.Error(), "internal") || strings.Contains(err.Error(), "NaN") {
						t.Fatal(err)
					}
					continue
				}
				if len(res.Numbers) < 60 {
					t.Fatalf("lamp %d has only %d numbers", i, len(res.Numbers))
				}
			}
		}
	}
}

// Screen keeps its promise against Lamp over the lamps that it is meant for.
func TestScreenBound(t *testing.T) {
	set := testSet()
	r := rand.New(rand.NewPCG(3, 9))
	worst := 0.0
	for range 60 {
		spec := randomSpec(r, set)
		spec.Feed, spec.Place = "first-row", testSpec().Place
		l, err := lamp.Build(spec, set)
		if err != nil {
			continue
		}
		cache := NewCache()
		p, err := cache.Prepare(l)
		if err != nil {
			t.Fatal(err)
		}
		s, err := p.Screen(l)
		if err != nil {
			continue
		}
		full, err := Lamp(l)
		if err != nil {
			continue
		}
		n := s.Numbers()
		for _, k := range []string{MeterLux, EyeLux, EyeMelanopic, FaceMean, FluxOut, MainsPower, SupplyCurrent} {
			if d := math.Abs(n[k]/full.Numbers[k] - 1); d > ScreenBound {
				t.Errorf("%s: screened %v, in full %v: %.1f %% off; %+v", k, n[k], full.Numbers[k], 100*d, l.Spec)
			} else {
				worst = math.Max(worst, d)
			}
		}
		if d := math.Abs(n[StripTemp] - full.Numbers[StripTemp]); d > s.HeatDoubt+3 {
			t.Errorf("strip screened at %v °C, in full %v, doubt %v K", n[StripTemp], full.Numbers[StripTemp], s.HeatDoubt)
		}
	}
	t.Logf("worst of light and power: %.2f %%", 100*worst)
}

// A part's doubt grows the result's; nothing shrinks it.
func TestSpread(t *testing.T) {
	l := build(t, testSpec())
	u, err := Spread(l)
	if err != nil {
		t.Fatal(err)
	}
	wider := clone(l)
	wider.Strip.Channels[0].Flux = val(1440, 300, "strip flux")
	w, err := Spread(wider)
	if err != nil {
		t.Fatal(err)
	}
	if a, b := u.Values[MeterLux].U(), w.Values[MeterLux].U(); b <= a {
		t.Errorf("a vaguer strip flux took u(E) from %v to %v", a, b)
	}
	if c := w.Values[MeterLux].Contributors(1); c[0].Source != "strip flux" {
		t.Errorf("largest contributor is %v", c)
	}
	// Flux 100/1440, power and voltage move the light by about as much again:
	// first order, checked against sampling the same inputs.
	r := rand.New(rand.NewPCG(5, 5))
	p, err := Prepare(l)
	if err != nil {
		t.Fatal(err)
	}
	ks := knobs(l)
	var sum, sq float64
	const draws = 150
	for range draws {
		m := clone(l)
		for _, k := range ks {
			k.move(&m, r.NormFloat64())
		}
		q, err := p.again(m, l)
		if err != nil {
			t.Fatal(err)
		}
		res, err := q.Lamp(m)
		if err != nil {
			t.Fatal(err)
		}
		sum += res.Numbers[MeterLux]
		sq += res.Numbers[MeterLux] * res.Numbers[MeterLux]
	}
	mean := sum / draws
	sampled := math.Sqrt(sq/draws - mean*mean)
	first := 0.0
	for _, term := range u.Values[MeterLux].Terms {
		if !strings.HasPrefix(term.Source, "model") && !strings.Contains(term.Source, "synthesised") {
			first = math.Hypot(first, term.U)
		}
	}
	// 150 draws know a standard deviation to 6 %; three of that.
	if math.Abs(sampled/first-1) > 0.2 {
		t.Errorf("sampled u(E) %v, first order %v", sampled, first)
	}
}
