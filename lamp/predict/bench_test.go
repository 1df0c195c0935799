package predict

import (
	"testing"

	"dawnsmith/lamp"
)

func benchmarkAt(b *testing.B, g Grade, sheet, lining string) {
	s := testSpec()
	s.Sheet, s.Lining, s.LineFloor = sheet, lining, lining != ""
	l := build(b, s)
	p, err := Prepare(l)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := p.At(l, g); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFullOpal(b *testing.B)  { benchmarkAt(b, Full, "sheet-60", "") }
func BenchmarkFullFilm(b *testing.B)  { benchmarkAt(b, Full, "film", "foil") }
func BenchmarkLiveOpal(b *testing.B)  { benchmarkAt(b, Live, "sheet-60", "") }
func BenchmarkLiveFilm(b *testing.B)  { benchmarkAt(b, Live, "film", "foil") }
func BenchmarkQuickOpal(b *testing.B) { benchmarkAt(b, Quick, "sheet-60", "") }
func BenchmarkQuickFilm(b *testing.B) { benchmarkAt(b, Quick, "film", "foil") }

// A candidate of a family whose rows have been met before: within 10 µs. The
// rows change from one to the next, as in a search.
func BenchmarkScreenWithin10us(b *testing.B) {
	for _, strip := range []string{"strip", "two"} {
		b.Run(strip, func(b *testing.B) {
			spec := testSpec()
			spec.Strip = strip
			if strip == "two" {
				spec.Drive = nil
			}
			first := build(b, spec)
			p, err := NewCache().Prepare(first)
			if err != nil {
				b.Fatal(err)
			}
			var ls []lamp.Lamp
			for rows := 1; rows <= 8; rows++ {
				l := first
				l.Spec.Rows = rows
				if _, err := p.Screen(l); err != nil {
					b.Fatal(err)
				}
				ls = append(ls, l)
			}
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if _, err := p.Screen(ls[i%len(ls)]); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSpread(b *testing.B) {
	l := build(b, testSpec())
	for b.Loop() {
		if _, err := Spread(l); err != nil {
			b.Fatal(err)
		}
	}
}
