package form

import (
	"encoding"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"

	"dawnsmith/internal/app"
	"dawnsmith/lamp"
	"dawnsmith/quantity"
)

// Kind says how a field is asked for.
type Kind int

const (
	// Text is free text.
	Text Kind = iota
	// Whole is a whole number.
	Whole
	// Amount is a number with its unit, of the field's dimension.
	Amount
	// Tick is yes or no.
	Tick
	// Pick is one of a list: a part of the catalogue, or one of Options.
	Pick
	// Price is an amount of money with its currency.
	Price
	// Amounts is a list of numbers with their units.
	Amounts
	// Readings are temperatures read on the lamp, as app.ParseReading has them,
	// with semicolons between.
	Readings
)

// Option is one choice of a Pick.
type Option struct{ Value, Label string }

// Field is one thing of a document that can be changed.
type Field struct {
	// Key is the path in the document, dotted, as in the TOML file.
	Key string
	// Name is what people read; Hint says in some words what is meant.
	Name, Hint string
	Kind       Kind
	Dim        quantity.Dimension // of an Amount or Amounts
	Optional   bool               // may be left empty
	// Part is the kind of part that is picked; "" when Options are given.
	Part    string
	Options []Option
	// Low, High and Step bound a slider beside the field, in Unit; Unit "" is
	// a plain number; High 0: no slider.
	Low, High, Step float64
	Unit            string
}

// ID is the key in a form fit for an HTML id.
func (f Field) ID() string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, f.Key)
}

// find follows a dotted path of doc keys from the document v points to.
func find(v reflect.Value, path string) (reflect.Value, error) {
	v = reflect.Indirect(v)
	type place struct {
		of   reflect.Type
		path string
	}
	at := place{v.Type(), path}
	index, ok := places.Load(at)
	if !ok {
		found := locate(v.Type(), path)
		if found == nil {
			return reflect.Value{}, fmt.Errorf("the document has no %q", path)
		}
		index, _ = places.LoadOrStore(at, found)
	}
	return v.FieldByIndex(index.([]int)), nil
}

// places remembers where the fields of a document's type are; types do not
// change.
var places sync.Map

// locate gives the index of a field in a type, nil when it has none.
func locate(t reflect.Type, path string) []int {
	key, rest, deeper := strings.Cut(path, ".")
	for i := range t.NumField() {
		f := t.Field(i)
		if name, _, _ := strings.Cut(f.Tag.Get("doc"), ","); name != key {
			continue
		}
		if !deeper {
			return []int{i}
		}
		if f.Type.Kind() == reflect.Struct {
			if inner := locate(f.Type, rest); inner != nil {
				return append([]int{i}, inner...)
			}
		}
		return nil
	}
	return nil
}

// Get gives a field's text as a person would write it; "" for what is left
// out.
func Get[T any](doc T, f Field) string {
	if name, ok := strings.CutPrefix(f.Key, "drive."); ok {
		v, err := find(reflect.ValueOf(&doc), "drive")
		if err != nil {
			return ""
		}
		if d, ok := v.Interface().(map[string]float64)[name]; ok {
			return percent(d)
		}
		return percent(1)
	}
	if key, ok := strings.CutPrefix(f.Key, "override."); ok {
		v, err := find(reflect.ValueOf(&doc), "override")
		if err != nil {
			return ""
		}
		for _, o := range v.Interface().([]lamp.Override) {
			if o.Finding == key {
				return o.Reason
			}
		}
		return ""
	}
	v, err := find(reflect.ValueOf(&doc), f.Key)
	if err != nil {
		return ""
	}
	switch f.Kind {
	case Tick:
		if v.Bool() {
			return "on"
		}
		return ""
	case Whole:
		if v.Int() == 0 && f.Optional {
			return ""
		}
		return strconv.FormatInt(v.Int(), 10)
	case Amounts:
		var all []string
		for _, x := range v.Interface().([]float64) {
			all = append(all, amount(x, f.Dim))
		}
		return strings.Join(all, ", ")
	case Readings:
		var all []string
		for _, r := range v.Interface().([]lamp.Reading) {
			all = append(all, app.FormatReading(r))
		}
		return strings.Join(all, "; ")
	case Amount:
		if v.Float() == 0 && f.Optional {
			return ""
		}
		return amount(v.Float(), f.Dim)
	case Price:
		b, _ := v.Interface().(encoding.TextMarshaler).MarshalText()
		return string(b)
	}
	return v.String()
}

// amount writes a number of the dimension with the digits it was given, as
// far as they are digits of the unit shown: 0.279 m is "279 mm", and what came
// from inches or radians is rounded to a millionth.
func amount(x float64, d quantity.Dimension) string {
	if d == quantity.Ratio {
		return percent(x)
	}
	s := quantity.Exactly(x, d)
	n, unit, _ := strings.Cut(s, " ")
	if unit == "" {
		i := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("0123456789.-−e+", r) })
		if i > 0 {
			n, unit = s[:i], s[i:]
		}
	} else {
		unit = " " + unit
	}
	y, err := strconv.ParseFloat(n, 64)
	if err != nil {
		return s
	}
	scale := 1e6
	if a := math.Abs(y); a > 1 {
		scale = math.Pow(10, 6-math.Ceil(math.Log10(a)))
	}
	return strconv.FormatFloat(math.Round(y*scale)/scale, 'f', -1, 64) + unit
}

func percent(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e6)/1e4, 'f', -1, 64) + " %"
}

// Set changes a field of the document to what the text says. Texts are those
// people type; the error says in one sentence what was found and what to write
// instead.
func Set[T any](doc *T, f Field, text string) error {
	text = strings.TrimSpace(text)
	if name, ok := strings.CutPrefix(f.Key, "drive."); ok {
		return setDrive(doc, name, text)
	}
	if key, ok := strings.CutPrefix(f.Key, "override."); ok {
		return setOverride(doc, key, text)
	}
	v, err := find(reflect.ValueOf(doc), f.Key)
	if err != nil {
		return err
	}
	if text == "" && !f.Optional && f.Kind != Tick {
		return fmt.Errorf("nothing is given; write %s", example(f))
	}
	switch f.Kind {
	case Tick:
		v.SetBool(text != "" && text != "no" && text != "false" && text != "0" && text != "off")
	case Whole:
		if text == "" {
			v.SetInt(0)
			return nil
		}
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 || n > 1e6 {
			return fmt.Errorf("“%s” is not a whole number; write one such as 9", text)
		}
		v.SetInt(int64(n))
	case Amounts:
		list, err := amounts(text, f.Dim)
		if err != nil {
			return err
		}
		v.Set(reflect.ValueOf(list))
	case Readings:
		var list []lamp.Reading
		for _, one := range strings.FieldsFunc(text, func(r rune) bool { return r == ';' }) {
			if strings.TrimSpace(one) == "" {
				continue
			}
			r, err := app.ParseReading(one)
			if err != nil {
				return err
			}
			list = append(list, r)
		}
		v.Set(reflect.ValueOf(list))
	case Amount:
		if text == "" {
			v.SetFloat(0)
			return nil
		}
		x, err := quantity.Parse(text, f.Dim)
		if err != nil {
			return err
		}
		v.SetFloat(x)
	case Price:
		if text == "" {
			v.SetZero()
			return nil
		}
		return v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(text))
	default:
		if len(text) > 2000 {
			return fmt.Errorf("%d letters are too many; keep it under 2000", len(text))
		}
		v.SetString(text)
	}
	return nil
}

// amounts reads several numbers parted by commas or semicolons; a number without
// a unit takes that of the next that has one ("20, 55, 90 mm").
func amounts(text string, d quantity.Dimension) ([]float64, error) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' })
	var list []float64
	unit := ""
	for _, p := range slices.Backward(parts) {
		p = strings.TrimSpace(p)
		if _, err := strconv.ParseFloat(p, 64); err == nil {
			p += unit
		} else if i := strings.LastIndexAny(p, "0123456789."); i >= 0 {
			unit = " " + strings.TrimSpace(p[i+1:])
		}
		x, err := quantity.Parse(p, d)
		if err != nil {
			return nil, err
		}
		list = append(list, x)
	}
	slices.Reverse(list)
	return list, nil
}

func setDrive[T any](doc *T, name, text string) error {
	v, err := find(reflect.ValueOf(doc), "drive")
	if err != nil {
		return err
	}
	x := 1.0
	if text != "" {
		if x, err = quantity.Parse(text, quantity.Ratio); err != nil {
			return err
		}
	}
	if !(x >= 0 && x <= 1) {
		return fmt.Errorf("%s is out of reach; a channel runs at 0 to 100 %%", text)
	}
	drive := maps.Clone(v.Interface().(map[string]float64))
	if drive == nil {
		drive = map[string]float64{}
	}
	drive[name] = x
	if x == 1 {
		delete(drive, name)
	}
	v.Set(reflect.ValueOf(drive))
	return nil
}

func setOverride[T any](doc *T, key, text string) error {
	v, err := find(reflect.ValueOf(doc), "override")
	if err != nil {
		return err
	}
	var kept []lamp.Override
	for _, o := range v.Interface().([]lamp.Override) {
		if o.Finding != key {
			kept = append(kept, o)
		}
	}
	if text != "" {
		kept = append(kept, lamp.Override{Finding: key, Reason: text})
	}
	v.Set(reflect.ValueOf(kept))
	return nil
}

// example says what a field would take.
func example(f Field) string {
	switch f.Kind {
	case Whole:
		return "a whole number such as 9"
	case Amount:
		return "a number with its unit, such as 40 " + strings.TrimSpace(f.Dim.Unit())
	case Price:
		return "an amount such as 160 EUR"
	}
	return "some words"
}
