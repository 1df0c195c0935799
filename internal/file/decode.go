package file

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"dawnsmith/lamp/part"
)

// decoder fills structs from tables.
type decoder struct {
	*reader
	// sound are the list elements that were read without a fault.
	sound map[*table]bool
	// skipped counts values that were told to be no TOML and left out.
	skipped int
}

// structure fills v, a struct, from t. subject names the part in the names of
// error sources: "strip white-24v-120".
func (d *decoder) structure(t *table, v reflect.Value, subject string, above [][]field) {
	fs := fields(v.Type())
	seen := map[string]*entry{}
	var meant []string // by misspelt keys
	for _, e := range t.entries {
		f, suffix, ok := match(fs, e.key)
		if !ok {
			meant = append(meant, d.unknown(t, e, fs, above))
			continue
		}
		if old := seen[f.key]; old != nil {
			d.fault(e.span, t.sub(e.key), fmt.Sprintf("%q and %q give the same thing twice", old.key, e.key), "take one of the two out")
			continue
		}
		seen[f.key] = e
		if e.val.kind == unstable.Invalid {
			d.skipped++
			continue // told already
		}
		d.field(t, e, f, suffix, v.FieldByIndex(f.index), subject, append(above, fs))
	}
	var lacks []field
	for _, f := range fs {
		if f.required && seen[f.key] == nil && !slices.Contains(meant, f.key) {
			lacks = append(lacks, f)
		}
	}
	if len(lacks) > 0 {
		d.missing(t, lacks)
	}
}

// missing tells all required keys that a table lacks in one fault.
func (d *decoder) missing(t *table, fs []field) {
	keys := make([]string, len(fs))
	for i, f := range fs {
		keys[i] = strconv.Quote(f.key)
	}
	f := fs[0]
	how := f.example()
	if f.nested() && t.head != "" {
		inner := strings.Trim(t.head, "[]") + "." + f.key
		how = strings.Replace(how, f.key, inner, 1)
	}
	d.fault(t.span, t.sub(f.key), fmt.Sprintf("%s has no %s", t.where(), strings.Join(keys, ", ")), "add for example "+how)
}

// unknown faults a key that the table does not have, with the nearest it has,
// or with the table it belongs to. It returns the key that was probably meant.
func (d *decoder) unknown(t *table, e *entry, fs []field, above [][]field) (meant string) {
	path := t.sub(e.key)
	what := fmt.Sprintf("unknown key %q in %s", e.key, t.where())
	for _, f := range fs {
		rest, ok := strings.CutPrefix(e.key, f.key+"_")
		if ok && f.hasDim && len(f.dim.KeySuffixes()) > 0 {
			d.fault(e.span, path, fmt.Sprintf("%s: %q is not a unit of a %s", what, rest, f.dim),
				fmt.Sprintf("write %s, or a key that ends in _%s", f.example(), strings.Join(f.dim.KeySuffixes(), ", _")))
			return f.key
		}
	}
	for i := len(above) - 1; i >= 0; i-- {
		if f, _, ok := match(above[i], e.key); ok && !f.plural() {
			d.fault(e.span, path, what, fmt.Sprintf("%q belongs to the table around it: move the line above the first header of its part", e.key))
			return ""
		}
	}
	keys := make([]string, len(fs))
	for i, f := range fs {
		keys[i] = f.key
	}
	near := part.Nearest(e.key, keys)
	for _, f := range fs {
		inner := f.typ
		if f.plural() {
			inner = inner.Elem()
		} else if inner.Kind() != reflect.Struct || inner == valueType || inner == moneyType {
			continue
		}
		if g, _, ok := match(fields(inner), e.key); ok && g.key == e.key {
			head := strings.Trim(t.sub(f.key), "[]")
			if t.head != "" {
				head = strings.Trim(t.head, "[]") + "." + f.key
			}
			if f.plural() {
				head = "[" + head + "]"
			}
			d.fault(e.span, path, what, fmt.Sprintf("%q belongs under [%s]", e.key, head))
			return ""
		}
	}
	if !similar(e.key, near) {
		d.fault(e.span, path, what, "allowed are "+strings.Join(keys, ", "))
		return ""
	}
	d.fault(e.span, path, what, fmt.Sprintf("the nearest is %q", near))
	return near
}

// similar tells whether near can be what was meant by word: a third of its
// letters wrong at most, or one within the other.
func similar(word, near string) bool {
	a, b := []rune(word), []rune(near)
	if strings.Contains(near, word) || strings.Contains(word, near) {
		return true
	}
	same := 0
	used := make([]bool, len(b))
	for i, r := range a {
		for j := max(0, i-2); j < min(len(b), i+3); j++ {
			if !used[j] && b[j] == r {
				used[j] = true
				same++
				break
			}
		}
	}
	return 3*same >= 2*max(len(a), len(b))
}

// field fills one field.
func (d *decoder) field(t *table, e *entry, f field, suffix string, dst reflect.Value, subject string, above [][]field) {
	v := e.val
	path := t.sub(e.key)
	switch {
	case f.typ == valueType, f.typ == moneyType, f.typ == curveType, f.typ == driveType, f.typ == listType:
		d.special(t, e, f, suffix, dst, subject)
	case f.plural():
		d.list(t, e, f, dst, subject, above)
	case f.typ.Kind() == reflect.Struct:
		if v.kind != unstable.Table && v.kind != unstable.InlineTable {
			mend := fmt.Sprintf("write [%s] and its keys below", path)
			if v.kind == unstable.ArrayTable {
				mend = fmt.Sprintf("write [%s] with single brackets, once", path)
			}
			d.fault(e.span, path, fmt.Sprintf("%q is %s; it is one table", e.key, called(v)), mend)
			return
		}
		d.structure(v.table, dst, subject, above)
	default:
		d.scalar(e, f, suffix, dst, path)
	}
}

// list fills a list of tables, from [[key]] or from an array of inline tables.
func (d *decoder) list(t *table, e *entry, f field, dst reflect.Value, subject string, above [][]field) {
	v := e.val
	if v.kind != unstable.ArrayTable && v.kind != unstable.Array {
		mend := fmt.Sprintf("write [[%s]] with double brackets", strings.Trim(headPath(t, e.key), "[]"))
		d.fault(e.span, t.sub(e.key), fmt.Sprintf("%q is %s; it is a list of tables", e.key, called(v)), mend)
		return
	}
	out := reflect.MakeSlice(f.typ, 0, len(v.items))
	ids := map[string]*table{}
	for i, item := range v.items {
		if item.table == nil {
			d.fault(item.span, fmt.Sprintf("%s[%d]", t.sub(e.key), i+1), fmt.Sprintf("%q holds %s; it is a list of tables", e.key, called(item)),
				fmt.Sprintf("write [[%s]] and the keys below", headPath(t, e.key)))
			return
		}
		el := reflect.New(f.typ.Elem()).Elem()
		name := subject
		if id := item.table.find("id"); id != nil {
			name = f.key + " " + id.val.text
			if old := ids[id.val.text]; old != nil && id.val.kind == unstable.String {
				d.fault(id.val.span, item.table.sub("id"), fmt.Sprintf("%s %q is given twice", f.key, id.val.text), fmt.Sprintf("it is in line %d already; change one of the two ids", d.line(old.span)))
			}
			ids[id.val.text] = item.table
		} else if n := item.table.find("name"); n != nil {
			name = strings.TrimSpace(subject + " " + n.val.text)
		}
		before := d.total + d.skipped
		d.structure(item.table, el, name, nil)
		d.sound[item.table] = d.total+d.skipped == before
		out = reflect.Append(out, el)
	}
	if len(v.items) > 0 {
		dst.Set(out)
	}
}

func headPath(t *table, key string) string {
	if t.head == "" {
		return key
	}
	return strings.Trim(t.head, "[]") + "." + key
}

// called names what a value is.
func called(v *value) string {
	switch v.kind {
	case unstable.String:
		return fmt.Sprintf("the text %q", v.text)
	case unstable.Integer, unstable.Float:
		return "the number " + v.text
	case unstable.Bool:
		return v.text
	case unstable.Array:
		return "a list"
	case unstable.ArrayTable:
		return "a list of tables"
	case unstable.Table, unstable.InlineTable:
		return "a table"
	}
	return "a date or time"
}
