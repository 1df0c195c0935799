package figure

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"dawnsmith/paper/draw"

	"pgregory.net/rapid"
)

// read turns a tick's words back into its value.
func read(s scale, words string) (float64, error) {
	plain := strings.NewReplacer("−", "-", "\u202f", "", "⁻", "-", "⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4",
		"⁵", "5", "⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9").Replace(words)
	if s.axis.Log {
		m, e, ok := strings.Cut(words, "10")
		if tail := strings.Trim(e, "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"); ok && e != "" && tail == "" {
			m = strings.TrimSuffix(m, "·")
			if m == "" {
				m = "1"
			}
			exp := strings.TrimPrefix(plain, strings.TrimSuffix(strings.TrimSuffix(plain, strings.TrimPrefix(plain[strings.Index(plain, "10")+2:], "")), ""))
			return strconv.ParseFloat(m+"e"+exp, 64)
		}
	}
	v, err := strconv.ParseFloat(plain, 64)
	return v * math.Pow(10, float64(s.power)), err
}

// Any range of any size gets ticks that say what they stand for and do not
// run into each other.
func TestTicksOfAnyRange(t *testing.T) {
	magnitude := rapid.OneOf(rapid.Float64Range(-3, 6), rapid.Float64Range(-300, 300))
	rapid.Check(t, func(rt *rapid.T) {
		a := Axis{Name: "x", Log: rapid.Bool().Draw(rt, "log"), Zero: rapid.Bool().Draw(rt, "zero")}
		upright, loose := rapid.Bool().Draw(rt, "upright"), rapid.Bool().Draw(rt, "loose")
		length := rapid.Float64Range(20, 200).Draw(rt, "length")
		var e extent
		for range rapid.IntRange(0, 5).Draw(rt, "n") {
			v := math.Pow(10, magnitude.Draw(rt, "magnitude"))
			if !a.Log && rapid.Bool().Draw(rt, "negative") {
				v = -v
			}
			if a.drawable(v) {
				e.add(v)
			}
		}
		s := newScale(a, e, length, upright, loose)
		if !(s.hi > s.lo) || math.IsInf(s.lo, 0) || math.IsInf(s.hi, 0) {
			rt.Fatalf("range %v to %v", s.lo, s.hi)
		}
		if e.any && (s.frac(e.lo) < -1e-6 || s.frac(e.hi) > 1+1e-6) {
			rt.Fatalf("data %v to %v lie outside %v to %v", e.lo, e.hi, s.lo, s.hi)
		}
		if len(s.ticks) == 0 && length > 60 {
			rt.Fatalf("no ticks from %v to %v over %v mm", s.lo, s.hi, length)
		}
		if !s.fits(s.ticks, length, upright) && len(s.ticks) > 2 {
			rt.Fatalf("labels run into each other: %v", s.ticks)
		}
		for _, k := range s.ticks {
			if f := s.frac(k.at); f < -1e-6 || f > 1+1e-6 {
				rt.Fatalf("tick %v lies outside", k)
			}
			v, err := read(s, k.label)
			if err != nil {
				rt.Fatalf("label %q: %v", k.label, err)
			}
			if math.Abs(v-k.at) > 1e-9*max(math.Abs(s.lo), math.Abs(s.hi)) {
				rt.Fatalf("label %q says %v, the tick is at %v", k.label, v, k.at)
			}
		}
	})
}

// Steps are 1, 2 or 5 times a power of ten; numbers fall on them.
func TestTicksAreSensible(t *testing.T) {
	for _, c := range []struct {
		lo, hi, length float64
		want           string
	}{
		{0, 100, 120, "0 20 40 60 80 100"},
		{380, 780, 120, "400 450 500 550 600 650 700 750"},
		{0, 0.05, 120, "0.00 0.01 0.02 0.03 0.04 0.05"},
		{-3, 3, 60, "−2 0 2"},
		{0, 12e6, 60, "0 5 10"},
	} {
		s := newScale(Axis{From: c.lo, To: c.hi}, extent{}, c.length, false, false)
		var got []string
		for _, k := range s.ticks {
			got = append(got, k.label)
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%v to %v: %v, want %s", c.lo, c.hi, got, c.want)
		}
	}
	s := newScale(Axis{Log: true}, extent{0.5, 2000, true}, 120, false, true)
	var got []string
	for _, k := range s.ticks {
		got = append(got, k.label)
	}
	if strings.Join(got, " ") != "0.1 1 10 100 1000 10\u202f000" {
		t.Errorf("log: %v", got)
	}
	if c := (Axis{Name: "light", Unit: "lx"}).caption(-6); c != "light, 10⁻⁶ lx" {
		t.Errorf("caption %q", c)
	}
	clock := newScale(Axis{Clock: true, From: 6, To: 9}, extent{}, 120, false, false)
	if clock.ticks[1].label != "06:30" {
		t.Errorf("clock: %v", clock.ticks)
	}
}

// A plane's line of equal value is straight: 2x + 3y = 12 in cells.
func TestContourOfAPlane(t *testing.T) {
	v := make([][]float64, 8)
	for j := range v {
		v[j] = make([]float64, 9)
		for i := range v[j] {
			v[j][i] = 2*float64(i) + 3*float64(j)
		}
	}
	segs := contour(v, 12.5)
	length := 0.0
	for _, s := range segs {
		for _, p := range s {
			if math.Abs(2*p.X+3*p.Y-12.5) > 1e-9 {
				t.Errorf("%v is not on the line", p)
			}
		}
		length += math.Hypot(s[1].X-s[0].X, s[1].Y-s[0].Y)
	}
	// From (0, 12.5/3) to (6.25, 0).
	if want := math.Hypot(6.25, 12.5/3); math.Abs(length-want) > 1e-9 {
		t.Errorf("the line is %v long, want %v", length, want)
	}
	v[2][2] = math.NaN()
	for _, s := range contour(v, 12.5) {
		if math.IsNaN(s[0].X + s[0].Y + s[1].X + s[1].Y) {
			t.Error("a gap in the map spoils the line")
		}
	}
}

// The map's colours grow lighter all the way: WCAG relative luminance.
func TestRampIsMonotone(t *testing.T) {
	last := -1.0
	for i := range 101 {
		r, g, b := ramp(float64(i) / 100)
		lin := func(v uint8) float64 {
			x := float64(v) / 255
			if x <= 0.04045 {
				return x / 12.92
			}
			return math.Pow((x+0.055)/1.055, 2.4)
		}
		y := 0.2126*lin(r) + 0.7152*lin(g) + 0.0722*lin(b)
		if y <= last {
			t.Fatalf("at %d %% the colour is no lighter than before", i)
		}
		last = y
	}
	if last < 0.85 {
		t.Errorf("the light end has luminance %v only", last)
	}
}

// Known spectral hues: 460 nm blue, 530 nm green, 580 nm yellow, 640 nm red.
func TestWavelengthColours(t *testing.T) {
	for _, c := range []struct {
		nm   float64
		want string // channels from strongest to weakest that matter
	}{{460, "b"}, {530, "g"}, {580, "rg"}, {640, "r"}} {
		r, g, b := wavelengthColour(c.nm)
		v := map[byte]int{'r': int(r), 'g': int(g), 'b': int(b)}
		for ch, x := range v {
			if !strings.ContainsRune(c.want, rune(ch)) && x >= v[c.want[len(c.want)-1]] {
				t.Errorf("%v nm is %d, %d, %d; %s ought to lead", c.nm, r, g, b, c.want)
			}
		}
	}
}

// Lines are told apart without colour: no two of the first four and the
// reference share dash and width.
func TestLooksDifferWithoutColour(t *testing.T) {
	st := looks([]Series{{}, {}, {}, {}, {Reference: true}})
	seen := map[[2]float64]bool{}
	for _, s := range st {
		k := [2]float64{float64(s.Dash), s.Width}
		if seen[k] {
			t.Errorf("two curves share dash %v and width %v", s.Dash, s.Width)
		}
		seen[k] = true
	}
}

func TestThinKeepsExtremes(t *testing.T) {
	ps := make([]draw.Point, 100_000)
	for i := range ps {
		ps[i] = draw.Point{X: float64(i) / 1000, Y: math.Sin(float64(i))}
	}
	ps[51_234].Y = 7
	out := thin(ps)
	if len(out) > 5000 {
		t.Errorf("%d points left", len(out))
	}
	found := false
	for i, p := range out {
		found = found || p.Y == 7
		if i > 0 && p.X < out[i-1].X {
			t.Fatal("points out of order")
		}
	}
	if !found {
		t.Error("the spike was lost")
	}
}
