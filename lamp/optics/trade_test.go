package optics

import (
	"fmt"
	"math"
	"testing"
)

// What builders of 280 × 380 × 50 mm matte aluminium trays with 75–80 W of
// strip report (common practice, no source): the model must not contradict
// it. Sheets and reflectances are theirs; lux at 305 mm on axis.
func tray(al float64, wide bool, sheet Sheet) Box {
	b := Box{Length: 0.38, Width: 0.28, Height: 0.05, Walls: SameWalls(Surface{al, 0}), Floor: Surface{al, 0}, Sheet: sheet}
	if wide { // 10 mm strip, 13.3 mm rows
		b.Rows = Grid(0.38, 0.28, 20, 0.0133, 22, 0.01667, Row{Z: 0.001, StripWidth: 0.010, StripReflectance: 0.85})
	} else { // 8 mm strip, 17 mm rows
		b.Rows = Grid(0.38, 0.28, 16, 0.017, 22, 0.01667, Row{Z: 0.001, StripWidth: 0.008, StripReflectance: 0.85})
	}
	for i := range b.Rows {
		b.Rows[i].Flux = 7750 / float64(22*len(b.Rows)) // 77.5 W at 100 lm/W
	}
	return b
}

func TestTradeTray(t *testing.T) {
	for _, c := range []struct {
		al, tr, r                  float64
		etaLow, etaHigh, low, high float64
	}{
		{0.65, 0.40, 0.50, 0.51, 0.53, 9900, 10400},
		{0.65, 0.50, 0.45, 0.60, 0.63, 11900, 12400},
		{0.65, 0.60, 0.34, 0.67, 0.69, 13100, 13500},
		{0.75, 0.60, 0.34, 0.71, 0.73, 13900, 14200},
		{0.65, 0.80, 0.15, 0.78, 0.79, 15300, 15600},
	} {
		for i, wide := range []bool{false, true} {
			r, err := Solve(tray(c.al, wide, Sheet{T: c.tr, R: c.r}), Options{})
			if err != nil {
				t.Fatal(err)
			}
			e, err := r.Illuminance(onAxis(0.305))
			if err != nil {
				t.Fatal(err)
			}
			name := fmt.Sprintf("ρ %g T %g", c.al, c.tr)
			near(t, name+" η", r.Efficiency, []float64{c.etaLow, c.etaHigh}[i], 0.014)
			off(t, name+" lx", e, []float64{c.low, c.high}[i], 0.017)
			// The bright centre puts lux 2 to 3.5 % over that of an even face.
			if k := e / OnAxis(r.Luminance, 0.38, 0.28, 0.305); k < 1.02 || k > 1.035 {
				t.Errorf("%s: %.3f times the even face", name, k)
			}
		}
	}
}

// Foil (ρ 0.90, 85 % mirror) on the walls only, on walls and floor gaps: gain
// in lux on axis over bare aluminium. Common practice, no source.
func TestTradeLining(t *testing.T) {
	foil := Surface{0.9, 0.85}
	half, clear := Sheet{T: 0.6, R: 0.34}, Sheet{T: 0.8, R: 0.15}
	lux := func(b Box) (float64, *Solution) {
		r, err := Solve(b, Options{Detail: Draft})
		if err != nil {
			t.Fatal(err)
		}
		e, _ := r.Illuminance(onAxis(0.305))
		return e, r
	}
	for _, c := range []struct {
		al, walls, all float64
		sheet          Sheet
	}{
		{0.55, 15, 25, half}, {0.65, 12, 18, half}, {0.75, 8, 12, half},
		{0.55, 12, 16, clear}, {0.65, 9, 12, clear}, {0.75, 6, 8, clear},
	} {
		b := tray(c.al, false, c.sheet)
		bare, r0 := lux(b)
		b.Walls = SameWalls(foil)
		walls, r1 := lux(b)
		b.Floor = foil
		all, r2 := lux(b)
		name := fmt.Sprintf("ρ %g T %g", c.al, c.sheet.T)
		near(t, name+" walls %", (walls/bare-1)*100, c.walls, 1)
		near(t, name+" walls and floor %", (all/bare-1)*100, c.all, 1.2)
		if r1.Out/r0.Out < walls/bare {
			t.Errorf("%s: mirror walls must add more lumens than lux on axis", name)
		}
		if r2.Face.Evenness < 0.75 || r0.Face.Evenness > 0.58 {
			t.Errorf("%s: evenness bare %.2f, lined %.2f", name, r0.Face.Evenness, r2.Face.Evenness)
		}
		white := b
		white.Walls, white.Floor = SameWalls(Surface{0.95, 0}), Surface{0.95, 0}
		w, _ := lux(white)
		if g := (w/all - 1) * 100; g < 1.2 || g > 5 {
			t.Errorf("%s: white lining %+.1f %% over foil", name, g)
		}
	}
}

// The even face of testers: lux per area against exitance, 380 × 280 mm at
// 0.305 m: 2.46 lx/m² per lm/m² (geometry).
func TestLuxPerArea(t *testing.T) {
	lx := OnAxis(1/math.Pi, 0.38, 0.28, 0.305) // M = 1 lm/m²
	near(t, "lx/m² per lm/m²", lx/(0.38*0.28), 2.46, 0.005)
}
