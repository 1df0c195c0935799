package app

import (
	"reflect"
	"testing"

	"dawnsmith/internal/catalogue"
)

// Parts go into the logbook and come back as they were.
func TestSetAsJSON(t *testing.T) {
	want := catalogue.Starter()
	text, err := encodeSet(want)
	if err != nil {
		t.Fatal(err)
	}
	got, err := decodeSet(text, "test")
	if err != nil {
		t.Fatal(err)
	}
	again, err := encodeSet(got)
	if err != nil || again != text || !reflect.DeepEqual(got, want) {
		t.Errorf("%v: parts came back changed", err)
	}
}
