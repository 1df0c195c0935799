package optics

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"testing"
)

const degree = math.Pi / 180

// tracedBox is one box of testdata/cases.json; see testdata/README.md.
type tracedBox struct {
	ID    string
	Group string
	Box   struct {
		Length float64 `json:"length_mm"`
		Width  float64 `json:"width_mm"`
		Depth  float64 `json:"depth_mm"`
	}
	LEDs struct {
		Rows    int
		Spacing float64 `json:"row_spacing_mm"`
		PerRow  int     `json:"per_row"`
		Pitch   float64 `json:"pitch_mm"`
		Flux    float64 `json:"flux_lm_first"`
		Taper   float64 `json:"flux_taper_last"`
		Height  float64 `json:"height_mm"`
		Beam    float64 `json:"beam_fwhm_deg"`
		OffsetX float64 `json:"offset_x_mm"`
		OffsetY float64 `json:"offset_y_mm"`
	}
	Walls struct {
		Reflectance float64
		Specular    float64 `json:"specular_fraction"`
	}
	Floor struct {
		Lining   float64 `json:"lining_reflectance"`
		Specular float64 `json:"lining_specular_fraction"`
		Width    float64 `json:"strip_width_mm"`
		Strip    float64 `json:"strip_reflectance"`
	}
	Diffuser struct {
		T    float64 `json:"transmittance"`
		R    float64 `json:"reflectance"`
		U    float64 `json:"unscattered_fraction"`
		L    float64 `json:"lobe_fraction"`
		FWHM float64 `json:"lobe_fwhm_deg"`
	}
	Result map[string]any
}

// want is a traced value, by its path in the file.
func (c *tracedBox) want(path ...string) float64 {
	var v any = c.Result
	for _, k := range path {
		v = v.(map[string]any)[k]
	}
	if m, ok := v.(map[string]any); ok {
		v = m["value"]
	}
	return v.(float64)
}

func (c *tracedBox) box() Box {
	b := Box{
		Length: c.Box.Length * 1e-3, Width: c.Box.Width * 1e-3, Height: c.Box.Depth * 1e-3,
		Walls: SameWalls(Surface{c.Walls.Reflectance, c.Walls.Specular}),
		Floor: Surface{c.Floor.Lining, c.Floor.Specular},
		Sheet: Sheet{T: c.Diffuser.T, R: c.Diffuser.R, Through: c.Diffuser.U, Lobe: c.Diffuser.L, LobeFWHM: c.Diffuser.FWHM * degree},
	}
	l := c.LEDs
	b.Rows = Grid(b.Length, b.Width, l.Rows, l.Spacing*1e-3, l.PerRow, l.Pitch*1e-3, Row{
		Z: l.Height * 1e-3, BeamFWHM: l.Beam * degree, Flux: l.Flux,
		StripWidth: c.Floor.Width * 1e-3, StripReflectance: c.Floor.Strip,
	})
	for j := range b.Rows {
		r := &b.Rows[j]
		r.X0 += l.OffsetX * 1e-3
		r.Y += l.OffsetY * 1e-3
		if l.Taper > 0 {
			for i := range l.PerRow {
				r.Fluxes = append(r.Fluxes, l.Flux*(1-(1-l.Taper)*float64(i)/float64(l.PerRow-1)))
			}
		}
	}
	return b
}

func tracedBoxes(t testing.TB) []tracedBox {
	t.Helper()
	data, err := os.ReadFile("testdata/cases.json")
	if err != nil {
		t.Fatal(err)
	}
	var f struct{ Boxes []tracedBox }
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	if len(f.Boxes) != 5 {
		t.Fatalf("%d boxes, want 5", len(f.Boxes))
	}
	return f.Boxes
}

func tracedBoxNamed(t testing.TB, id string) Box {
	for _, c := range tracedBoxes(t) {
		if c.ID == id {
			return c.box()
		}
	}
	t.Fatalf("no box %s", id)
	return Box{}
}

// axis is a meter on the face's axis at z m, facing it.
func onAxis(z float64) Target {
	return Target{Position: Vec{0, 0, z}, Normal: Vec{0, 0, -1}}
}

// tracedTargets are the five points of the file: the eye 300 mm below and
// 550 mm before the lamp's centre, 60 mm to the side, lamp tilted 10°.
func tracedTargets() ([]string, []Target) {
	return []string{"axis_0.2m", "axis_0.3m", "axis_0.5m", "axis_1.0m", "eye"},
		[]Target{onAxis(0.2), onAxis(0.3), onAxis(0.5), onAxis(1),
			Mount{Height: 0.3, Distance: 0.55, Offset: 0.06, Tilt: 10 * degree}.Eye(0)}
}

// off checks got against want within rel.
func off(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: %.6g, want %.6g ± %.2g %% (off by %+.2f %%)", what, got, want, rel*100, (got/want-1)*100)
	}
}

// TestSolveAgainstTracer holds the full solution to photon tracing: what
// Solve's and Detail's comments promise.
func TestSolveAgainstTracer(t *testing.T) {
	type limits struct{ eta, mean, lux, edge, corner float64 }
	for _, d := range []Detail{Standard, Draft, Fine} {
		lim := limits{eta: 0.002, mean: 0.005, lux: 0.006, edge: 0.008, corner: 0.02}
		if d == Draft {
			lim = limits{eta: 0.003, mean: 0.006, lux: 0.01, edge: 0.012, corner: 0.06}
		}
		for _, c := range tracedBoxes(t) {
			t.Run(fmt.Sprintf("%s %v", c.ID, d), func(t *testing.T) {
				r, err := Solve(c.box(), Options{Detail: d})
				if err != nil {
					t.Fatal(err)
				}
				off(t, "efficiency", r.Efficiency, c.want("efficiency"), lim.eta)
				off(t, "lost in walls", r.AbsorbedWalls, c.want("absorbed_walls"), 0.01)
				off(t, "lost in floor", r.AbsorbedFloor, c.want("absorbed_floor"), 0.01)
				off(t, "lost in sheet", r.AbsorbedSheet, c.want("absorbed_diffuser"), 0.005)
				off(t, "exitance/π", r.Luminance, c.want("exitance_over_pi_cd_m2"), lim.eta)
				f := r.Face
				off(t, "mean luminance", f.Mean, c.want("luminance_cd_m2", "avg"), lim.mean)
				off(t, "centre", f.Centre, c.want("luminance_cd_m2", "centre"), lim.edge)
				off(t, "maximum", f.Max, c.want("luminance_cd_m2", "max"), lim.edge)
				off(t, "middle of the long edge", f.EdgeX, c.want("luminance_cd_m2", "mid_long_edge"), lim.edge)
				off(t, "middle of the short edge", f.EdgeY, c.want("luminance_cd_m2", "mid_short_edge"), lim.edge)
				off(t, "corner", f.Corner, c.want("luminance_cd_m2", "corner"), lim.corner)
				off(t, "minimum", f.Min, c.want("luminance_cd_m2", "min"), lim.corner)
				off(t, "direct share", f.Direct, c.want("centre_direct_share"), 0.01)
				names, targets := tracedTargets()
				for i, n := range names {
					e, err := r.Illuminance(targets[i])
					if err != nil {
						t.Fatal(err)
					}
					off(t, n, e, c.want("illuminance_lx", n), lim.lux)
				}
				if d == Standard {
					// Contrasts this small vary with the window's sampling:
					// the file's own bound is 0.002 absolute, ours 5 %.
					off(t, "spot contrast", r.Ripple(), c.want("spot_contrast_centre"), 0.05)
				}
			})
		}
	}
}

// TestFarFieldAgainstTracer compares intensity in rings of 5°.
func TestFarFieldAgainstTracer(t *testing.T) {
	for _, c := range tracedBoxes(t) {
		if c.Group != "weak" {
			continue
		}
		r, err := Solve(c.box(), Options{Detail: Draft})
		if err != nil {
			t.Fatal(err)
		}
		for lo := 0; lo < 90; lo += 5 {
			sum, weight := 0.0, 0.0
			for k := range 3 {
				theta := (float64(lo) + 5*(float64(k)+0.5)/3) * degree
				for p := range 4 {
					phi := (float64(p) + 0.5) / 4 * math.Pi / 2
					sum += math.Sin(theta) * r.Intensity(theta, phi)
					weight += math.Sin(theta)
				}
			}
			name := fmt.Sprintf("%d-%d", lo, lo+5)
			off(t, c.ID+" "+name, sum/weight, c.want("intensity_cd_by_theta_deg", name), 0.012)
		}
	}
}

// TestUnscatteredDots compares T·u·ΣI(0)/(LW), the mean luminance of the
// dots, with the tracer's.
func TestUnscatteredDots(t *testing.T) {
	for _, c := range tracedBoxes(t) {
		if c.ID != "W01" {
			continue
		}
		b := c.box()
		// One LED of area a at background 1 cd/m² has ratio I(0)·T·u/a.
		k, err := DotRatio(b.Sheet, b.LEDFlux(), b.Rows[0].BeamFWHM, 1e-3, 1)
		if err != nil {
			t.Fatal(err)
		}
		off(t, "dot mean", k*1e-3/b.FaceArea(), c.want("unscattered_dot_mean_cd_m2"), 0.001)
	}
}

// TestScreenAgainstTracer holds the closed forms to their stated bounds.
func TestScreenAgainstTracer(t *testing.T) {
	names, targets := tracedTargets()
	for _, c := range tracedBoxes(t) {
		t.Run(c.ID, func(t *testing.T) {
			b := c.box()
			three, err := ThreeSurface(b)
			if err != nil {
				t.Fatal(err)
			}
			off(t, "three-surface efficiency", three.Efficiency, c.want("efficiency"), 0.004)
			p, err := Prepare(b, nil, targets...)
			if err != nil {
				t.Fatal(err)
			}
			q, err := p.Screen(p.Finish(b))
			if err != nil {
				t.Fatal(err)
			}
			off(t, "efficiency", q.Efficiency, c.want("efficiency"), q.Bound)
			off(t, "mean", q.Mean, c.want("luminance_cd_m2", "avg"), q.LuxBound)
			off(t, "centre", q.Centre, c.want("luminance_cd_m2", "centre"), q.CentreBound)
			for i, n := range names {
				off(t, n, q.Lux[i], c.want("illuminance_lx", n), q.LuxBound)
			}
		})
	}
}
