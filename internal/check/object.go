package check

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
)

// object is a JSON object that keeps the order of its keys.
type object struct {
	keys   []string
	values map[string]json.RawMessage
}

// UnmarshalJSON reads an object; of keys that come twice the last one counts.
func (o *object) UnmarshalJSON(b []byte) error {
	dec := json.NewDecoder(bytes.NewReader(b))
	open, err := dec.Token()
	if err != nil {
		return err
	}
	if open != json.Delim('{') {
		return errors.New("an object {…} was expected")
	}
	o.keys, o.values = nil, map[string]json.RawMessage{}
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			return err
		}
		name, ok := key.(string)
		if !ok {
			return errors.New("an object's key must be a text")
		}
		var v json.RawMessage
		if err := dec.Decode(&v); err != nil {
			return err
		}
		if _, there := o.values[name]; !there {
			o.keys = append(o.keys, name)
		}
		o.values[name] = v
	}
	return nil
}

// get is the raw value of a key; nil when it is missing or null.
func (o *object) get(key string) json.RawMessage {
	v := o.values[key]
	if string(v) == "null" {
		return nil
	}
	return v
}

// text is the text of a key, "" when there is none.
func (o *object) text(key string) string {
	var s string
	if json.Unmarshal(o.get(key), &s) != nil {
		return ""
	}
	return s
}

// list is the array of a key; an error when it is something else.
func (o *object) list(key string) ([]json.RawMessage, error) {
	raw := o.get(key)
	if raw == nil {
		return nil, nil
	}
	var l []json.RawMessage
	if err := json.Unmarshal(raw, &l); err != nil {
		return nil, fmt.Errorf("%s must be a list", key)
	}
	return l, nil
}

// child is the object of a key; ok is false when there is none.
func (o *object) child(key string) (c object, ok bool) {
	raw := o.get(key)
	if raw == nil || json.Unmarshal(raw, &c) != nil {
		return object{}, false
	}
	return c, true
}

// named is the identity of a case: its id, else its name, else where it is.
func named(raw json.RawMessage, list string, i int) (o object, id, title string, err error) {
	place := fmt.Sprintf("%s[%d]", list, i)
	if err := json.Unmarshal(raw, &o); err != nil {
		return o, place, "", fmt.Errorf("%s is no object", place)
	}
	title = o.text("title")
	for _, k := range []string{"id", "name"} {
		if s := o.text(k); s != "" {
			return o, s, title, nil
		}
	}
	return o, place, title, nil
}

// entries makes the cases of a list: results is the key their answers are
// under; empty when they stand beside the inputs.
func (src *source) entries(list, results string, rules []rule, compute func(json.RawMessage) (any, error)) ([]entry, error) {
	raws, err := src.list(list)
	if err != nil {
		return nil, err
	}
	var out []entry
	for i, raw := range raws {
		o, id, title, bad := named(raw, list, i)
		e := entry{id: id, title: title, rules: rules, stored: o.get(results)}
		if results == "" {
			e.stored = raw
		}
		e.compute = func() (any, error) {
			if bad != nil {
				return nil, bad
			}
			return compute(raw)
		}
		out = append(out, e)
	}
	return out, nil
}

// into decodes a case's inputs, and says which of them is at fault.
func into(raw json.RawMessage, v any) error {
	err := json.Unmarshal(raw, v)
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		return fmt.Errorf("input %s is a JSON %s, which is not of its kind", kind.Field, kind.Value)
	}
	return err
}

// explain puts the line and column into an error of the JSON reader.
func explain(data []byte, err error) string {
	var syntax *json.SyntaxError
	if !errors.As(err, &syntax) {
		return err.Error()
	}
	at := min(int(syntax.Offset), len(data))
	line := 1 + bytes.Count(data[:at], []byte("\n"))
	column := at - bytes.LastIndexByte(data[:at], '\n') - 1
	return fmt.Sprintf("line %d, column %d: %s", line, column, syntax.Error())
}

// limits are the numbers of a tolerance block.
type limits map[string]float64

func readLimits(raw json.RawMessage) limits {
	l := limits{}
	var o object
	if raw == nil || json.Unmarshal(raw, &o) != nil {
		return l
	}
	for k, v := range o.values {
		var x float64
		if json.Unmarshal(v, &x) == nil && x > 0 && !math.IsInf(x, 0) {
			l[k] = x
		}
	}
	return l
}

// or is the tolerance under the key, else the one the set came with.
func (l limits) or(key string, published float64) float64 {
	if x, ok := l[key]; ok {
		return x
	}
	return published
}
