package file

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"dawnsmith/quantity"
)

// foreign are units in which a document is written only when the usual ones
// give no short text: a length of exactly 11 in stays "11 in".
var foreign = []string{"in", "ft", "in²", "°F", "fc", "lm/ft", "W/ft", "/ft", "lb", "oz", "AWG", "cm", "µm", "cm²", "klx", "kcd/m²", "klm"}

// longText is the length from which a text counts as long.
const longText = 8

// exactly writes x, in SI, as the shortest text that Parse reads back to the
// same bits, in the dimension's own unit where that is short.
func exactly(x float64, d quantity.Dimension) (string, error) {
	if !finite(x) {
		return "", errNotFinite
	}
	if x == 0 {
		x = 0 // −0 is written as 0
	}
	best, digits := "", math.MaxInt
	try := func(unit string) {
		num, ok := shortest(x, d, unit)
		if !ok || len(num) >= digits {
			return
		}
		best, digits = join(num, unit), len(num)
	}
	own := d.Unit()
	if num, ok := shortest(x, d, own); ok && len(num) <= 3 && !strings.HasPrefix(strings.TrimPrefix(num, "-"), "0.") {
		return join(num, own), nil
	}
	var later []string
	for _, u := range d.Units() {
		if isForeign(u) {
			later = append(later, u)
			continue
		}
		try(u)
	}
	if digits > longText {
		for _, u := range later {
			try(u)
		}
	}
	if best == "" { // no decimal text meets the bits: the nearest one
		in, _ := d.In(x, own)
		best = join(strconv.FormatFloat(in, 'g', 17, 64), own)
	}
	if _, err := quantity.Parse(best, d); err != nil {
		return "", err
	}
	return best, nil
}

func isForeign(u string) bool { return slices.Contains(foreign, u) }

func join(num, unit string) string {
	if unit == "°" || unit == "" {
		return num + unit
	}
	return num + " " + unit
}

// decimal writes x with so many digits, without exponent where that is short.
func decimal(x float64, digits int) string {
	num := strconv.FormatFloat(x, 'g', digits, 64)
	if back, err := strconv.ParseFloat(num, 64); err == nil && (math.Abs(back) >= 1e-4 && math.Abs(back) < 1e9 || back == 0) {
		return strconv.FormatFloat(back, 'f', -1, 64)
	}
	return num
}

// shortest finds the fewest digits that read back to x in the unit.
func shortest(x float64, d quantity.Dimension, unit string) (string, bool) {
	in, ok := d.In(x, unit)
	if !ok {
		if unit != "AWG" {
			return "", false
		}
		in = 36 - 39*math.Log(2*math.Sqrt(x/math.Pi)/0.127e-3)/math.Log(92) // ASTM B258
		in = math.Round(in)
	}
	exact := func(in float64, digits int) (string, bool) {
		num := decimal(in, digits)
		got, err := quantity.Parse(join(num, unit), d)
		return num, err == nil && got == x
	}
	for digits := 1; digits <= 17; digits++ {
		if num, ok := exact(in, digits); ok {
			return num, true
		}
	}
	// Dividing by the unit may have rounded to a neighbour of the right number.
	for _, to := range []float64{math.Inf(1), math.Inf(-1)} {
		if num, ok := exact(math.Nextafter(in, to), 17); ok {
			return num, true
		}
	}
	return "", false
}

// valueText writes an uncertain number; the uncertainty is left out when
// reading would assume the same.
func valueText(f field, v quantity.Value, subject string) (string, error) {
	u := v.U()
	if !v.Finite() {
		return "", errNotFinite
	}
	num := ""
	var err error
	if f.bare() {
		num, err = plainNumber(v.X)
	} else {
		num, err = exactly(v.X, f.dim)
	}
	if err != nil {
		return "", err
	}
	assume := f.defaultU(v.X)
	told := len(v.Terms) > 0 && !(len(v.Terms) == 1 && strings.HasSuffix(v.Terms[0].Source, assumed))
	if u == assume && !told {
		if f.bare() {
			return num, nil
		}
		return `"` + num + `"`, nil
	}
	s, err := withUncertainty(num, u, v.X, f.dim)
	if err != nil {
		return "", err
	}
	return `"` + s + `"`, nil
}

// withUncertainty adds ± u: in percent where that is exact in a few digits,
// else in a unit of the dimension.
func withUncertainty(num string, u, x float64, d quantity.Dimension) (string, error) {
	if u == 0 {
		return num + " ± 0", nil
	}
	same := func(text string) bool {
		gx, gu, has, err := quantity.ParseUncertain(text, d)
		return err == nil && has && gx == x && gu == u
	}
	if x != 0 {
		pc := 100 * u / math.Abs(x)
		for digits := 1; digits <= 4; digits++ {
			if text := num + " ± " + decimal(pc, digits) + " %"; same(text) {
				return text, nil
			}
		}
	}
	units := d.Units()
	if len(units) == 0 || d == quantity.Ratio {
		units = []string{""}
	}
	nearest := ""
	for _, unit := range units {
		if unit == "AWG" || isForeign(unit) {
			continue
		}
		in := u
		if unit != "" {
			a, _ := d.In(u, unit)
			b, _ := d.In(0, unit)
			in = a - b // an interval: offsets do not enter
		}
		text := func(in float64, digits int) string {
			return strings.TrimSpace(num + " ± " + decimal(in, digits) + " " + unit)
		}
		for digits := 1; digits <= 17; digits++ {
			if s := text(in, digits); same(s) {
				return s, nil
			}
		}
		for _, to := range []float64{math.Inf(1), math.Inf(-1)} {
			if s := text(math.Nextafter(in, to), 17); same(s) {
				return s, nil
			}
		}
		if nearest == "" {
			nearest = text(in, 17)
		}
	}
	if nearest == "" {
		return "", fmt.Errorf("the uncertainty %v of a %s cannot be written", u, d)
	}
	return nearest, nil // no decimal text meets the bits
}
