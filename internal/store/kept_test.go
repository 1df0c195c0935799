package store

import (
	"context"
	"errors"
	"path/filepath"
	"testing"
)

func TestKept(t *testing.T) {
	ctx := context.Background()
	b, err := Open(ctx, filepath.Join(t.TempDir(), "a.logbook"), Options{Program: "test"})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	type doc struct{ A []string }
	got := doc{A: []string{"as it was"}}
	if found, err := b.Kept(ctx, View, "glare", &got); found || err != nil || got.A[0] != "as it was" {
		t.Fatalf("nothing kept: %v, %v, %v", found, err, got)
	}
	for _, v := range []doc{{[]string{"one"}}, {[]string{"two", "three"}}} {
		if err := b.PutKept(ctx, View, "glare", "Glare", v); err != nil {
			t.Fatal(err)
		}
	}
	if err := b.PutKept(ctx, Facts, "glare", "", doc{[]string{"of a lamp"}}); err != nil {
		t.Fatal(err)
	}
	if found, err := b.Kept(ctx, View, "glare", &got); !found || err != nil || len(got.A) != 2 {
		t.Errorf("the newest counts: %v, %v, %v", found, err, got)
	}
	if all, err := b.AllKept(ctx, View); err != nil || len(all) != 1 || all[0].Name != "Glare" {
		t.Errorf("listed: %v, %v", all, err)
	}
	if err := b.Unkeep(ctx, View, "glare"); err != nil {
		t.Error(err)
	}
	if err := b.Unkeep(ctx, View, "glare"); !errors.Is(err, ErrNotFound) {
		t.Errorf("taken away twice: %v", err)
	}
	if err := b.PutKept(ctx, View, "", "", doc{}); err == nil {
		t.Error("a view without a name was kept")
	}
	if err := b.PutKept(ctx, "other", "x", "", doc{}); err == nil {
		t.Error("an unknown kind was kept")
	}
}
