package file

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"
)

// hold checks what every reader promises of any bytes: a document that is read
// can be written and reads the same again; a fault has its place in the text
// and says what is wrong.
func hold[T any](t *testing.T, data []byte, parse func([]byte, string) (T, error)) {
	doc, err := parse(data, "fuzz")
	var es *Errors
	if errors.As(err, &es) {
		if len(es.Faults) == 0 || len(es.Faults) > MaxFaults {
			t.Fatalf("%d faults", len(es.Faults))
		}
		lines := 1 + bytes.Count(data, []byte{'\n'})
		for _, f := range es.Faults {
			if f.Line < 1 || f.Line > lines || f.Col < 1 || f.Width < 1 || f.What == "" {
				t.Fatalf("fault without a place: %+v", f)
			}
		}
		if strings.ContainsAny(err.Error(), "\x1b\x00") {
			t.Fatalf("control characters in %q", err.Error())
		}
	}
	if err != nil {
		return
	}
	text, err := encode(doc, "")
	if err != nil {
		t.Fatalf("read, but not to be written: %v", err)
	}
	again, err := parse(text, "again")
	if err != nil {
		t.Fatalf("read, written, and not read again: %v\n%s", err, text)
	}
	if !reflect.DeepEqual(doc, again) {
		t.Fatalf("read\n%+v\nwritten and read again\n%+v\nin\n%s", doc, again, text)
	}
}

func seed(f *testing.F) {
	for _, s := range []string{sampleParts, sampleBrief, sampleLamp, "schema = 1\n[[tray]]\nid = \"x", "a.b.c = 1\n[a.b]\nd = [[1, 2], {x = 3}]\n", "\xef\xbb\xbfschema = 2", "[place.x]\n[place]\n[[place.x]]\n"} {
		f.Add([]byte(s))
	}
}

func FuzzParts(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, data []byte) { hold(t, data, ParseParts) })
}

func FuzzBrief(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, data []byte) { hold(t, data, ParseBrief) })
}

func FuzzLamp(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, data []byte) { hold(t, data, ParseLamp) })
}

func FuzzKind(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		k, err := KindOf(data, "fuzz")
		if (k == "") == (err == nil) {
			t.Fatalf("kind %q with error %v", k, err)
		}
	})
}
