package heat

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// What the model itself would have read asks for no correction, and a lamp
// with other watts is found out by one reading, wherever and whenever taken.
func TestCorrectFindsTheHeat(t *testing.T) {
	g := rand.New(rand.NewPCG(5, 8))
	tried := 0
	for range 60 {
		in := randomTray(g)
		in.LED = LED{Heat: 0.03, Resistance: 20, PadRise: 1}
		in.Diffuser = Diffuser{Thickness: 0.003, Density: 1190, SpecificHeat: 1470}
		for _, m := range Metals() {
			if m.Name == in.Sheet.Name {
				in.Sheet.Density, in.Sheet.SpecificHeat = m.Density, m.SpecificHeat
			}
		}
		want := 0.5 + g.Float64()
		real := in.scaled(want)
		r := Reading{At: Site(g.IntN(3)), After: []float64{0, 600, 1800, 3600}[g.IntN(4)]}
		if _, err := Series(&in); err != nil {
			continue
		}
		var err error
		if r.Temperature, err = real.expect(r); err != nil || r.Temperature < in.Ambient+3 {
			continue // hotter than the models reach, or hardly warm
		}
		tried++
		c, err := Correct(&in, []Reading{r})
		if err != nil {
			t.Fatalf("%+v: %v", r, err)
		}
		if math.Abs(c.Factor-want) > 1e-3 {
			t.Errorf("%+v: factor %.4f, want %.4f", r, c.Factor, want)
		}
		now, err := in.Corrected(c).expectAt(r)
		if err != nil || math.Abs(now-r.Temperature) > 0.01 {
			t.Errorf("corrected reads %.3f K, measured %.3f K: %v", now, r.Temperature, err)
		}
	}
	if tried < 30 {
		t.Fatalf("only %d trays tried", tried)
	}
}

func (in Input) expectAt(r Reading) (float64, error) { return in.expect(r) }

// Two readings that disagree are averaged.
func TestCorrectAverages(t *testing.T) {
	in := readCases(t).Cases[0].Input()
	a, err := in.scaled(0.8).expectAt(Reading{At: OnTray})
	if err != nil {
		t.Fatal(err)
	}
	b, err := in.scaled(1.2).expectAt(Reading{At: OnTray})
	if err != nil {
		t.Fatal(err)
	}
	c, err := Correct(&in, []Reading{{At: OnTray, Temperature: a}, {At: OnTray, Temperature: b}})
	if err != nil || math.Abs(c.Factor-1) > 1e-3 || len(c.Each) != 2 {
		t.Errorf("%+v %v", c, err)
	}
	cool := in
	cool.Ambient -= 6
	d, err := cool.scaled(1.1).expectAt(Reading{At: OnTray})
	if err != nil {
		t.Fatal(err)
	}
	if c, err := Correct(&in, []Reading{{At: OnTray, Temperature: d, Air: cool.Ambient}}); err != nil || math.Abs(c.Factor-1.1) > 1e-3 {
		t.Errorf("read in cooler air: %+v %v", c, err)
	}
	if c, err := Correct(&in, nil); err != nil || c.Factor != 1 {
		t.Errorf("no readings: %+v %v", c, err)
	}
}

func TestReadingRefusals(t *testing.T) {
	in := readCases(t).Cases[0].Input()
	for name, c := range map[string]struct {
		r    Reading
		says string
	}{
		"colder than the air": {Reading{Temperature: in.Ambient - 1}, "over the air"},
		"no number":           {Reading{Temperature: math.NaN()}, "temperature"},
		"a kettle":            {Reading{Temperature: 415}, "heat"},
		"before the start":    {Reading{Temperature: 320, After: -1}, "time"},
		"nowhere":             {Reading{Temperature: 320, At: 9}, "tray, strip or sheet"},
		"hardly warm":         {Reading{Temperature: in.Ambient + 2.5}, "less than a fifth"},
	} {
		if _, err := Correct(&in, []Reading{c.r}); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Correct(&in, []Reading{{Temperature: in.Ambient + 2.5}}); !errors.Is(err, ErrReading) {
		t.Errorf("not an ErrReading: %v", err)
	}
	if _, err := SiteNamed("lid"); err == nil {
		t.Error("a lid was taken")
	}
	for _, s := range []Site{OnTray, OnStrip, OnSheet} {
		if got, err := SiteNamed(s.String()); err != nil || got != s {
			t.Errorf("%v: %v %v", s, got, err)
		}
	}
}
