package assay

import (
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"

	"dawnsmith/light/colour"
	"dawnsmith/light/eye"
	"dawnsmith/light/hazard"
	"dawnsmith/light/spectrum"
)

// casesFile is testdata/cases.json: sixteen published spectra with every
// measure computed outside this program from the same published tables (its
// field "source" says how), and the tolerances a correct implementation of
// the same variant keeps.
type casesFile struct {
	Tolerance map[string]float64 `json:"tolerance"`
	Functions struct {
		Planck map[string][2]float64 `json:"planck_uv_1960_full_range"`
		CCT    []struct {
			U   float64 `json:"u"`
			V   float64 `json:"v"`
			CCT float64 `json:"cct_K"`
			Duv float64 `json:"duv"`
		} `json:"uv_to_cct_duv"`
		Daylight map[string]struct{ X, Y, M1, M2 float64 } `json:"daylight_locus"`
		CS       map[string]float64                        `json:"CS_of_CLA_t1_f1"`
		CSOther  []struct {
			CLA float64 `json:"CLA"`
			T   float64 `json:"t_h"`
			F   float64 `json:"f"`
			CS  float64 `json:"CS"`
		} `json:"CS_of_CLA_other_t_f"`
		Jump []struct {
			T   float64            `json:"T_K"`
			By  float64            `json:"b_minus_y_at_1000lx"`
			CLA map[string]float64 `json:"CLA_at_lx"`
		} `json:"CLA_jump_on_planck_locus_380_780"`
		CLA  map[string]map[string]float64 `json:"CLA_at_lx"`
		Blue map[string]float64            `json:"B_lambda_at_nm"`
	} `json:"functions"`
	Spectra map[string]struct {
		Input struct {
			SumOverMax float64            `json:"sum_over_max"`
			Rel        map[string]float64 `json:"rel_at_nm"`
			Peak       float64            `json:"peak_nm"`
		} `json:"input"`
		RawXYZ2  map[string]float64 `json:"xyz2"`
		RawXYZ10 map[string]float64 `json:"xyz10"`
		CCT      struct {
			K   float64 `json:"K"`
			Duv float64 `json:"duv"`
		} `json:"cct"`
		CRI struct {
			Ra        float64   `json:"Ra"`
			Rounded   float64   `json:"Ra_from_rounded_Ri"`
			R         []float64 `json:"R"`
			Shift     float64   `json:"delta_C_uv"`
			Reference string    `json:"reference"`
		} `json:"cri"`
		TM30 struct {
			Rf, Rg    float64
			RfH       []float64 `json:"Rf_hj"`
			Rcs       []float64 `json:"Rcs_hj"`
			Rhs       []float64 `json:"Rhs_hj"`
			N         []int     `json:"n_hj"`
			Ces       []float64 `json:"Rf_ces"`
			Reference string    `json:"reference"`
		} `json:"tm30"`
		Alpha map[string]struct {
			ELR float64 `json:"elr_mW_per_lm"`
			EDI float64 `json:"edi_lx_per_lx"`
		} `json:"alpha_opic"`
		BLH struct {
			K   float64 `json:"K_Bv_W_per_lm"`
			Eta float64 `json:"eta_B"`
			Ev  float64 `json:"Ev_lx_at_EB_1_W_m2"`
		} `json:"blh"`
		LER float64                    `json:"ler_lm_per_W"`
		CLA map[string]json.RawMessage `json:"cla20"`
		Nat *struct {
			X       float64   `json:"x"`
			Y       float64   `json:"y"`
			K       float64   `json:"cct_K"`
			Duv     float64   `json:"duv"`
			Ra      float64   `json:"Ra"`
			Rounded float64   `json:"Ra_from_rounded_Ri"`
			R       []float64 `json:"R"`
		} `json:"native_5nm"`
	} `json:"spectra"`
}

func readCases(t *testing.T) *casesFile {
	t.Helper()
	b, err := os.ReadFile("testdata/cases.json")
	if err != nil {
		t.Fatal(err)
	}
	var c casesFile
	if err := json.Unmarshal(b, &c); err != nil {
		t.Fatal(err)
	}
	if len(c.Spectra) != 16 {
		t.Fatalf("%d spectra, want 16", len(c.Spectra))
	}
	return &c
}

// near fails unless got is within tol of want; half a unit of the last
// printed digit of want comes on top where the file rounds.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.8g, want %.8g ± %.2g", what, got, want, tol)
	}
}

func TestPublishedSpectra(t *testing.T) {
	cases := readCases(t)
	tol := cases.Tolerance
	for name, want := range cases.Spectra {
		t.Run(name, func(t *testing.T) {
			s, err := spectrum.Illuminant(name)
			if err != nil {
				t.Fatal(err)
			}
			peak, top := s.Peak()
			near(t, "peak", peak, want.Input.Peak, 0)
			near(t, "sum over maximum", s.Power()/top, want.Input.SumOverMax, 1e-5)
			for at, v := range want.Input.Rel {
				near(t, "input at "+at+" nm", s.At(number(t, at))/top, v, 1e-6)
			}
			a, err := Of(&s, 1000)
			if err != nil {
				t.Fatal(err)
			}
			checkColour(t, &a.Colour, tol, want.RawXYZ2, want.RawXYZ10)
			near(t, "CCT", a.Colour.Temperature.Kelvin, want.CCT.K, want.CCT.K*tol["cct_K_rel"])
			near(t, "Duv", a.Colour.Temperature.Duv, want.CCT.Duv, tol["duv"])

			r := &a.Colour.Rendering
			near(t, "Ra", r.Ra, want.CRI.Ra, tol["Ra"])
			near(t, "shift", r.Shift, want.CRI.Shift, 5e-6)
			for i, v := range want.CRI.R {
				near(t, "R"+strconv.Itoa(i+1), r.R[i], v, tol["Ri"])
			}
			if r.Reference.String() != want.CRI.Reference {
				t.Errorf("reference %v, want %v", r.Reference, want.CRI.Reference)
			}

			f := &a.Colour.Fidelity
			near(t, "Rf", f.Rf, want.TM30.Rf, tol["Rf"])
			near(t, "Rg", f.Rg, want.TM30.Rg, tol["Rg"])
			if f.Reference.String() != want.TM30.Reference {
				t.Errorf("TM-30 reference %v, want %v", f.Reference, want.TM30.Reference)
			}
			for b := range colour.Bins {
				bin := strconv.Itoa(b + 1)
				if f.Count[b] != want.TM30.N[b] {
					t.Errorf("bin %s holds %d samples, want %d", bin, f.Count[b], want.TM30.N[b])
				}
				near(t, "Rf,h"+bin, f.RfBin[b], want.TM30.RfH[b], tol["Rf_hj"])
				near(t, "Rcs,h"+bin, f.RcsBin[b], want.TM30.Rcs[b], tol["Rcs_hj"])
				near(t, "Rhs,h"+bin, f.RhsBin[b], want.TM30.Rhs[b], tol["Rhs_hj"])
			}
			for i, v := range want.TM30.Ces {
				near(t, "Rf,CES"+strconv.Itoa(i+1), f.RfSample[i], v, tol["Rf_hj"])
			}

			for c, key := range []string{"sc", "mc", "lc", "rh", "mel"} {
				// The file prints five decimals; half of the last is 5e-6.
				elr, edi := want.Alpha[key].ELR, want.Alpha[key].EDI
				near(t, key+" efficacy", 1e3*a.Eye.Alpha.Efficacy[c], elr, elr*tol["elr_rel"]+5e-6)
				near(t, key+" DER", a.Eye.Alpha.DER[c], edi, edi*tol["elr_rel"]+5e-6)
			}
			near(t, "K_B,v", a.Hazard.BlueEfficacy, want.BLH.K, want.BLH.K*tol["K_Bv_rel"])
			near(t, "η_B", a.Hazard.BlueShare, want.BLH.Eta, want.BLH.Eta*tol["K_Bv_rel"])
			near(t, "border lux", a.Hazard.BorderIlluminance(), want.BLH.Ev, want.BLH.Ev*tol["K_Bv_rel"])
			near(t, "LER", a.LER, want.LER, want.LER*tol["ler_rel"])
			for _, lux := range []string{"100", "300", "1000"} {
				var p struct{ CLA, CS float64 }
				if err := json.Unmarshal(want.CLA[lux], &p); err != nil {
					t.Fatal(err)
				}
				got, err := eye.Circadian(&s, number(t, lux), eye.DeskLamp)
				if err != nil {
					t.Fatal(err)
				}
				near(t, "CLA at "+lux, got.CLA, p.CLA, p.CLA*tol["CLA_rel"])
				near(t, "CS at "+lux, got.CS, p.CS, tol["CS"])
				var branch string
				if err := json.Unmarshal(want.CLA["b_minus_y"], &branch); err != nil {
					t.Fatal(err)
				}
				if got.Blue != (branch == "blue") {
					t.Errorf("blue branch %v, want %q", got.Blue, branch)
				}
			}
			if want.Nat != nil {
				n, err := colour.AtFive(fiveOf(t, name))
				if err != nil {
					t.Fatal(err)
				}
				x, y := n.XYZ2.XY()
				near(t, "x at 5 nm", x, want.Nat.X, tol["x_y"])
				near(t, "y at 5 nm", y, want.Nat.Y, tol["x_y"])
				near(t, "CCT at 5 nm", n.Temperature.Kelvin, want.Nat.K, want.Nat.K*tol["cct_K_rel"])
				near(t, "Duv at 5 nm", n.Temperature.Duv, want.Nat.Duv, tol["duv"])
				near(t, "Ra at 5 nm", n.Rendering.Ra, want.Nat.Ra, tol["Ra"])
				near(t, "rounded Ra at 5 nm", n.Rendering.RaRounded, want.Nat.Rounded, 1e-9)
				for i, v := range want.Nat.R {
					near(t, "5 nm R"+strconv.Itoa(i+1), n.Rendering.R[i], v, tol["Ri"])
				}
			}
		})
	}
}

func checkColour(t *testing.T, c *colour.Colour, tol, two, ten map[string]float64) {
	t.Helper()
	x, y := c.XYZ2.XY()
	u, v := c.XYZ2.UV()
	up, vp := c.XYZ2.UVPrime()
	for key, got := range map[string]float64{"x": x, "y": y, "u": u, "v": v, "u'": up, "v'": vp} {
		near(t, key, got, two[key], tol["x_y"])
	}
	for key, got := range map[string]float64{"X": c.XYZ2.X, "Y": c.XYZ2.Y, "Z": c.XYZ2.Z} {
		near(t, key, got, two[key], tol["XYZ"])
	}
	x, y = c.XYZ10.XY()
	near(t, "x10", x, ten["x"], tol["x_y"])
	near(t, "y10", y, ten["y"], tol["x_y"])
	for key, got := range map[string]float64{"X": c.XYZ10.X, "Y": c.XYZ10.Y, "Z": c.XYZ10.Z} {
		near(t, key+"10", got, ten[key], tol["XYZ"])
	}
}

func fiveOf(t *testing.T, name string) []float64 {
	t.Helper()
	start, step, values, err := spectrum.Standard(name)
	if err != nil {
		t.Fatal(err)
	}
	if step != 5 {
		t.Fatalf("%s has a step of %g nm", name, step)
	}
	return values[int((spectrum.First-start)/5):]
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestPublishedFunctions(t *testing.T) {
	cases := readCases(t)
	f := &cases.Functions
	for kelvin, want := range f.Planck {
		u, v := colour.PlanckianUV(number(t, kelvin))
		near(t, "u at "+kelvin, u, want[0], 2e-7)
		near(t, "v at "+kelvin, v, want[1], 2e-7)
	}
	for _, p := range f.CCT {
		got := colour.CCTOfUV(p.U, p.V)
		near(t, "CCT", got.Kelvin, p.CCT, p.CCT*cases.Tolerance["cct_K_rel"])
		near(t, "Duv", got.Duv, p.Duv, cases.Tolerance["duv"])
	}
	for kelvin, want := range f.Daylight {
		x, y, err := spectrum.DaylightChromaticity(number(t, kelvin))
		if err != nil {
			t.Fatal(err)
		}
		m1, m2, err := spectrum.DaylightFactors(number(t, kelvin))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "x of D "+kelvin, x, want.X, 1e-6)
		near(t, "y of D "+kelvin, y, want.Y, 1e-6)
		near(t, "M1 of "+kelvin, m1, want.M1, 1e-5)
		near(t, "M2 of "+kelvin, m2, want.M2, 1e-5)
	}
	for cla, want := range f.CS {
		got, err := eye.CS(number(t, cla), eye.DeskLamp)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "CS of "+cla, got, want, 1e-6)
	}
	for _, p := range f.CSOther {
		got, err := eye.CS(p.CLA, eye.View{Hours: p.T, Field: p.F})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "CS", got, p.CS, 1e-6)
	}
	for _, p := range f.Jump {
		s, err := spectrum.Planck(p.T)
		if err != nil {
			t.Fatal(err)
		}
		for lux, want := range p.CLA {
			got, err := eye.Circadian(&s, number(t, lux), eye.DeskLamp)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "CLA beside the jump", got.CLA, want, want*cases.Tolerance["CLA_rel"])
			if lux == "1000" {
				near(t, "by", got.BlueYellow, p.By, 5e-6)
			}
		}
	}
	for name, levels := range f.CLA {
		s, err := spectrum.Illuminant(name)
		if err != nil {
			t.Fatal(err)
		}
		for lux, want := range levels {
			got, err := eye.Circadian(&s, number(t, lux), eye.DeskLamp)
			if err != nil {
				t.Fatal(err)
			}
			near(t, name+" CLA at "+lux, got.CLA, want, want*cases.Tolerance["CLA_rel"]+0.005)
		}
	}
	for nm, want := range f.Blue {
		near(t, "B at "+nm, hazard.Blue(number(t, nm)), want, 1e-7)
	}
}
