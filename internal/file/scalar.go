package file

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// number reads a TOML integer or float; false for anything else.
func number(v *value) (x float64, ok bool) {
	text := strings.ReplaceAll(v.text, "_", "")
	switch v.kind {
	case unstable.Integer:
		if n, err := strconv.ParseInt(text, 0, 64); err == nil {
			return float64(n), true
		}
		// The decimal form of TOML allows no leading zero, base 0 would read
		// one as octal; the library's own check refuses it.
		n, err := strconv.ParseFloat(text, 64)
		return n, err == nil
	case unstable.Float:
		n, err := strconv.ParseFloat(text, 64)
		return n, err == nil
	}
	return 0, false
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// scalar fills a string, bool, int or float64.
func (d *decoder) scalar(e *entry, f field, suffix string, dst reflect.Value, path string) {
	v := e.val
	wrong := func(want string) {
		d.fault(v.span, path, fmt.Sprintf("%q is %s; it is %s", e.key, called(v), want), "write "+f.example())
	}
	switch f.typ.Kind() {
	case reflect.String:
		if v.kind != unstable.String {
			wrong("a text")
			return
		}
		dst.SetString(v.text)
	case reflect.Bool:
		if v.kind != unstable.Bool {
			wrong("true or false")
			return
		}
		dst.SetBool(v.text == "true")
	case reflect.Int:
		x, ok := number(v)
		if !ok || v.kind != unstable.Integer || math.Abs(x) > 1e9 {
			wrong("a whole number")
			return
		}
		dst.SetInt(int64(x))
	case reflect.Float64:
		if x, _, _, ok := d.quantity(e, f, suffix, path, false); ok {
			dst.SetFloat(x)
		}
	default:
		panic(fmt.Sprintf("file: %s cannot stand in a document", f.typ))
	}
}

// quantity reads a number with its dimension; hasU tells that an uncertainty
// was stated, which only uncertain numbers may do.
func (d *decoder) quantity(e *entry, f field, suffix, path string, uncertain bool) (x, u float64, hasU, ok bool) {
	v := e.val
	x, isNumber := number(v)
	switch {
	case isNumber && !finite(x):
		d.fault(v.span, path, fmt.Sprintf("%q is %s", e.key, v.text), "write an ordinary number")
	case isNumber && suffix != "":
		x, ok = f.dim.FromKeySuffix(x, suffix)
		if !finite(x) {
			d.fault(v.span, path, fmt.Sprintf("%q is %s", e.key, v.text), "write an ordinary number")
			ok = false
		}
	case isNumber && f.bare():
		ok = true
	case isNumber:
		d.fault(v.span, path, fmt.Sprintf("%q is %s, but its unit is missing", e.key, v.text), d.withUnit(f, v.text))
	case v.kind != unstable.String:
		d.fault(v.span, path, fmt.Sprintf("%q is %s; it is a %s", e.key, called(v), f.dim), "write "+f.example())
	case suffix != "":
		d.fault(v.span, path, fmt.Sprintf("%q carries its unit in the key, and its value is the text %q", e.key, v.text),
			fmt.Sprintf("write %s = %s, or %s = %q", e.key, "12", f.key, v.text))
	case !f.hasDim:
		d.fault(v.span, path, fmt.Sprintf("%q is the text %q; it is a plain number without unit", e.key, v.text), "write "+f.example()+", without quotes")
	case f.dim == quantity.Ratio && halfPercent(v.text):
		d.fault(v.span, path, fmt.Sprintf("%q is %q, where %% may belong to one number or to both", e.key, v.text), `write for example "0.65 ± 0.02" or "65 % ± 2 %"`)
	default:
		var err error
		if x, u, hasU, err = quantity.ParseUncertain(v.text, f.dim); err != nil {
			d.badQuantity(v, e, path, err)
			return 0, 0, false, false
		}
		if hasU && !uncertain {
			d.fault(v.span, path, fmt.Sprintf("%q takes no uncertainty, and %q states one", e.key, v.text), "write the number and its unit alone")
			return 0, 0, false, false
		}
		ok = true
	}
	return x, u, hasU, ok
}

// halfPercent reports a ratio such as "0.96 ± 2 %".
func halfPercent(text string) bool {
	left, right, ok := strings.Cut(strings.NewReplacer("+/-", "±", "+-", "±").Replace(text), "±")
	return ok && strings.Contains(right, "%") && !strings.Contains(left, "%")
}

// withUnit shows how to write a number that came bare.
func (d *decoder) withUnit(f field, text string) string {
	s := fmt.Sprintf("write it with its unit, such as %s = %q", f.key, quantityText(f.dim, text))
	if k := f.dim.KeySuffixes(); len(k) > 0 {
		s += fmt.Sprintf(", or name the unit in the key: %s_%s = %s", f.key, k[0], text)
	}
	return s + "; units are " + strings.Join(f.dim.Units(), ", ")
}

func (d *decoder) badQuantity(v *value, e *entry, path string, err error) {
	var pe *quantity.ParseError
	if !errors.As(err, &pe) {
		d.fault(v.span, path, fmt.Sprintf("%q: %v", e.key, err), "")
		return
	}
	d.fault(v.span, path, fmt.Sprintf("%q is %q, not a %s: %s", e.key, v.text, pe.Dim, pe.Why), pe.Mend)
}

// assumed is the mark behind a source whose uncertainty is a default.
const assumed = " (assumed)"

// source names the error source of a field: part, channel and key in words.
func source(subject, key string) string {
	return strings.TrimSpace(subject + " " + strings.ReplaceAll(key, "_", " "))
}

// defaultU is the uncertainty that the u tag gives to x, in SI.
func (f field) defaultU(x float64) float64 {
	text, relative := strings.CutSuffix(f.u, "%")
	if text == "" {
		return 0
	}
	u, err := strconv.ParseFloat(text, 64)
	if err != nil || !(u >= 0) {
		panic(fmt.Sprintf("file: %q has the uncertainty %q", f.key, f.u))
	}
	if relative {
		return u / 100 * math.Abs(x)
	}
	return u
}

// special fills the types that have a form of their own.
func (d *decoder) special(t *table, e *entry, f field, suffix string, dst reflect.Value, subject string) {
	v := e.val
	path := t.sub(e.key)
	switch f.typ {
	case valueType:
		x, u, hasU, ok := d.quantity(e, f, suffix, path, true)
		if !ok {
			return
		}
		name := source(subject, f.key)
		if !hasU {
			u, name = f.defaultU(x), name+assumed
		}
		dst.Set(reflect.ValueOf(quantity.Measured(x, u, name)))
	case moneyType:
		var m part.Money
		if v.kind != unstable.String {
			d.fault(v.span, path, fmt.Sprintf("%q is %s; a price is a text with its currency", e.key, called(v)), "write "+f.example())
			return
		}
		if err := m.UnmarshalText([]byte(v.text)); err != nil {
			what, mend, _ := strings.Cut(err.Error(), "; ")
			if mend == "" {
				mend = "write for example " + f.example()
			}
			d.fault(v.span, path, fmt.Sprintf("%q: %s", e.key, what), mend)
			return
		}
		dst.Set(reflect.ValueOf(m))
	case curveType:
		d.curve(e, f, dst, path)
	case listType:
		if v.kind != unstable.Array {
			d.fault(v.span, path, fmt.Sprintf("%q is %s; it is a list", e.key, called(v)), "write "+f.example())
			return
		}
		list := make([]float64, 0, len(v.items))
		for i, item := range v.items {
			one := field{key: f.key, dim: f.dim, hasDim: f.hasDim, typ: reflect.TypeFor[float64]()}
			x, _, _, ok := d.quantity(&entry{key: e.key, span: item.span, val: item}, one, suffix, fmt.Sprintf("%s[%d]", path, i+1), false)
			if !ok {
				return
			}
			list = append(list, x)
		}
		if len(list) > 0 {
			dst.Set(reflect.ValueOf(list))
		}
	case driveType:
		if v.table == nil {
			d.fault(v.span, path, fmt.Sprintf("%q is %s; it is a table of names and ratios", e.key, called(v)), "write "+f.example())
			return
		}
		m := map[string]float64{}
		for _, c := range v.table.entries {
			if c.val.kind == unstable.Invalid {
				continue
			}
			one := field{key: c.key, dim: f.dim, hasDim: f.hasDim, typ: reflect.TypeFor[float64]()}
			if x, _, _, ok := d.quantity(c, one, "", v.table.sub(c.key), false); ok {
				m[c.key] = x
			}
		}
		if len(m) > 0 {
			dst.Set(reflect.ValueOf(m))
		}
	}
}

// curve fills pairs of wavelength in nm and ratio.
func (d *decoder) curve(e *entry, f field, dst reflect.Value, path string) {
	if e.val.kind != unstable.Array {
		d.fault(e.val.span, path, fmt.Sprintf("%q is %s; it is a list of pairs of wavelength in nm and ratio", e.key, called(e.val)), "write "+f.example())
		return
	}
	var c part.Curve
	for i, item := range e.val.items {
		p := fmt.Sprintf("%s[%d]", path, i+1)
		if item.kind != unstable.Array || len(item.items) != 2 {
			at := item.span
			if item.kind == unstable.Array && len(item.items) > 0 {
				at = item.items[0].span
			}
			d.fault(at, p, fmt.Sprintf("pair %d of %q is not two numbers", i+1, e.key), "write "+f.example())
			return
		}
		var pair [2]float64
		for j, n := range item.items {
			x, ok := number(n)
			if !ok || !finite(x) {
				d.fault(n.span, p, fmt.Sprintf("pair %d of %q holds %s; it is two plain numbers", i+1, e.key, called(n)), "write "+f.example())
				return
			}
			pair[j] = x
		}
		c = append(c, pair)
	}
	if len(c) > 0 {
		dst.Set(reflect.ValueOf(c))
	}
}
