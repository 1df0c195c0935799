// Package catalogue holds what Dawnsmith brings along: a starter catalogue of
// invented parts, the two briefs of the demo, one worked lamp and the readings
// of five, as the same documents and files that people write.
package catalogue

import (
	"embed"
	"io/fs"
	"sync"

	"dawnsmith/internal/file"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
)

//go:embed *.toml
var documents embed.FS

//go:embed bench
var readings embed.FS

// Readings gives the readings of the demo's lamps as files of meters, a folder
// for each lamp with its setup.toml: one self-made, three bought, and a check
// lamp. tools/demolamps makes them.
func Readings() fs.FS {
	sub, err := fs.Sub(readings, "bench")
	if err != nil {
		panic("catalogue: " + err.Error())
	}
	return sub
}

// The names of the documents in Documents.
const (
	StarterName = "starter.parts.toml"
	BenchName   = "oulu-bench.brief.toml"
	BrightName  = "oulu-bright.brief.toml"
	FirstName   = "oulu-first.lamp.toml"
)

// Documents gives all documents as files.
func Documents() fs.FS { return documents }

// Text is one document as it stands; an unknown name is a programmer's
// mistake and panics.
func Text(name string) []byte {
	b, err := documents.ReadFile(name)
	if err != nil {
		panic("catalogue: " + err.Error())
	}
	return b
}

// must parses a built-in document: one that is wrong does not pass the tests
// of this package.
func must[T any](name string, parse func([]byte, string) (T, error)) func() T {
	return sync.OnceValue(func() T {
		v, err := parse(Text(name), name)
		if err != nil {
			panic("catalogue: " + err.Error())
		}
		return v
	})
}

var (
	starter = must(StarterName, file.ParseParts)
	bench   = must(BenchName, file.ParseBrief)
	bright  = must(BrightName, file.ParseBrief)
	first   = must(FirstName, file.ParseLamp)
)

// Starter is the starter catalogue, parsed once. Its slices are shared: lay
// other sets over it with Layer, and change nothing in place.
func Starter() part.Set { return starter() }

// BenchBrief is the demo's first brief: 5 000 lx at 0.40 m, which several
// lamps of starter parts meet.
func BenchBrief() brief.Brief { return bench() }

// BrightBrief is the demo's second brief: 10 000 lx at 0.55 m, which no lamp
// within its limits can meet.
func BrightBrief() brief.Brief { return bright() }

// FirstLamp is a lamp of starter parts that meets BenchBrief.
func FirstLamp() lamp.Spec { return first() }
