package file

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// value is one value of a document. Kind is that of the parser; Table and
// ArrayTable stand for [table] and [[array of tables]].
type value struct {
	span
	kind  unstable.Kind
	text  string   // a string's content, or a scalar as written
	items []*value // Array, ArrayTable
	table *table   // Table, InlineTable
}

// entry is one key with its value; a value of kind Invalid could not be read.
type entry struct {
	span // of the key
	key  string
	val  *value
}

// table holds its entries in the order of the document.
type table struct {
	span           // of its header or key
	head    string // as people write it: "[place]", "[[sheet]]"; "" for the top
	path    string // "sheet[2]", "" for the top
	entries []*entry
	closed  bool // has had its header, or is an inline table
	inline  bool
}

func (t *table) find(key string) *entry {
	for _, e := range t.entries {
		if e.key == key {
			return e
		}
	}
	return nil
}

// sub is the path of a key of t.
func (t *table) sub(key string) string {
	if t.path == "" {
		return key
	}
	return t.path + "." + key
}

// where names t in a sentence.
func (t *table) where() string {
	if t.head == "" {
		return "the document"
	}
	return t.head
}

// keyLine is a line that gives one key its value.
var keyLine = regexp.MustCompile(`^\s*([A-Za-z0-9_."' -]+?)\s*=\s*(.*?)\s*$`)

// tree reads the document's form. Faults are noted; a line with a broken value
// is passed over and reading goes on, anything worse ends it.
func (r *reader) tree() *table {
	root := &table{closed: true}
	data := r.data
	for range MaxFaults {
		root = &table{closed: true}
		r.faults, r.total = keepSyntax(r.faults)
		err := r.build(root, data)
		if err == nil {
			break
		}
		var next []byte
		if next = r.syntax(err, data); next == nil {
			return root
		}
		data = next
	}
	if r.total == 0 {
		r.recheck()
	}
	return root
}

// syntaxPath marks faults of form, which a second reading does not find again.
const syntaxPath = "\x00"

func keepSyntax(fs []Fault) ([]Fault, int) {
	kept := fs[:0]
	for _, f := range fs {
		if f.Path == syntaxPath {
			kept = append(kept, f)
		}
	}
	return kept, len(kept)
}

// recheck lets the library's own decoder judge the document, for what the
// loose tree does not watch: numbers and dates out of form, tables reopened.
func (r *reader) recheck() {
	var any map[string]any
	err := toml.Unmarshal(r.data, &any)
	if err == nil {
		return
	}
	var de *toml.DecodeError
	at := span{0, 1}
	if errors.As(err, &de) {
		row, col := de.Position()
		at = span{r.offset(row, col), 1}
	}
	what := strings.TrimPrefix(err.Error(), "toml: ")
	r.fault(at, "", "this is not TOML: "+what, "see toml.io for the form of a document")
}

// offset finds the byte at a line and column, both from 1.
func (r *reader) offset(row, col int) int {
	off := 0
	for range row - 1 {
		i := strings.IndexByte(string(r.data[off:]), '\n')
		if i < 0 {
			break
		}
		off += i + 1
	}
	return min(len(r.data), off+max(0, col-1))
}

// syntax notes a parser's error. When the error lies in a line of the form
// key = value it returns the document with that value blanked, else nil.
func (r *reader) syntax(err error, data []byte) []byte {
	var pe *unstable.ParserError
	at := span{0, 1}
	if errors.As(err, &pe) {
		at = span{min(len(data), max(0, cap(data)-cap(pe.Highlight))), max(1, len(pe.Highlight))}
	}
	what := "this is not TOML: " + err.Error()
	line, _, _, text := r.place(at)
	mend := "see toml.io for the form of a document"
	m := keyLine.FindStringSubmatch(text)
	if m == nil {
		r.fault(at, syntaxPath, what, mend)
		return nil
	}
	val, _, _ := strings.Cut(m[2], " #")
	val = strings.TrimSpace(val)
	switch {
	case val == "":
		what, mend = fmt.Sprintf("%q has no value", m[1]), "write one after the =, or take the line out"
	case !strings.ContainsAny(val[:1], `"'[{`) && !strings.ContainsAny(val, `"'`):
		mend = fmt.Sprintf("text and numbers with a unit stand in quotes: write %s = %q", m[1], val)
	case strings.Count(val, `"`) == 1:
		mend = "a quotation mark is missing at one end of the text"
	}
	r.fault(at, syntaxPath, what, mend)
	// Put a 0 in its place: the key stays, so that it is not called missing.
	start := r.offset(line, 1)
	end := len(data)
	if i := strings.IndexByte(string(data[start:]), '\n'); i >= 0 {
		end = start + i
	}
	eq := start + strings.IndexByte(string(data[start:end]), '=')
	if end-eq < len("=0") {
		return nil
	}
	next := append([]byte(nil), data...)
	for i := eq + 1; i < end; i++ {
		next[i] = ' '
	}
	next[eq+1] = '0'
	if r.broken == nil {
		r.broken = map[int]bool{}
	}
	r.broken[eq+1] = true
	return next
}

func (r *reader) build(root *table, data []byte) error {
	var p unstable.Parser
	p.Reset(data)
	cur := root
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.KeyValue:
			r.put(cur, e)
		case unstable.Table, unstable.ArrayTable:
			cur = r.open(root, e)
		}
	}
	return p.Error()
}

// names collects the parts of a key.
func names(it unstable.Iterator) (keys []string, at []span) {
	for it.Next() {
		n := it.Node()
		keys = append(keys, string(n.Data))
		at = append(at, span{int(n.Raw.Offset), int(n.Raw.Length)})
	}
	return keys, at
}

// put adds a key with its value to t; dotted keys make tables on the way.
func (r *reader) put(t *table, kv *unstable.Node) {
	keys, at := names(kv.Key())
	for i, k := range keys[:len(keys)-1] {
		e := t.find(k)
		if e == nil {
			e = &entry{span: at[i], key: k, val: &value{span: at[i], kind: unstable.Table,
				table: &table{span: at[i], head: "[" + t.sub(k) + "]", path: t.sub(k)}}}
			t.entries = append(t.entries, e)
		}
		if e.val.kind != unstable.Table {
			r.fault(at[i], t.sub(k), fmt.Sprintf("%q is not a table", k), fmt.Sprintf("it was given in line %d", r.line(e.span)))
			return
		}
		t = e.val.table
	}
	last := len(keys) - 1
	if old := t.find(keys[last]); old != nil {
		r.fault(at[last], t.sub(keys[last]), fmt.Sprintf("%q is given twice", keys[last]),
			fmt.Sprintf("it is in line %d already; take one of the two out", r.line(old.span)))
		return
	}
	t.entries = append(t.entries, &entry{span: at[last], key: keys[last], val: r.value(kv.Value(), at[last], t.sub(keys[last]))})
}

func (r *reader) line(at span) int {
	line, _, _, _ := r.place(at)
	return line
}

// value copies a parser's value; at is the key's place, for values that have
// none of their own.
func (r *reader) value(n *unstable.Node, at span, path string) *value {
	v := &value{span: at, kind: n.Kind}
	if n.Raw.Length > 0 {
		v.span = span{int(n.Raw.Offset), int(n.Raw.Length)}
	}
	switch n.Kind {
	case unstable.Array:
		for it := n.Children(); it.Next(); {
			c := it.Node()
			if c.Kind == unstable.Comment {
				continue
			}
			v.items = append(v.items, r.value(c, at, fmt.Sprintf("%s[%d]", path, len(v.items)+1)))
		}
	case unstable.InlineTable:
		v.table = &table{span: v.span, head: path + " = { … }", path: path, closed: true, inline: true}
		for it := n.Children(); it.Next(); {
			if c := it.Node(); c.Kind == unstable.KeyValue {
				r.put(v.table, c)
			}
		}
	default:
		v.text = string(n.Data)
		if r.broken[v.off] {
			v.kind = unstable.Invalid
		}
	}
	return v
}

// open finds or makes the table of a header. After a fault it returns a table
// that belongs to nothing, so that one wrong header does not fault all its keys.
func (r *reader) open(root *table, h *unstable.Node) *table {
	keys, at := names(h.Key())
	last := len(keys) - 1
	whole := span{at[0].off, at[last].off + at[last].n - at[0].off}
	lost := func(i int, what, mend string) *table {
		r.fault(at[i], strings.Join(keys[:i+1], "."), what, mend)
		return &table{span: whole, closed: true}
	}
	t := root
	for i, k := range keys {
		final := i == last
		e := t.find(k)
		switch {
		case e == nil:
			e = &entry{span: at[i], key: k, val: &value{span: at[i], kind: unstable.Table}}
			if final && h.Kind == unstable.ArrayTable {
				e.val.kind = unstable.ArrayTable
			} else {
				e.val.table = &table{span: whole, head: "[" + strings.Join(keys[:i+1], ".") + "]", path: t.sub(k)}
			}
			t.entries = append(t.entries, e)
		case e.val.kind != unstable.Table && e.val.kind != unstable.ArrayTable:
			return lost(i, fmt.Sprintf("%q is given as a value and as a table", k), fmt.Sprintf("the value is in line %d", r.line(e.span)))
		}
		switch {
		case final && h.Kind == unstable.ArrayTable && e.val.kind == unstable.Table:
			return lost(i, fmt.Sprintf("%q is a single table already", k), fmt.Sprintf("write [[%s]] in line %d too", strings.Join(keys, "."), r.line(e.span)))
		case final && h.Kind == unstable.Table && e.val.kind == unstable.ArrayTable:
			return lost(i, fmt.Sprintf("%q is a list of tables", k), fmt.Sprintf("write [[%s]] with double brackets", strings.Join(keys, ".")))
		case final && h.Kind == unstable.ArrayTable:
			nt := &table{span: whole, head: "[[" + strings.Join(keys, ".") + "]]", path: fmt.Sprintf("%s[%d]", t.sub(k), len(e.val.items)+1), closed: true}
			e.val.items = append(e.val.items, &value{span: whole, kind: unstable.Table, table: nt})
			t = nt
		case e.val.kind == unstable.ArrayTable:
			t = e.val.items[len(e.val.items)-1].table
		case final && e.val.table.closed:
			return lost(i, fmt.Sprintf("[%s] is given twice", strings.Join(keys, ".")), fmt.Sprintf("it is in line %d already; put the keys together", r.line(e.val.table.span)))
		default:
			t = e.val.table
			if final {
				t.closed, t.span = true, whole
			}
		}
	}
	return t
}
