package file

import (
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
)

// keysOf collects the keys of a document from the tags that declare them.
func keysOf(t reflect.Type, into map[string]bool) {
	for t.Kind() == reflect.Slice || t.Kind() == reflect.Pointer || t.Kind() == reflect.Array {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return
	}
	for f := range t.Fields() {
		tag, ok := f.Tag.Lookup("doc")
		if ok {
			key, _, _ := strings.Cut(tag, ",")
			into[key] = true
		}
		if ok || f.Anonymous {
			keysOf(f.Type, into)
		}
	}
}

// The page that describes the documents names every key, and none that is not
// there.
func TestDocumentsAreDescribed(t *testing.T) {
	b, err := os.ReadFile("../../docs/lamp.md")
	if err != nil {
		t.Fatal(err)
	}
	keys := map[string]bool{}
	for _, doc := range []any{lamp.Spec{}, brief.Brief{}, part.Set{}} {
		keysOf(reflect.TypeOf(doc), keys)
	}
	if len(keys) < 100 {
		t.Fatalf("%d keys found", len(keys))
	}
	named := map[string]bool{}
	for _, code := range regexp.MustCompile("`[^`]+`").FindAllString(string(b), -1) {
		for _, w := range regexp.MustCompile(`[a-z][a-z_]+`).FindAllString(code, -1) {
			named[w] = true
		}
	}
	for k := range keys {
		if !named[k] {
			t.Errorf("docs/lamp.md does not name %s", k)
		}
	}
	// First column of the tables: keys only.
	for _, row := range regexp.MustCompile("(?m)^\\| (`[^|]+) \\|").FindAllStringSubmatch(string(b), -1) {
		for _, code := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(row[1], -1) {
			for _, w := range regexp.MustCompile(`[a-z][a-z_]+`).FindAllString(code[1], -1) {
				if !keys[w] {
					t.Errorf("docs/lamp.md describes %s, which no document has", w)
				}
			}
		}
	}
}
