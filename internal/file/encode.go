package file

import (
	"bytes"
	"fmt"
	"io"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// WriteBrief writes a brief with head, lines of comment, on top. What is
// written is read again first: a brief that could not be read is refused with
// the reader's error.
func WriteBrief(w io.Writer, b brief.Brief, head string) error {
	b.Schema = newest(b.Schema)
	return write(w, b, head, ParseBrief)
}

// WriteParts writes a parts file; see WriteBrief.
func WriteParts(w io.Writer, s part.Set, head string) error {
	s.Schema = newest(s.Schema)
	return write(w, s, head, ParseParts)
}

// WriteLamp writes a lamp; see WriteBrief.
func WriteLamp(w io.Writer, s lamp.Spec, head string) error {
	s.Schema = newest(s.Schema)
	return write(w, s, head, ParseLamp)
}

// newest keeps a schema that is too new, so that writing it is refused.
func newest(schema int) int { return max(schema, Schema) }

func write[T any](w io.Writer, doc T, head string, parse func([]byte, string) (T, error)) error {
	data, err := encode(doc, head)
	if err != nil {
		return err
	}
	if _, err := parse(data, "the document to be written"); err != nil {
		return fmt.Errorf("not written, since it could not be read again: %w", err)
	}
	_, err = w.Write(data)
	return err
}

// encode gives the text of a document.
func encode(doc any, head string) ([]byte, error) {
	e := &encoder{}
	if head = strings.TrimRight(head, "\n"); head != "" {
		for line := range strings.SplitSeq(head, "\n") {
			e.WriteString(strings.TrimRight("# "+plain(line), " ") + "\n")
		}
		e.WriteByte('\n')
	}
	if err := e.table(reflect.ValueOf(doc), "", ""); err != nil {
		return nil, err
	}
	return e.Bytes(), nil
}

type encoder struct{ bytes.Buffer }

// table writes the plain keys of a struct, then its tables, each in the order
// of the struct. Zero values of fields that need not be given are left out.
func (e *encoder) table(v reflect.Value, path, subject string) error {
	fs := fields(v.Type())
	for _, f := range fs {
		fv := v.FieldByIndex(f.index)
		if f.nested() || fv.IsZero() && !f.required {
			continue
		}
		text, err := e.text(f, fv, subject)
		if err != nil {
			return fmt.Errorf("%s: %w", strings.TrimPrefix(path+"."+f.key, "."), err)
		}
		if text != "" {
			fmt.Fprintf(e, "%s = %s\n", f.key, text)
		}
	}
	for _, f := range fs {
		fv := v.FieldByIndex(f.index)
		if !f.nested() || fv.IsZero() && !f.required {
			continue
		}
		key := strings.TrimPrefix(path+"."+f.key, ".")
		if !f.plural() {
			if e.opens(fv) {
				e.header("[" + key + "]")
			}
			if err := e.table(fv, key, subject); err != nil {
				return err
			}
			continue
		}
		for i := range fv.Len() {
			e.header("[[" + key + "]]")
			if err := e.table(fv.Index(i), key, subjectOf(f.key, fv.Index(i), subject)); err != nil {
				return fmt.Errorf("%s[%d]: %w", key, i+1, err)
			}
		}
	}
	return nil
}

// opens tells whether a table needs a header: not when it holds tables alone.
func (e *encoder) opens(v reflect.Value) bool {
	for _, f := range fields(v.Type()) {
		if !f.nested() && (f.required || !v.FieldByIndex(f.index).IsZero()) {
			return true
		}
	}
	for _, f := range fields(v.Type()) {
		if !v.FieldByIndex(f.index).IsZero() {
			return false
		}
	}
	return true
}

func (e *encoder) header(text string) {
	if b := e.Bytes(); len(b) > 0 && !bytes.HasSuffix(b, []byte("\n\n")) {
		e.WriteByte('\n')
	}
	e.WriteString(text + "\n")
}

// nested reports whether the field stands as a table or a list of tables.
func (f field) nested() bool {
	return f.plural() || f.typ.Kind() == reflect.Struct && f.typ != valueType && f.typ != moneyType
}

// subjectOf names a list element as the decoder does.
func subjectOf(key string, v reflect.Value, subject string) string {
	for _, f := range fields(v.Type()) {
		if f.key == "id" {
			return key + " " + v.FieldByIndex(f.index).String()
		}
	}
	for _, f := range fields(v.Type()) {
		if f.key == "name" {
			return strings.TrimSpace(subject + " " + v.FieldByIndex(f.index).String())
		}
	}
	return subject
}

// text gives the right-hand side of a field; "" leaves the key out.
func (e *encoder) text(f field, v reflect.Value, subject string) (string, error) {
	switch f.typ {
	case valueType:
		return valueText(f, v.Interface().(quantity.Value), subject)
	case moneyType:
		m := v.Interface().(part.Money)
		if m == (part.Money{}) {
			return "", nil
		}
		b, err := m.MarshalText()
		if err != nil {
			return "", err
		}
		if back := new(part.Money); back.UnmarshalText(b) != nil || *back != m {
			return "", fmt.Errorf("the price %v cannot be written; it needs a currency such as EUR", m)
		}
		return quote(string(b), false)
	case curveType:
		var pairs []string
		for _, p := range v.Interface().(part.Curve) {
			a, err := plainNumber(p[0])
			if err != nil {
				return "", err
			}
			b, err := plainNumber(p[1])
			if err != nil {
				return "", err
			}
			pairs = append(pairs, "["+a+", "+b+"]")
		}
		return "[" + strings.Join(pairs, ", ") + "]", nil
	case listType:
		var out []string
		for _, x := range v.Interface().([]float64) {
			s, err := exactly(x, f.dim)
			if err != nil {
				return "", err
			}
			out = append(out, `"`+s+`"`)
		}
		if len(out) == 0 {
			return "", nil
		}
		return "[" + strings.Join(out, ", ") + "]", nil
	case driveType:
		m := v.Interface().(map[string]float64)
		var out []string
		for _, k := range slices.Sorted(maps.Keys(m)) {
			x, err := plainNumber(m[k])
			if err != nil {
				return "", err
			}
			if !bareKey(k) {
				if k, err = quote(k, false); err != nil {
					return "", err
				}
			}
			out = append(out, k+" = "+x)
		}
		if len(out) == 0 {
			return "", nil
		}
		return "{ " + strings.Join(out, ", ") + " }", nil
	}
	switch v.Kind() {
	case reflect.String:
		return quote(v.String(), true)
	case reflect.Bool:
		return strconv.FormatBool(v.Bool()), nil
	case reflect.Int:
		return strconv.FormatInt(v.Int(), 10), nil
	case reflect.Float64:
		if f.bare() {
			return plainNumber(v.Float())
		}
		s, err := exactly(v.Float(), f.dim)
		return `"` + s + `"`, err
	}
	panic(fmt.Sprintf("file: %s cannot stand in a document", f.typ))
}

func bareKey(k string) bool {
	return k != "" && strings.Trim(k, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-") == ""
}

var errNotFinite = fmt.Errorf("the number is not finite")

// plainNumber writes a float of TOML, whole numbers without a point.
func plainNumber(x float64) (string, error) {
	if !finite(x) {
		return "", errNotFinite
	}
	if x == math.Trunc(x) && math.Abs(x) < 1e15 {
		if x == 0 {
			x = 0 // −0 is written as 0
		}
		return strconv.FormatFloat(x, 'f', -1, 64), nil
	}
	s := strconv.FormatFloat(x, 'g', -1, 64)
	return s, nil
}

// quote writes a TOML string: on one line, or, when it has line breaks and may
// take several, over several between triple quotes.
func quote(s string, lines bool) (string, error) {
	if !utf8.ValidString(s) {
		return "", fmt.Errorf("the text %q is not valid UTF-8", s)
	}
	many := lines && strings.Contains(s, "\n")
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '"', r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n' && many:
			b.WriteByte('\n')
		case r == '\t':
			b.WriteString(`\t`)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	if many {
		return "\"\"\"\n" + b.String() + `"""`, nil
	}
	return `"` + b.String() + `"`, nil
}
