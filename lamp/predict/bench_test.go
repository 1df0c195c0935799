package predict

import "testing"

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

func BenchmarkScreen(b *testing.B) {
	l := build(b, testSpec())
	p, err := NewCache().Prepare(l)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := p.Screen(l); err != nil {
			b.Fatal(err)
		}
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
