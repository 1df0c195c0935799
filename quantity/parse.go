package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// ParseError says what was found, what is allowed and how to mend it. It has
// no place in a file; the reader of the file adds that.
type ParseError struct {
	Text string    // as found
	Dim  Dimension // what was wanted
	Why  string    // what is wrong
	Mend string    // what to write instead
}

// Error gives one line for a person.
func (e *ParseError) Error() string {
	s := fmt.Sprintf("%q is not a %s: %s", e.Text, e.Dim, e.Why)
	if e.Mend != "" {
		s += "; " + e.Mend
	}
	return s
}

func (d Dimension) example() string {
	switch d {
	case Number:
		return "12"
	case Ratio:
		return "0.65 or 65 %"
	case CrossSection:
		return "0.5 mm² or 20 AWG"
	case Temperature:
		return "42 °C"
	case Length:
		return "280 mm or 11 in"
	}
	return "12 " + d.Unit()
}

// Parse reads a number with its unit, such as "280 mm", "11 1/2 in",
// "1.2e3 lx", "65 %" or "20 AWG", and returns it in SI. A decimal comma is
// taken ("1,5 m") unless it could be a thousands mark ("1,500 mm"), which is
// refused. Every dimension other than Number and Ratio needs its unit. The
// result is finite; the error is a *ParseError.
func Parse(text string, d Dimension) (float64, error) {
	num, name := split(text)
	if num == "" {
		return 0, &ParseError{text, d, "no number at the start", "write for example " + strconv.Quote(d.example())}
	}
	x, why := number(num)
	if why != "" {
		return 0, &ParseError{text, d, why, "write for example " + strconv.Quote(d.example())}
	}
	if d == CrossSection {
		if rest, ok := strings.CutPrefix(strings.ToUpper(name), "AWG"); ok && rest == "" {
			return awgArea(x, text)
		}
	}
	if name == "" && d != Number && d != Ratio {
		return 0, &ParseError{text, d, "the unit is missing", "add one of " + strings.Join(d.Units(), ", ")}
	}
	u, ok := d.find(name)
	if !ok {
		if d == Number {
			return 0, &ParseError{text, d, fmt.Sprintf("%q follows the number", name), "write the number alone"}
		}
		return 0, &ParseError{text, d, fmt.Sprintf("unit %q is not known here", name), "use one of " + strings.Join(d.Units(), ", ")}
	}
	si := x*u.factor + u.offset
	if math.IsNaN(si) || math.IsInf(si, 0) {
		return 0, &ParseError{text, d, "the number is not finite", "write an ordinary number"}
	}
	return si, nil
}

// awgArea converts an American wire gauge to m² by ASTM B258:
// d = 0.127 mm · 92^((36−n)/39).
func awgArea(n float64, text string) (float64, error) {
	if n != math.Trunc(n) || n < 0 || n > 40 {
		return 0, &ParseError{text, CrossSection, "a wire gauge is a whole number from 0 to 40", "write for example \"20 AWG\""}
	}
	d := 0.127e-3 * math.Pow(92, (36-n)/39)
	return math.Pi / 4 * d * d, nil
}

// split parts the leading number (digits, sign, point, comma, exponent,
// spaces between groups of a fraction) from the unit that follows.
func split(text string) (num, name string) {
	s := strings.TrimSpace(text)
	s = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\u2212", "-").Replace(s)
	if rest, ok := strings.CutPrefix(strings.ToUpper(s), "AWG"); ok { // "AWG 20" as spoken
		return strings.TrimSpace(rest), "AWG"
	}
	i := 0
	for i < len(s) {
		c := s[i]
		switch {
		case c >= '0' && c <= '9', c == '.', c == ',', c == '+', c == '-', c == '/':
			i++
			continue
		case (c == 'e' || c == 'E') && i > 0 && i+1 < len(s) && (isDigit(s[i+1]) || ((s[i+1] == '-' || s[i+1] == '+') && i+2 < len(s) && isDigit(s[i+2]))):
			i += 2
			continue
		case c == ' ' && i+1 < len(s) && isDigit(s[i+1]):
			i++
			continue
		}
		break
	}
	num = strings.TrimSpace(s[:i])
	// "/m" is a unit, not part of the number: give back a slash that no digit follows.
	if cut, ok := strings.CutSuffix(num, "/"); ok {
		cut = strings.TrimSuffix(strings.TrimSpace(cut), " 1") // "120 1/m"
		return strings.TrimSpace(cut), "/" + strings.TrimSpace(s[i:])
	}
	return num, strings.TrimSpace(s[i:])
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// number reads a decimal, a fraction "1/2" or a mixed number "11 1/2".
func number(s string) (x float64, why string) {
	if strings.ContainsFunc(s, unicode.IsSpace) || strings.Contains(s, "/") {
		return mixed(s)
	}
	if n := strings.Count(s, ","); n > 0 {
		whole, frac, _ := strings.Cut(s, ",")
		switch {
		case n > 1 || strings.Contains(s, "."):
			return 0, "more than one decimal mark"
		case len(frac) == 3 && strings.Trim(whole, "+-0") != "" && !strings.ContainsAny(frac, "eE"):
			return 0, "a comma before three digits may be a decimal or a thousands mark"
		}
		s = whole + "." + frac
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return 0, fmt.Sprintf("%q is not an ordinary number", s)
	}
	return x, ""
}

func mixed(s string) (float64, string) {
	parts := strings.Fields(s)
	if !strings.Contains(s, "/") && grouped(parts) {
		return number(strings.Join(parts, ""))
	}
	if len(parts) > 2 {
		return 0, "more than one number"
	}
	x := 0.0
	frac := parts[len(parts)-1]
	if len(parts) == 2 {
		w, err := strconv.ParseUint(parts[0], 10, 32)
		if err != nil {
			return 0, fmt.Sprintf("%q is not a whole number before a fraction", parts[0])
		}
		x = float64(w)
	}
	a, b, ok := strings.Cut(frac, "/")
	if !ok {
		return 0, "spaces between digits that do not part thousands"
	}
	p, err1 := strconv.ParseUint(a, 10, 32)
	q, err2 := strconv.ParseUint(b, 10, 32)
	if err1 != nil || err2 != nil || q == 0 {
		return 0, fmt.Sprintf("%q is not a fraction", frac)
	}
	return x + float64(p)/float64(q), ""
}

// ParseUncertain reads a number as Parse does, optionally followed by its
// standard uncertainty: "120 lm/W ± 6 lm/W", "120 ± 6 lm/W" or
// "120 lm/W ± 5 %" ("+-" and "+/-" are taken for ±). The number after ± is
// one standard uncertainty (k = 1), and its unit, when it is not %, is that of
// the number. It returns SI values; hasU tells whether one was stated.
func ParseUncertain(text string, d Dimension) (x, u float64, hasU bool, err error) {
	norm := strings.NewReplacer("+/-", "±", "+-", "±").Replace(text)
	left, right, ok := strings.Cut(norm, "±")
	if !ok {
		x, err = Parse(text, d)
		return x, 0, false, err
	}
	bad := func(why string) error {
		return &ParseError{text, d, why, "write for example " + strconv.Quote(d.example()+" ± 5 %")}
	}
	if strings.Contains(right, "±") {
		return 0, 0, false, bad("more than one ±")
	}
	leftNum, leftUnit := split(left)
	rightNum, rightUnit := split(right)
	if leftNum == "" || rightNum == "" {
		return 0, 0, false, bad("a number is missing beside ±")
	}
	if leftUnit == "" {
		leftUnit = rightUnit
		if rightUnit == "%" && d != Ratio {
			leftUnit = ""
		}
	}
	if x, err = Parse(leftNum+" "+leftUnit, d); err != nil {
		return 0, 0, false, err
	}
	un, why := number(rightNum)
	if why != "" {
		return 0, 0, false, bad(why)
	}
	if un < 0 {
		return 0, 0, false, bad("the uncertainty is negative")
	}
	if rightUnit == "%" && leftUnit != "%" {
		return x, math.Abs(x) * un / 100, true, nil
	}
	if rightUnit == "" {
		rightUnit = leftUnit
	}
	f, ok := d.find(rightUnit)
	if !ok {
		return 0, 0, false, bad(fmt.Sprintf("unit %q is not known here", rightUnit))
	}
	u = un * f.factor // an interval: the offset of °C or °F does not enter
	if math.IsInf(u, 0) || math.IsNaN(u) {
		return 0, 0, false, bad("the uncertainty is not finite")
	}
	return x, u, true, nil
}

// grouped reports whether the parts are digits in groups of three, as Digits
// writes them ("12 300"); the last group may carry decimals.
func grouped(parts []string) bool {
	for i, p := range parts {
		whole, _, _ := strings.Cut(p, ".")
		digits := strings.TrimLeft(whole, "+-")
		switch {
		case i == 0 && (len(digits) > 3 || digits == "" || p != whole):
			return false
		case i > 0 && (len(whole) != 3 || digits != whole):
			return false
		case i < len(parts)-1 && p != whole:
			return false
		}
	}
	return true
}
