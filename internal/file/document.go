package file

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/stock"
	"dawnsmith/lamp/unit"
)

// Kind is what a document describes.
type Kind string

// The kinds of document.
const (
	BriefKind Kind = "brief"
	PartsKind Kind = "parts"
	LampKind  Kind = "lamp"
	StockKind Kind = "stock"
	UnitKind  Kind = "unit"
)

// roots are the structs of the kinds, in the order in which ties are broken.
var roots = []struct {
	kind Kind
	typ  reflect.Type
	has  string // what marks it, for people
}{
	{BriefKind, reflect.TypeFor[brief.Brief](), "[wanted]"},
	{LampKind, reflect.TypeFor[lamp.Spec](), "tray, strip, rows and supply"},
	{PartsKind, reflect.TypeFor[part.Set](), "[[strip]], [[tray]] and other lists of parts"},
	{StockKind, reflect.TypeFor[stock.Stock](), "[[reel]] and [[have]]"},
	{UnitKind, reflect.TypeFor[unit.Unit](), "a serial and its [design]"},
}

// MaxSize is the largest document read, bytes.
const MaxSize = 4 << 20

// ErrTooLarge means that a document has more than MaxSize bytes.
var ErrTooLarge = errors.New("larger than 4 MB, which no document of Dawnsmith is")

// WrongKind means that a document is sound but of another kind than wanted.
type WrongKind struct {
	File        string
	Want, Found Kind
}

// Error says what the document is and what would have been one of the kind
// wanted.
func (e *WrongKind) Error() string {
	has := ""
	for _, r := range roots {
		if r.kind == e.Want {
			has = r.has
		}
	}
	return fmt.Sprintf("%s: this is a %s, and a %s is wanted here; a %s has %s", e.File, document(e.Found), document(e.Want), document(e.Want), has)
}

func document(k Kind) string {
	switch k {
	case PartsKind:
		return "parts file"
	case StockKind:
		return "stock file"
	case UnitKind:
		return "unit file"
	}
	return string(k)
}

// KindOf tells what a document is from its keys; its name does not matter.
func KindOf(data []byte, name string) (Kind, error) {
	r, err := open(data, name)
	if err != nil {
		return "", err
	}
	root := r.tree()
	if k := guess(root); k != "" {
		return k, nil
	}
	if err := r.err(); err != nil {
		return "", err
	}
	var has []string
	for _, r := range roots {
		has = append(has, fmt.Sprintf("a %s has %s", document(r.kind), r.has))
	}
	return "", fmt.Errorf("%s: this is none of Dawnsmith's documents: %s", name, strings.Join(has, "; "))
}

// hits counts the top keys of a document that fit a kind and tell it from
// another.
func hits(root *table, typ reflect.Type) int {
	n := 0
	fs := fields(typ)
	for _, e := range root.entries {
		f, _, ok := match(fs, e.key)
		if !ok || slices.Contains([]string{"schema", "name", "note"}, f.key) {
			continue
		}
		isTable := e.val.kind == unstable.Table || e.val.kind == unstable.InlineTable
		isList := e.val.kind == unstable.ArrayTable || e.val.kind == unstable.Array
		wantTable := f.typ.Kind() == reflect.Struct && f.typ != valueType && f.typ != moneyType || f.typ == driveType
		if isTable == wantTable && isList == (f.typ.Kind() == reflect.Slice) {
			n++
		}
	}
	return n
}

// guess gives the kind whose keys the document has most of, "" when none.
func guess(root *table) Kind {
	best, most := Kind(""), 0
	for _, r := range roots {
		if n := hits(root, r.typ); n > most {
			best, most = r.kind, n
		}
	}
	return best
}

// open makes a reader of data, refusing what cannot be a document.
func open(data []byte, name string) (*reader, error) {
	if len(data) > MaxSize {
		return nil, fmt.Errorf("%s: %w", name, ErrTooLarge)
	}
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		return nil, fmt.Errorf("%s: the text is in UTF-16; save it as UTF-8", name)
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if len(bytes.TrimSpace(data)) == 0 {
		return nil, fmt.Errorf("%s: the document is empty", name)
	}
	return &reader{name: name, data: data}, nil
}

// parse reads a document of the given kind into a T and lets check, called
// only when every key was read, look at the whole.
func parse[T any](data []byte, name string, kind Kind, check func(*decoder, *table, *T)) (T, error) {
	var zero, out T
	r, err := open(data, name)
	if err != nil {
		return zero, err
	}
	root := r.tree()
	if e := root.find("schema"); e != nil && e.val.kind == unstable.Integer {
		if n, ok := number(e.val); ok && n > Schema {
			return zero, fmt.Errorf("%s:%d: schema %.0f: %w, which writes schemas this one (up to %d) does not know; take the newer program, or ask for the document in schema %d",
				name, r.line(e.span), n, ErrNewer, Schema, Schema)
		}
	}
	if found := guess(root); found != "" && found != kind {
		return zero, &WrongKind{name, kind, found}
	}
	d := &decoder{reader: r, sound: map[*table]bool{}}
	d.structure(root, reflect.ValueOf(&out).Elem(), "", nil)
	switch e := root.find("schema"); {
	case e == nil:
		d.faults = slices.DeleteFunc(d.faults, func(f Fault) bool { drop := f.Path == "schema"; d.total -= btoi(drop); return drop })
		d.fault(span{}, "schema", "the document does not say its schema", "write schema = 1 as its first line")
	case e.val.kind == unstable.Integer && e.val.text != "1":
		d.fault(e.val.span, "schema", fmt.Sprintf("schema is %s", e.val.text), "write schema = 1")
	}
	check(d, root, &out)
	if err := d.err(); err != nil {
		return zero, err
	}
	return out, nil
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// ParseBrief reads a brief from the bytes of a document; name is for messages.
// The error is an *Errors, a *WrongKind, or wraps ErrNewer or ErrTooLarge.
func ParseBrief(data []byte, name string) (brief.Brief, error) {
	return parse(data, name, BriefKind, func(d *decoder, root *table, b *brief.Brief) {
		if d.total == 0 {
			d.locate(root, b.Check())
		}
	})
}

// ParseParts reads a parts file; see ParseBrief. Every part is checked.
func ParseParts(data []byte, name string) (part.Set, error) {
	return parse(data, name, PartsKind, func(d *decoder, root *table, s *part.Set) { d.parts(root, *s) })
}

// ParseLamp reads a lamp; see ParseBrief. Whether its parts exist and fit is
// told by lamp.Build.
func ParseLamp(data []byte, name string) (lamp.Spec, error) {
	return parse(data, name, LampKind, func(d *decoder, root *table, s *lamp.Spec) {
		if e := root.find("parts"); e != nil && e.val.table != nil {
			d.parts(e.val.table, s.Parts)
		}
		if d.total == 0 {
			d.locate(root, s.Place.WithDefaults().Check())
		}
		if e := root.find("rows"); e != nil && d.total == 0 && s.Rows < 1 {
			d.fault(e.val.span, "rows", fmt.Sprintf("rows is %d", s.Rows), "write 1 or more")
		}
	})
}

// ReadBrief reads a brief from r; see ParseBrief.
func ReadBrief(r io.Reader, name string) (brief.Brief, error) { return read(r, name, ParseBrief) }

// ReadParts reads a parts file from r; see ParseBrief.
func ReadParts(r io.Reader, name string) (part.Set, error) { return read(r, name, ParseParts) }

// ReadLamp reads a lamp from r; see ParseBrief.
func ReadLamp(r io.Reader, name string) (lamp.Spec, error) { return read(r, name, ParseLamp) }

func read[T any](r io.Reader, name string, parse func([]byte, string) (T, error)) (T, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxSize+1))
	if err != nil {
		var zero T
		return zero, fmt.Errorf("%s: %w", name, err)
	}
	return parse(data, name)
}
