package quantity

import (
	"math"
	"strconv"
	"strings"
)

// thinSpace parts thousands and joins a number to its unit: a narrow space
// at which no line may break (U+202F), as ISO 80000-1 asks for a small space.
const thinSpace = "\u202f"

// Digits writes x with n significant digits (at least 1), thousands parted,
// never in exponent form between 1e-4 and 1e9. NaN and infinities are
// written "–": they are not numbers to show.
func Digits(x float64, n int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	if x == 0 {
		return "0"
	}
	n = max(n, 1)
	a := math.Abs(x)
	if a < 1e-4 || a >= 1e9 {
		return strings.Replace(strconv.FormatFloat(x, 'g', n, 64), "-", "−", 1)
	}
	// Round first: 999.96 with four digits is 1000, not 1000.0.
	r, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', n-1, 64), 64)
	return Decimals(r, max(0, n-1-exponent(r)))
}

func exponent(x float64) int {
	s := strconv.FormatFloat(math.Abs(x), 'e', 15, 64)
	e, _ := strconv.Atoi(s[strings.IndexByte(s, 'e')+1:])
	return e
}

// Decimals writes x with d decimals and thousands parted from five digits on.
func Decimals(x float64, d int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	s := strconv.FormatFloat(math.Abs(x), 'f', d, 64)
	whole, frac, _ := strings.Cut(s, ".")
	if len(whole) > 4 {
		var b strings.Builder
		for i, c := range whole {
			if i > 0 && (len(whole)-i)%3 == 0 {
				b.WriteString(thinSpace)
			}
			b.WriteRune(c)
		}
		whole = b.String()
	}
	if frac != "" {
		whole += "." + frac
	}
	if x < 0 && strings.ContainsAny(s, "123456789") {
		whole = "−" + whole
	}
	return whole
}

// FormatUncertain writes x ± U with U at two significant digits (one when its
// first digit is 3 or more, so that 0.34 shows as 0.3) and x to the same
// place. U = 0 gives x with four digits.
func FormatUncertain(x, expanded float64) string {
	num, u := split2(x, expanded)
	if u == "" {
		return num
	}
	return num + " ± " + u
}

func split2(x, expanded float64) (num, u string) {
	if math.IsNaN(expanded) || math.IsInf(expanded, 0) {
		return Digits(x, 4), "?"
	}
	if expanded <= 0 {
		return Digits(x, 4), ""
	}
	e := exponent(expanded)
	place := e // decimal place of the last digit kept
	if lead := expanded / math.Pow(10, float64(e)); lead < 2.95 {
		place--
	}
	d := max(0, -place)
	round := func(v float64) float64 {
		if place <= 0 {
			return v
		}
		p := math.Pow(10, float64(place))
		return math.Round(v/p) * p
	}
	return Decimals(round(x), d), Decimals(round(expanded), d)
}

// Format writes an SI number in the dimension's own unit with n significant
// digits: Format(0.28, Length, 3) is "280 mm".
func Format(si float64, d Dimension, n int) string {
	return FormatIn(si, d, d.Unit(), n)
}

// FormatIn writes an SI number in the named unit, falling back on the
// dimension's own when it has no such unit.
func FormatIn(si float64, d Dimension, unitName string, n int) string {
	x, ok := d.In(si, unitName)
	if !ok {
		unitName = d.Unit()
		x, _ = d.In(si, unitName)
	}
	return withUnit(Digits(x, n), unitName)
}

func withUnit(num, unitName string) string {
	switch unitName {
	case "":
		return num
	case "°":
		return num + unitName
	}
	return num + thinSpace + unitName
}

// FormatValue writes v in the dimension's own unit as "x ± U unit" with the
// expanded uncertainty U = 2u (k = 2).
func FormatValue(v Value, d Dimension) string {
	u := dimensions[d].units[0]
	num, un := split2((v.X-u.offset)/u.factor, 2*v.U()/u.factor)
	if un != "" {
		num += " ± " + un
	}
	return withUnit(num, u.name)
}

// Exactly writes an SI number in the dimension's own unit with every digit it
// has, plain, for documents that are read again: Parse(Exactly(x, d), d) is x
// to within one part in 1e14.
func Exactly(si float64, d Dimension) string {
	u := dimensions[d].units[0]
	if d == Ratio || d == Number {
		return strconv.FormatFloat(si, 'g', -1, 64)
	}
	x := (si - u.offset) / u.factor
	s := strconv.FormatFloat(x, 'g', 15, 64)
	if u.name == "" {
		return s
	}
	return s + " " + u.name
}
