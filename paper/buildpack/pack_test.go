package buildpack

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"dawnsmith/lamp"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/price"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/internal/sample"
)

// date is stamped on every pack of the tests.
var date = time.Date(2030, 11, 4, 0, 0, 0, 0, time.UTC)

// work works a lamp out without uncertainty, which is quick.
func work(change func(*lamp.Spec)) (Input, error) {
	l := sample.Lamp(change)
	r, err := predict.Lamp(l)
	if err != nil {
		return Input{}, err
	}
	b, err := price.List(l, sample.Parts(), nil)
	return Input{Prediction: predict.Uncertain{Result: r}, Bill: b, Date: date, Dose: "at the reading expected at the eye no tested protocol gives minutes"}, err
}

func input(t testing.TB, change func(*lamp.Spec)) Input {
	t.Helper()
	in, err := work(change)
	if err != nil {
		t.Fatal(err)
	}
	return in
}

func pack(t testing.TB, in Input) *Pack {
	t.Helper()
	p, err := Make(in)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// With DAWNSMITH_PORTRAITS naming a folder the packs are written there to be
// looked at.
func TestLook(t *testing.T) {
	dir := os.Getenv("DAWNSMITH_PORTRAITS")
	if dir == "" {
		t.Skip("DAWNSMITH_PORTRAITS is not set")
	}
	save := func(name string, write func(*bytes.Buffer) error) {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	in := input(t, nil)
	u, err := predict.Spread(sample.Lamp(nil))
	if err != nil {
		t.Fatal(err)
	}
	in.Prediction = u
	p := pack(t, in)
	save("first.pdf", func(b *bytes.Buffer) error { return p.PDF(b) })
	save("first.html", func(b *bytes.Buffer) error { return p.HTML(b) })
	save("shopping.csv", func(b *bytes.Buffer) error { return p.ShoppingCSV(b) })
	save("cut.csv", func(b *bytes.Buffer) error { return p.CutCSV(b) })
	save("wire.csv", func(b *bytes.Buffer) error { return p.WireCSV(b) })
	twin := input(t, func(s *lamp.Spec) { sample.Twin(s); s.Feed = "both-ends" })
	twin.Size = draw.Letter
	twin.Prediction.Findings = nil
	q := pack(t, twin)
	save("twin.pdf", func(b *bytes.Buffer) error { return q.PDF(b) })
}
