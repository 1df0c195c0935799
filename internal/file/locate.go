package file

import (
	"errors"
	"reflect"
	"regexp"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"dawnsmith/lamp/part"
)

// parts checks every part of a set that was read without a fault, and places
// what its Check finds. Two parts with one id are told while reading.
func (d *decoder) parts(root *table, s part.Set) {
	v := reflect.ValueOf(s)
	for _, f := range fields(v.Type()) {
		e := root.find(f.key)
		if !f.plural() || e == nil {
			continue
		}
		list := v.FieldByIndex(f.index)
		for i, item := range e.val.items {
			if item.table != nil && d.sound[item.table] {
				d.part(item.table, list.Index(i).Interface().(part.Part))
			}
		}
	}
}

func (d *decoder) part(t *table, p part.Part) {
	err := p.Check()
	if err == nil {
		return
	}
	var f *part.Fault
	if !errors.As(err, &f) {
		d.locate(t, err)
		return
	}
	at, path := d.spot(t, f.Field, p)
	d.fault(at, path, f.Kind+" "+strQuote(f.ID)+": "+f.Field+" is "+f.Found, "allowed is "+f.Allowed)
}

func strQuote(s string) string { return `"` + s + `"` }

// spot finds the line that a fault's field stands in: the key itself, with or
// without a unit behind it, in the part or in its sub-tables; else the part's
// header.
func (d *decoder) spot(t *table, name string, p part.Part) (span, string) {
	key, _, _ := strings.Cut(name, " ") // "clear_share + lobe_share", "channel name"
	if strip, ok := p.(part.Strip); ok {
		ch := t.find("channel")
		if ch != nil && strings.HasPrefix(name, "channel ") {
			key = strings.TrimPrefix(name, "channel ")
		}
		// Both channels have the same keys: the faulty one fails alone too.
		for i, c := range strip.Channels {
			alone := strip
			alone.Channels = []part.Channel{c}
			var f *part.Fault
			if ch != nil && i < len(ch.val.items) && ch.val.items[i].table != nil && errors.As(alone.Check(), &f) && f.Field == name {
				if e := under(ch.val.items[i].table, key, reflect.TypeFor[part.Channel]()); e != nil {
					return e.val.span, ch.val.items[i].table.sub(e.key)
				}
			}
		}
	}
	if e := under(t, key, reflect.TypeOf(p)); e != nil {
		return e.val.span, t.sub(e.key)
	}
	return t.span, t.sub(key)
}

// under finds the entry of t that gives the field with that key.
func under(t *table, key string, typ reflect.Type) *entry {
	fs := fields(typ)
	for _, e := range t.entries {
		if f, _, ok := match(fs, e.key); ok && f.key == key {
			return e
		}
	}
	return nil
}

var (
	quotedText = regexp.MustCompile(`"[^"]*"`)
	keyWord    = regexp.MustCompile(`[a-z][a-z0-9]*(?:_[a-z0-9]+)*`)
)

// locate places an error that names the key it is about in its text, as those
// of a brief and a place do: the first word of it that is a key of the
// document, or of one of its tables, decides.
func (d *decoder) locate(root *table, err error) {
	if err == nil {
		return
	}
	what, mend, _ := strings.Cut(err.Error(), "; ")
	at, path := root.span, ""
	for _, w := range keyWord.FindAllString(quotedText.ReplaceAllString(err.Error(), ""), -1) {
		if e, p := seek(root, w); e != nil {
			at, path = e.val.span, p
			break
		}
	}
	d.fault(at, path, what, mend)
}

// seek looks for a value by key, a unit behind it allowed, tables within too;
// tables themselves do not count.
func seek(t *table, key string) (*entry, string) {
	for _, e := range t.entries {
		switch {
		case e.val.kind == unstable.Table || e.val.kind == unstable.InlineTable:
			if in, p := seek(e.val.table, key); in != nil {
				return in, p
			}
		case e.key == key, strings.HasPrefix(e.key, key+"_") && e.val.kind != unstable.String:
			return e, t.sub(e.key)
		}
	}
	return nil, ""
}
