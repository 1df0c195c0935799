package figure

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// Axis says what one axis of a chart shows.
type Axis struct {
	Name string // "illuminance at the meter"
	Unit string // "lx"; empty for plain numbers
	// Log makes the axis logarithmic.
	Log bool
	// From and To fix the range; both zero takes it from the data.
	From, To float64
	// Zero makes a linear axis start at zero or include it.
	Zero bool
	// Clock labels hours since midnight as 06:30.
	Clock bool
}

// caption is the axis's name with its unit, and the power of ten its numbers
// are shown in, if any.
func (a Axis) caption(power int) string {
	unit := a.Unit
	if power != 0 {
		unit = strings.TrimRight("10"+superscript(power)+" "+unit, " ")
	}
	switch {
	case unit == "":
		return a.Name
	case a.Name == "":
		return unit
	}
	return a.Name + ", " + unit
}

// superscript writes an exponent in raised figures.
func superscript(n int) string {
	var b strings.Builder
	for _, c := range fmt.Sprint(n) {
		b.WriteRune(map[rune]rune{'-': '⁻', '0': '⁰', '1': '¹', '2': '²', '3': '³', '4': '⁴',
			'5': '⁵', '6': '⁶', '7': '⁷', '8': '⁸', '9': '⁹'}[c])
	}
	return b.String()
}

// Values beyond hugest are not drawn; those nearer zero than tiniest are zero.
const (
	hugest  = 1e280
	tiniest = 1e-280
)

// drawable reports whether v can be placed on the axis.
func (a Axis) drawable(v float64) bool {
	if math.IsNaN(v) || math.Abs(v) > hugest {
		return false
	}
	return !a.Log || v >= tiniest
}

// extent is the range of values seen; the zero extent has seen none.
type extent struct {
	lo, hi float64
	any    bool
}

func (e *extent) add(v float64) {
	if math.Abs(v) < tiniest {
		v = 0
	}
	if !e.any {
		*e = extent{v, v, true}
		return
	}
	e.lo, e.hi = min(e.lo, v), max(e.hi, v)
}

// addAll takes in what the axis can draw and counts what it cannot.
func (e *extent) addAll(a Axis, vs []float64) (left int) {
	for _, v := range vs {
		if a.drawable(v) {
			e.add(v)
		} else {
			left++
		}
	}
	return left
}

type tick struct {
	at    float64
	label string
}

// scale carries values to a stretch of paper.
type scale struct {
	axis   Axis
	lo, hi float64
	ticks  []tick
	minor  []float64
	power  int // labels are values divided by 10^power
}

// frac is where v lies: 0 at lo, 1 at hi. It is kept within ±50 so that far
// values cannot spoil a drawing that is clipped anyway.
func (s scale) frac(v float64) float64 {
	var f float64
	if s.axis.Log {
		f = (math.Log(v) - math.Log(s.lo)) / (math.Log(s.hi) - math.Log(s.lo))
	} else {
		f = (v - s.lo) / (s.hi - s.lo)
	}
	return min(max(f, -50), 50)
}

// inside reports whether v lies in the drawn range.
func (s scale) inside(v float64) bool {
	if !s.axis.drawable(v) {
		return false
	}
	f := s.frac(v)
	return f >= -1e-9 && f <= 1+1e-9
}

// newScale chooses range and ticks for an axis of the given length in mm.
// Loose widens a range taken from data to whole steps.
func newScale(a Axis, e extent, length float64, upright, loose bool) scale {
	fixed := a.To > a.From && a.drawable(a.From) && a.drawable(a.To)
	if fixed {
		e = extent{a.From, a.To, true}
	}
	s := scale{axis: a}
	if !e.any {
		e = extent{0, 1, true}
		if a.Log {
			e = extent{1, 10, true}
		}
	}
	if a.Log {
		s.logarithmic(e, length, upright, loose && !fixed)
		return s
	}
	if a.Zero && !fixed {
		e.add(0)
	}
	if m := max(math.Abs(e.lo), math.Abs(e.hi)); e.hi-e.lo <= 1e-9*m || m == 0 {
		switch {
		case m == 0:
			e.hi = 1
		default:
			e.lo, e.hi = e.lo-0.1*m, e.hi+0.1*m
		}
	}
	s.linear(e, length, upright, loose && !fixed)
	return s
}

// fits reports whether the labels stand clear of each other.
func (s scale) fits(ts []tick, length float64, upright bool) bool {
	const clear = 2.4
	end := math.Inf(-1)
	for _, t := range ts {
		c, half := s.frac(t.at)*length, draw.SizeLabel/2
		if !upright {
			half = draw.TextWidth(t.label, draw.SizeLabel, false) / 2
		}
		if c-half < end+clear {
			return false
		}
		end = c + half
	}
	return true
}

// linear tries ever fewer steps until the labels fit.
func (s *scale) linear(e extent, length float64, upright, loose bool) {
	most := int(length / 14)
	if upright {
		most = int(length / 7.5)
	}
	var last scale // the latest that had ticks
	for n := min(max(most, 2), 10); ; n-- {
		step := niceStep((e.hi/float64(max(n, 1)) - e.lo/float64(max(n, 1))), s.axis.Clock)
		s.lo, s.hi = e.lo, e.hi
		if loose {
			s.lo, s.hi = math.Floor(e.lo/step+1e-6)*step, math.Ceil(e.hi/step-1e-6)*step
		}
		if s.power = 0; !s.axis.Clock {
			s.power = commonPower(max(math.Abs(s.lo), math.Abs(s.hi)))
		}
		s.ticks = s.steps(step)
		if len(s.ticks) > 0 {
			last = *s
		}
		if n <= 1 && (len(s.ticks) == 0 || !s.fits(s.ticks, length, upright)) && len(last.ticks) > 0 {
			// No room even for one step: the ends, or one of them.
			*s = last
			if s.ticks = []tick{last.ticks[0], last.ticks[len(last.ticks)-1]}; len(last.ticks) == 1 || !s.fits(s.ticks, length, upright) {
				s.ticks = last.ticks[:1]
			}
		}
		if n <= 1 || s.fits(s.ticks, length, upright) {
			s.minor = s.between(step)
			return
		}
	}
}

// commonPower is the power of ten, a multiple of three, that numbers up to m
// are shown in; 0 for numbers that read well as they are.
func commonPower(m float64) int {
	if m < 1e6 && m >= 1e-2 {
		return 0
	}
	return 3 * int(math.Floor(math.Log10(m)/3+1e-9))
}

// niceStep is 1, 2 or 5 times a power of ten, at least raw; for hours, parts
// and multiples of an hour that a clock shows.
func niceStep(raw float64, clock bool) float64 {
	if clock {
		for _, h := range []float64{1. / 60, 5. / 60, 0.25, 0.5, 1, 2, 3, 6, 12, 24, 48, 96} {
			if h >= raw*(1-1e-9) {
				return h
			}
		}
	}
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if m*p >= raw*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}

// steps gives the labelled multiples of step within the range.
func (s *scale) steps(step float64) []tick {
	var ts []tick
	from, to := math.Ceil(s.lo/step-1e-6), math.Floor(s.hi/step+1e-6)
	unit := math.Pow(10, float64(s.power))
	decimals := max(0, -int(math.Floor(math.Log10(step/unit)+1e-9)))
	for k := from; k <= to && len(ts) < 64; k++ {
		v := k * step
		ts = append(ts, tick{v, s.label(v, unit, decimals)})
	}
	return ts
}

func (s *scale) label(v, unit float64, decimals int) string {
	if s.axis.Clock {
		m := int(math.Round(v*60)) % 1440
		if m < 0 {
			m += 1440
		}
		return fmt.Sprintf("%02d:%02d", m/60, m%60)
	}
	return quantity.Decimals(v/unit, decimals)
}

// between gives the unlabelled ticks between the labelled ones.
func (s *scale) between(step float64) []float64 {
	parts := 5.0
	lead := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
	switch {
	case s.axis.Clock:
		parts = map[bool]float64{true: 4, false: 3}[step < 3]
	case math.Abs(lead-2) < 0.1:
		parts = 4
	}
	var out []float64
	small := step / parts
	from, to := math.Ceil(s.lo/small-1e-6), math.Floor(s.hi/small+1e-6)
	for k := from; k <= to && len(out) < 400; k++ {
		if math.Mod(k, parts) != 0 {
			out = append(out, k*small)
		}
	}
	return out
}

// logarithmic chooses decades, or 1-2-5 within them, or plain steps when the
// range is short.
func (s *scale) logarithmic(e extent, length float64, upright, loose bool) {
	if e.hi <= e.lo*(1+1e-6) {
		e.lo, e.hi = e.lo/2, e.hi*2
	}
	if loose {
		marks := []float64{1, 2, 5, 10}
		if math.Log10(e.hi)-math.Log10(e.lo) > 3 {
			marks = []float64{1, 10}
		}
		e.lo, e.hi = logDown(e.lo, marks), logUp(e.hi, marks)
	}
	s.lo, s.hi = e.lo, e.hi
	d0, d1 := int(math.Floor(math.Log10(s.lo)+1e-9)), int(math.Ceil(math.Log10(s.hi)-1e-9))
	pick := func(stride int, marks ...float64) []tick {
		var ts []tick
		for d := d0; d <= d1; d++ {
			if stride > 1 && d%stride != 0 {
				continue
			}
			for _, m := range marks {
				if v := m * math.Pow(10, float64(d)); v >= s.lo*(1-1e-9) && v <= s.hi*(1+1e-9) {
					ts = append(ts, tick{v, logLabel(m, d)})
				}
			}
		}
		return ts
	}
	tries := [][]tick{pick(1, 1, 2, 3, 4, 5, 6, 7, 8, 9), pick(1, 1, 2, 5), pick(1, 1)}
	for _, stride := range []int{2, 3, 5, 10, 15, 20, 30, 50, 70, 100, 150, 200, 300} {
		tries = append(tries, pick(stride, 1))
	}
	for _, ts := range tries {
		if len(ts) > len(s.ticks) && s.fits(ts, length, upright) {
			s.ticks = ts
		}
		if len(s.ticks) >= 2 {
			break
		}
	}
	if len(s.ticks) < 3 && s.hi < 20*s.lo {
		// Short of decades: plain steps, as many as fit.
		s.power = commonPower(s.hi)
		for n := 6; n >= 1; n-- {
			step := niceStep((s.hi-s.lo)/float64(n), false)
			if ts := s.steps(step); len(ts) > len(s.ticks) && s.fits(ts, length, upright) {
				s.ticks = ts
				break
			}
			if n == 1 {
				s.power = 0 // the decades stay
			}
		}
	}
	if d1-d0 <= 8 {
		for d := d0; d <= d1; d++ {
			for m := 1.0; m < 10; m++ {
				if v := m * math.Pow(10, float64(d)); v >= s.lo*(1-1e-9) && v <= s.hi*(1+1e-9) {
					s.minor = append(s.minor, v)
				}
			}
		}
	}
}

func logDown(v float64, marks []float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)+1e-9))
	out := p
	for _, m := range marks {
		if m*p <= v*(1+1e-9) {
			out = m * p
		}
	}
	return out
}

func logUp(v float64, marks []float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)+1e-9))
	for _, m := range marks {
		if m*p >= v*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}

func logLabel(m float64, d int) string {
	switch {
	case d >= -3 && d < 6:
		return quantity.Decimals(m*math.Pow(10, float64(d)), max(0, -d))
	case m == 1:
		return "10" + superscript(d)
	}
	return fmt.Sprintf("%g·10%s", m, superscript(d))
}
