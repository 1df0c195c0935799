package form

import (
	"net/url"
	"slices"
	"strings"
)

// badPrefix marks, in an address, what was typed into a field and not
// understood.
const badPrefix = "typed."

// Desk says what documents of type T are made of and what is allowed.
type Desk[T any] struct {
	// Fields are those of a document, in the order of the page; they may hang
	// on the document (the channels of a strip).
	Fields func(doc T) []Field
	// Extra, if not nil, makes the field of a key that Fields does not list.
	Extra func(key string) (Field, bool)
	// Check says what is wrong with a document as a whole.
	Check func(doc T) error
	// Fit, if not nil, makes a document fit that a change of the field key has
	// made impossible, and says what it did; from is the document before.
	Fit func(key string, doc *T, from T) []string
}

// with lists the fields of a document and those that keys ask for besides.
func (d *Desk[T]) with(doc T, keys url.Values) []Field {
	fs := d.Fields(doc)
	if d.Extra == nil {
		return fs
	}
	fs = slices.Clip(fs)
	var more []Field
	for k := range keys {
		if f, ok := d.Extra(k); ok && !slices.ContainsFunc(fs, func(g Field) bool { return g.Key == f.Key }) {
			more = append(more, f)
		}
	}
	slices.SortFunc(more, func(a, b Field) int { return strings.Compare(a.Key, b.Key) })
	return append(fs, more...)
}

// trimmed gives the keys of an address with the mark of bad texts taken off.
func trimmed(q url.Values) url.Values {
	out := url.Values{}
	for k := range q {
		out.Set(strings.TrimPrefix(k, badPrefix), "")
	}
	return out
}

// Trouble is a text that was not understood, with the reason.
type Trouble struct{ Text, Why string }

// State is a document with what was changed in it.
type State[T any] struct {
	Base, Doc T
	// Bad holds, by field, what was not understood.
	Bad map[string]Trouble
	// Notes say what else had to change.
	Notes []string

	desk  *Desk[T]
	typed map[string]string
}

// Open makes the state that an address (its query) describes.
func (d *Desk[T]) Open(base T, q url.Values) State[T] {
	s := State[T]{Base: base, Doc: base, desk: d, typed: map[string]string{}, Bad: map[string]Trouble{}}
	s.apply(func(f Field) (string, bool) {
		if !q.Has(f.Key) {
			return "", false
		}
		return q.Get(f.Key), true
	}, q)
	for _, f := range d.with(s.Doc, trimmed(q)) {
		if text := q.Get(badPrefix + f.Key); text != "" {
			s.one(f, text)
		}
	}
	s.again()
	return s
}

// Submit gives the state after a form was sent: every field that is in it and
// says something else than the state did is changed. A tick that is missing
// from the form is one that was taken away, when the form says (under "ticks",
// keys parted by spaces) that it has it.
func (s State[T]) Submit(form url.Values) State[T] {
	next := s.copy()
	ticks := strings.Fields(form.Get("ticks"))
	next.apply(func(f Field) (string, bool) {
		text := form.Get(f.Key)
		switch {
		case form.Has(f.Key):
		case f.Kind == Tick && slices.Contains(ticks, f.Key):
		default:
			return "", false
		}
		return text, strings.TrimSpace(text) != s.Text(f)
	}, form)
	return next
}

// With gives the state after some fields were changed.
func (s State[T]) With(changes map[string]string) State[T] {
	next := s.copy()
	keys := url.Values{}
	for k := range changes {
		keys.Set(k, "")
	}
	next.apply(func(f Field) (string, bool) { text, ok := changes[f.Key]; return text, ok }, keys)
	return next
}

func (s State[T]) copy() State[T] {
	next := s
	next.Notes = nil
	next.typed, next.Bad = map[string]string{}, map[string]Trouble{}
	for k, v := range s.typed {
		next.typed[k] = v
	}
	for k, v := range s.Bad {
		next.Bad[k] = v
	}
	return next
}

// apply changes the fields for which text answers: all at once if the whole
// makes sense, else one by one, so that one mistake spoils nothing else.
func (s *State[T]) apply(text func(Field) (string, bool), keys url.Values) {
	doc, all := s.Doc, map[string]string{}
	fine := true
	fields := s.desk.with(doc, keys)
	done := map[string]bool{}
	for range 2 { // a second time for fields that the first changes brought
		for _, f := range fields {
			t, ok := text(f)
			if !ok || done[f.Key] {
				continue
			}
			done[f.Key] = true
			if err := Set(&doc, f, t); err != nil {
				fine = false
			}
			all[f.Key] = t
		}
		fields = s.desk.with(doc, keys)
	}
	if len(all) == 0 {
		return
	}
	if fine && s.desk.Check(doc) == nil {
		s.Doc = doc
		for k, t := range all {
			s.typed[k] = strings.TrimSpace(t)
			delete(s.Bad, k)
		}
		s.again()
		return
	}
	done = map[string]bool{}
	for range 2 {
		for _, f := range s.desk.with(s.Doc, keys) {
			if t, ok := all[f.Key]; ok && !done[f.Key] {
				done[f.Key] = true
				s.one(f, t)
			}
		}
	}
	s.again()
}

// again tries what was not understood once more, since another change may have
// made it possible.
func (s *State[T]) again() {
	for before := len(s.Bad) + 1; len(s.Bad) > 0 && len(s.Bad) < before; {
		before = len(s.Bad)
		keys := url.Values{}
		for k := range s.Bad {
			keys.Set(k, "")
		}
		for _, f := range s.desk.with(s.Doc, keys) {
			if b, ok := s.Bad[f.Key]; ok {
				s.one(f, b.Text)
			}
		}
	}
}

// one changes one field, or notes why not.
func (s *State[T]) one(f Field, text string) {
	next := s.Doc
	err := Set(&next, f, text)
	if err == nil {
		if err = s.desk.Check(next); err != nil && s.desk.Fit != nil {
			fitted := next
			notes := s.desk.Fit(f.Key, &fitted, s.Doc)
			if e := s.desk.Check(fitted); e == nil {
				next, err = fitted, nil
				s.Notes = append(s.Notes, notes...)
			}
		}
		// What was wrong before and is no worse now may stay wrong.
		if err != nil && s.desk.Check(s.Doc) != nil {
			err = nil
		}
	}
	if err != nil {
		s.Bad[f.Key] = Trouble{strings.TrimSpace(text), plain(err)}
		return
	}
	s.Doc = next
	s.typed[f.Key] = strings.TrimSpace(text)
	delete(s.Bad, f.Key)
}

// plain takes the place out of an error: the field it stands beside says it.
func plain(err error) string {
	msg := err.Error()
	for _, p := range []string{"lamp ", "brief "} {
		if rest, ok := strings.CutPrefix(msg, p+`"`); ok {
			if _, after, ok := strings.Cut(rest, `": `); ok {
				msg = after
			}
		}
	}
	msg = strings.TrimPrefix(strings.TrimPrefix(msg, "place: "), "wanted.")
	return strings.ReplaceAll(msg, "_", " ")
}

// Text is what a field shows: what was typed, as long as it stands for the
// value, else the value.
func (s State[T]) Text(f Field) string {
	if b, ok := s.Bad[f.Key]; ok {
		return b.Text
	}
	now := Get(s.Doc, f)
	if t, ok := s.typed[f.Key]; ok {
		probe := s.Doc
		if Set(&probe, f, t) == nil && Get(probe, f) == now {
			return t
		}
	}
	return now
}

// fields lists those of the document and those that only the base has.
func (s State[T]) fields() []Field {
	keys := url.Values{}
	for _, f := range s.desk.Fields(s.Base) {
		keys.Set(f.Key, "")
	}
	return s.desk.with(s.Doc, keys)
}

// Change is one field that differs from the base.
type Change struct {
	Field    Field
	From, To string
}

// Changes lists what differs from the base, in the order of the fields.
func (s State[T]) Changes() []Change {
	var out []Change
	for _, f := range s.fields() {
		if was, now := Get(s.Base, f), Get(s.Doc, f); was != now {
			out = append(out, Change{f, was, s.Text(f)})
		}
	}
	return out
}

// Query is the state as an address: what differs from the base and what was
// not understood.
func (s State[T]) Query() url.Values {
	q := url.Values{}
	for _, f := range s.fields() {
		if Get(s.Base, f) != Get(s.Doc, f) {
			text := s.typed[f.Key]
			probe := s.Doc
			if _, ok := s.typed[f.Key]; !ok || Set(&probe, f, text) != nil || Get(probe, f) != Get(s.Doc, f) {
				text = Get(s.Doc, f)
			}
			q.Set(f.Key, text)
		}
	}
	for k, b := range s.Bad {
		q.Set(badPrefix+k, b.Text)
	}
	return q
}
