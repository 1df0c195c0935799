package heat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// randomTray draws a tray of the kind people build: any usual metal, bare or
// painted, rows filling it or bunched, in the middle or off it.
func randomTray(g *rand.Rand) Input {
	u := func(a, b float64) float64 { return a + (b-a)*g.Float64() }
	in := Input{
		Length: u(0.15, 0.7), Width: u(0.1, 0.5), Ambient: u(285, 305),
		EmissivityBack: u(0.05, 0.95), EmissivityFront: u(0.3, 0.95), EmissivityDiffuser: u(0.8, 0.95),
		Elevation: u(-math.Pi/2, math.Pi/2), Gap: u(0.01, 0.08), WallHeight: u(0, 0.05),
		StripResistance: DefaultStripResistance,
	}
	in.SlopeHeight = in.Width
	m := Metals()
	in.Sheet = m[g.IntN(len(m))]
	in.Sheet.Thickness = u(0.0004, 0.0025)
	if in.Sheet.Conductivity < 20 {
		in.Sheet.Thickness = u(0.0004, 0.0015)
	}
	w := []float64{0.008, 0.01, 0.012}[g.IntN(3)]
	pitch := u(w*1.3, 0.07)
	n := max(1, int(u(0.5, 1)*in.Width/pitch))
	span := float64(n-1) * pitch
	if span+w > in.Width {
		n, span = 1, 0
	}
	heat := u(60, 600) * in.Length * in.Width
	off, shift := 0.0, 0.0
	margin := u(0.005, 0.06)
	if g.IntN(3) == 0 {
		off = u(-0.5, 0.5) * (in.Width - span - w)
	}
	if g.IntN(4) == 0 {
		shift = u(-1, 1) * margin
	}
	for i := range n {
		in.Rows = append(in.Rows, Row{
			Y: in.Width/2 + off - span/2 + float64(i)*pitch, X0: margin + shift, X1: in.Length - margin + shift,
			Width: w, Heat: heat / float64(n),
		})
	}
	in.TrayHeat = u(0, 0.2) * heat
	in.DiffuserHeat = u(0, 0.1) * heat
	return in
}

// The quick models keep the bounds they state, and Series, which shares only
// the surface laws with the grid solver, agrees with it to hundredths.
func TestStatedBounds(t *testing.T) {
	g := rand.New(rand.NewPCG(7, 2))
	worst := map[string]float64{}
	note := func(k string, v float64) { worst[k] = max(worst[k], v) }
	solved := 0
	for range 120 {
		in := randomTray(g)
		f, _, err := Solve2D(&in)
		if err != nil {
			continue
		}
		n, err := Node(&in)
		if err != nil {
			continue // hotter than the air table by its own estimate
		}
		s, err := Series(&in)
		if err != nil {
			t.Fatalf("series: %v", err)
		}
		solved++
		note("node mean/bound", math.Abs(n.FloorMean-f.FloorMean)/n.MeanError)
		note("node max/bound", math.Abs(n.FloorMax-f.FloorMax)/n.MaxError)
		note("series mean/bound", math.Abs(s.FloorMean-f.FloorMean)/s.MeanError)
		note("series max/bound", math.Abs(s.FloorMax-f.FloorMax)/s.MaxError)
		note("series strip/bound", math.Abs(s.StripMax-f.StripMax)/s.MaxError)
		note("series mean K", math.Abs(s.FloorMean-f.FloorMean))
		note("series max K", math.Abs(s.FloorMax-f.FloorMax))
		note("node mean K", math.Abs(n.FloorMean-f.FloorMean))
		note("node max K", math.Abs(n.FloorMax-f.FloorMax))
		if math.Abs(n.FloorMean-f.FloorMean) > n.MeanError || math.Abs(n.FloorMax-f.FloorMax) > n.MaxError || math.Abs(s.FloorMax-f.FloorMax) > s.MaxError || math.Abs(s.FloorMean-f.FloorMean) > s.MeanError {
			t.Errorf("%s kt %.4f rows %d rise %.1f over %.2f: node %+.3f of %.3f, %+.3f of %.3f; series %+.3f %+.3f of %.3f", in.Sheet.Name, in.Sheet.conductance(), len(in.Rows), f.FloorMean-in.Ambient, f.FloorMax-f.FloorMean,
				n.FloorMean-f.FloorMean, n.MeanError, n.FloorMax-f.FloorMax, n.MaxError, s.FloorMean-f.FloorMean, s.FloorMax-f.FloorMax, s.MaxError)
		}
	}
	if solved < 90 {
		t.Fatalf("only %d of 120 trays solved", solved)
	}
	t.Log(worst)
}
