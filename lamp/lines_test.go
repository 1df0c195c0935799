package lamp

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Rows that are placed one by one lie where they are placed, and their wires
// are as long as the gaps; rows that overlap or leave the floor are refused.
func TestRowLines(t *testing.T) {
	s := testSpec()
	s.Units = 0
	s.Rows, s.Pitch = 3, 0
	even, err := Build(s, testSet())
	if err != nil {
		t.Fatal(err)
	}
	w := even.Across()
	for _, c := range []struct {
		name  string
		lines []float64
		want  string
	}{
		{"as many as rows", []float64{0.05, 0.1}, "places 2 rows and rows is 3"},
		{"rising", []float64{0.05, 0.04, 0.1}, "puts row 2 at 40"},
		{"on the floor", []float64{0.001, 0.05, 0.1}, "puts row 1 at 1"},
		{"not beyond the wall", []float64{0.02, 0.05, w}, "puts row 3"},
		{"no nonsense", []float64{0.02, math.NaN(), 0.1}, "puts row 2"},
	} {
		s.Lines = c.lines
		if _, err := Build(s, testSet()); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
	s.Lines = []float64{0.02, 0.05, 0.1}
	l, err := Build(s, testSet())
	if err != nil {
		t.Fatal(err)
	}
	if l.Even() || l.RowAt(1) != 0.05 || math.Abs(l.RowGap(0)-0.03) > 1e-12 || math.Abs(l.WidestGap()-0.05) > 1e-12 || math.Abs(l.RowPitch()-0.04) > 1e-12 {
		t.Errorf("rows lie at %v, gaps %v %v", l.Lines, l.RowGap(0), l.RowGap(1))
	}
	s.Feed = "serpentine"
	if l, err = Build(s, testSet()); err != nil {
		t.Fatal(err)
	}
	var links []float64
	for _, p := range l.Wires() {
		if p.Role == LinkWire && p.Conductor == 0 {
			links = append(links, p.Length)
		}
	}
	if len(links) != 2 || math.Abs(links[0]-(0.03+BusSlack+2*BusTail)) > 1e-12 || math.Abs(links[1]-(0.05+BusSlack+2*BusTail)) > 1e-12 {
		t.Errorf("links are %v", links)
	}
	s.Pitch = 0.03
	if _, err := Build(s, testSet()); err == nil || !strings.Contains(err.Error(), "both given") {
		t.Errorf("pitch and lines: %v", err)
	}
}

// Rows closer at the walls are mirror-symmetric, rising, and buildable; 0 is
// evenly.
func TestCloserAtWalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := testSpec()
		s.Units, s.Pitch = 0, 0
		s.Rows = rapid.IntRange(1, 8).Draw(t, "rows")
		l, err := Build(s, testSet())
		if err != nil {
			t.Fatal(err)
		}
		k := rapid.Float64Range(0, 0.6).Draw(t, "k")
		lines := l.CloserAtWalls(k)
		for i, y := range lines {
			if m := l.Across() - lines[len(lines)-1-i]; math.Abs(m-y) > 0.00051 {
				t.Fatalf("row %d at %g, its mirror at %g", i, y, m)
			}
			if k == 0 && math.Abs(y-l.RowAt(i)) > 0.00026 {
				t.Fatalf("row %d at %g, evenly %g", i, y, l.RowAt(i))
			}
		}
		s.Lines = lines
		if _, err := Build(s, testSet()); err != nil && l.RowPitch()*(1-k) > l.LeastGap()+0.001 {
			t.Fatal(err)
		}
	})
}
