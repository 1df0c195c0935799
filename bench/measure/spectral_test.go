package measure

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dawnsmith/finding"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/assay"
	"dawnsmith/light/flicker"
	"dawnsmith/light/spectrum"
	"dawnsmith/quantity"
)

func spectrometer() Instrument {
	return Instrument{ID: "sp-1", Kind: Spectrometer, Calibration: Calibration{Date: "2026-01-15", U: 0.05, K: 2}}
}

func led(t *testing.T, lux float64) spectrum.Spectrum {
	t.Helper()
	s, err := spectrum.Illuminant("LED-B3")
	if err != nil {
		t.Fatal(err)
	}
	s, err = s.ScaleTo(lux)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func spectralRun(t *testing.T, lux float64, n int) Run {
	r := Run{ID: "s-1", Kind: SpectrumRun, Subject: Subject{Lamp: "a"}, Instrument: spectrometer(),
		Conditions: Conditions{Distance: 0.4, From: FromFace, Room: DarkRoom, WarmUp: 3600},
		Spectra:    &SpectrumLog{Quantity: spectrum.Irradiance}}
	rng := seeded(2)
	for range n {
		s := led(t, lux*(1+0.002*rng.NormFloat64()))
		r.Spectra.Spectra = append(r.Spectra.Spectra, s)
	}
	return r
}

func has(v quantity.Value, part string) bool {
	for _, term := range v.Terms {
		if strings.Contains(term.Source, part) && math.Abs(term.U) > 1e-9*math.Abs(v.X) {
			return true
		}
	}
	return false
}

func TestSpectrumRun(t *testing.T) {
	r := spectralRun(t, 5000, 1)
	rec := evaluate(t, r)
	want, err := assay.Of(&r.Spectra.Spectra[0], r.Spectra.Spectra[0].Luminous())
	if err != nil {
		t.Fatal(err)
	}
	w := want.Values()
	lux, _ := rec.Value(predict.MeterLux)
	near(t, "lux", lux.Value.X, r.Spectra.Spectra[0].Luminous(), 1e-6)
	for key, as := range map[string]string{"cct_k": "cct_k", "ra": "ra", "der_mel": "der_mel", "kbv_mw_lm": "kbv_mw_lm", "edi_mel_lx": MeterEDI, "cs": MeterCS} {
		m, ok := rec.Value(as)
		if !ok {
			t.Errorf("no %s", as)
			continue
		}
		near(t, as, m.Value.X, w[key], 1e-9*math.Abs(w[key])+1e-9)
	}
	if _, ok := rec.Value("edi_mel_lx"); ok {
		t.Error("read facing the lamp, filed as at the eye")
	}
	der, _ := rec.Value("der_mel")
	edi, _ := rec.Value(MeterEDI)
	if has(der.Value, "calibration") || !has(edi.Value, "calibration") || !has(der.Value, "wavelength scale") {
		t.Errorf("terms of DER %v, of EDI %v", der.Value.Terms, edi.Value.Terms)
	}
	// EDI = lux·DER with shared terms: the quotient knows nothing of the level.
	q := edi.Value.Div(lux.Value)
	if r := q.U() / q.X; r > 1.3*der.Value.U()/der.Value.X+0.004 {
		t.Errorf("EDI over lux known to %.2g, DER to %.2g", r, der.Value.U()/der.Value.X)
	}
	// A scale 1 nm off moves the colour temperature of LED-B3 by 38 K
	// (colour-science 0.4.6, spectra at 1 nm); ± 0.5 nm rectangular is 0.289 nm.
	cct, _ := rec.Value("cct_k")
	for _, term := range cct.Value.Terms {
		if strings.Contains(term.Source, "wavelength") {
			near(t, "CCT by 0.289 nm", math.Abs(term.U), 38*0.289, 0.3)
		}
	}

	r.Conditions.Facing = Forward
	rec = evaluate(t, r)
	eye, ok := rec.Value(predict.EyeLuxUncut)
	if _, mel := rec.Value(predict.EyeMelanopic); !ok || !mel || eye.Value.X != lux.Value.X {
		t.Error("eye-level reading without eye values")
	}
	r = spectralRun(t, 5000, 1)
	r.Spectra.Quantity = spectrum.Relative
	rec = evaluate(t, r)
	if _, ok := rec.Value(predict.MeterLux); ok {
		t.Error("lux from a relative spectrum")
	}
	if _, ok := rec.Value(MeterEDI); ok {
		t.Error("EDI from a relative spectrum without a level")
	}
	r = spectralRun(t, 5000, 1)
	r.Spectra.OverRange = true
	rec = evaluate(t, r)
	if m, _ := rec.Value(predict.MeterLux); m.Bound != AtLeast {
		t.Error("clipped spectrum gives an estimate")
	}
	if _, ok := rec.Value("cct_k"); ok {
		t.Error("colour of a clipped spectrum")
	}
	r.Spectra.Spectra[0][5] = math.NaN()
	if _, err := r.Evaluate(); err == nil {
		t.Error("NaN taken")
	}
}

func TestRepeatedSpectra(t *testing.T) {
	rec := evaluate(t, spectralRun(t, 5000, 6))
	m, _ := rec.Value(predict.MeterLux)
	if m.Degrees() == math.Inf(1) || !has(m.Value, "scatter") {
		t.Errorf("scatter of six spectra is not counted: %v", m)
	}
}

func TestSpectralBackground(t *testing.T) {
	r := spectralRun(t, 5000, 1)
	day, _ := spectrum.Illuminant("D65")
	day, _ = day.ScaleTo(200)
	clean := r.Spectra.Spectra[0]
	for i := range clean {
		r.Spectra.Spectra[0][i] += day[i]
	}
	r.Spectra.Before, r.Spectra.After = &day, &day
	rec := evaluate(t, r)
	m, _ := rec.Value(predict.MeterLux)
	near(t, "lux", m.Value.X, clean.Luminous(), 1e-6)
	if finding.Has(rec.Findings, "measure.background_changed") {
		t.Error("a steady background is blamed")
	}
}

func TestSpectraSeries(t *testing.T) {
	r := spectralRun(t, 1, 0)
	r.Kind, r.Conditions.WarmUp = SpectraRun, 0
	base := led(t, 1)
	_, x := warming(120, 30, 0.05, 400)
	for i := range x {
		r.Spectra.Times = append(r.Spectra.Times, float64(30*i))
		r.Spectra.Spectra = append(r.Spectra.Spectra, base.Scale(x[i]))
	}
	rec := evaluate(t, r)
	if rec.Stability == nil || !rec.Stability.Stable {
		t.Fatalf("%+v", rec.Stability)
	}
	m, _ := rec.Value(predict.MeterLux)
	near(t, "settled lux", m.Value.X, 9500, 12)
	near(t, "mean spectrum", rec.Spectrum.Luminous(), m.Value.X, 1e-6*m.Value.X)
}

func TestHandAndSheet(t *testing.T) {
	volt := Instrument{ID: "dmm-1", Kind: Multimeter, Calibration: Calibration{U: 0.01, K: 2}, Resolution: 0.01}
	therm := Instrument{ID: "tc-1", Kind: Thermometer}
	r := Run{ID: "h-1", Kind: SheetRun, Subject: Subject{Lamp: "a", Serial: "1"}, Instrument: volt,
		Hand: []Reading{{Key: SupplyVolts, X: 24.05}, {Key: LampCurrent, X: 1.52}, {Key: predict.StripTemp, X: 52.5, Instrument: &therm}, {Key: predict.MainsPower, X: 44, U: 0.4}}}
	rec := evaluate(t, r)
	v, _ := rec.Value(SupplyVolts)
	near(t, "volts", v.Value.U(), 24.05*math.Hypot(0.005, 0.005/24.05/math.Sqrt(3)), 1e-6)
	temp, _ := rec.Value(predict.StripTemp)
	near(t, "± 1.5 K", temp.Value.U(), 1.5/math.Sqrt(3), 1e-9)
	p, _ := rec.Value(predict.MainsPower)
	near(t, "stated", p.Value.U(), 0.4, 1e-12)
	if !finding.Has(rec.Findings, "measure.sheet_gaps") {
		t.Error("missing readings are not told")
	}
	// Watts from the same multimeter: its scale counts twice.
	i, _ := rec.Value(LampCurrent)
	if w := v.Value.Mul(i.Value); w.U()/w.X < 0.0099 {
		t.Errorf("power known to %g: the meter's scale was counted as two errors", w.U()/w.X)
	}
	r.Hand = append(r.Hand, Reading{Key: "warp_factor", X: 9})
	if _, err := r.Evaluate(); err == nil {
		t.Error("unknown measure taken")
	}
	r.Hand[4] = Reading{Key: LampCurrent, X: 9}
	if _, err := r.Evaluate(); err == nil {
		t.Error("one measure twice")
	}
}

func TestLogRun(t *testing.T) {
	rng := seeded(4)
	var log Log
	var temp, watts []float64
	for i := range 240 {
		s := float64(i) * 30
		log.Times = append(log.Times, s)
		temp = append(temp, 25+30*(1-math.Exp(-s/900))+0.1*rng.NormFloat64())
		watts = append(watts, 45+0.05*rng.NormFloat64())
	}
	log.Columns = []Column{{Key: predict.StripTemp, X: temp, Instrument: &Instrument{ID: "tc-1", Kind: Thermometer, Offset: 1}}, {Key: predict.MainsPower, X: watts}}
	rec := evaluate(t, Run{ID: "l-1", Kind: LogRun, Subject: Subject{Lamp: "a"}, Instrument: Instrument{ID: "pm-1", Kind: PowerMeter}, Log: &log})
	m, _ := rec.Value(predict.StripTemp)
	near(t, "end temperature", m.Value.X, 55, 0.15)
	if m.Value.U() < 1/math.Sqrt(3) {
		t.Errorf("± 1 K lost: %g", m.Value.U())
	}
	p, _ := rec.Value(predict.MainsPower)
	near(t, "watts", p.Value.X, 45, 0.05)
	near(t, "their u", p.Value.U(), 45*math.Hypot(0.01, 0.005/math.Sqrt(3)), 0.02)
	if finding.Has(rec.Findings, "measure.still_drifting") {
		t.Error("a settled log is blamed")
	}
	short := Log{Times: log.Times[:40], Columns: []Column{{Key: predict.StripTemp, X: temp[:40]}}}
	rec = evaluate(t, Run{ID: "l-2", Kind: LogRun, Subject: Subject{Lamp: "a"}, Instrument: Instrument{ID: "tc-1", Kind: Thermometer}, Log: &short})
	if !finding.Has(rec.Findings, "measure.still_drifting") {
		t.Error("a rising temperature is not told")
	}
}

func TestWaveformRun(t *testing.T) {
	w := &flicker.Waveform{Dt: 1.0 / 20000}
	for i := range 20000 {
		w.Samples = append(w.Samples, 1+0.2*math.Sin(2*math.Pi*100*float64(i)*w.Dt))
	}
	rec := evaluate(t, Run{ID: "w-1", Kind: WaveformRun, Subject: Subject{Lamp: "a"}, Instrument: Instrument{ID: "pd-1", Kind: LightSensor}, Waveform: w})
	m, _ := rec.Value("percent_flicker")
	near(t, "percent flicker of a 20 % sine", m.Value.X, 20, 0.05)
	f, _ := rec.Value("flicker_hz")
	near(t, "frequency", f.Value.X, 100, 0.5)
}

func TestFaceRun(t *testing.T) {
	run := Run{ID: "f-1", Kind: FaceRun, Subject: Subject{Lamp: "a"}, Instrument: Instrument{ID: "cam", Kind: Camera}, Face: &FacePhoto{Max: 1400, Mean: 1100, Min: 600, Black: 100, Linear: true}}
	rec := evaluate(t, run)
	m, _ := rec.Value(HotSpotRatio)
	near(t, "hot spot", m.Value.X, 1.3, 1e-9)
	e, _ := rec.Value("face_min_over_mean")
	near(t, "evenness", e.Value.X, 0.5, 1e-9)
	// sRGB codes: 188 of 255 is half of full scale (IEC 61966-2-1).
	run.Face = &FacePhoto{Max: 188, Mean: 137} // 0.503 and 0.25
	rec = evaluate(t, run)
	m, _ = rec.Value(HotSpotRatio)
	near(t, "coded", m.Value.X, 2.0, 0.02)
	run.Face = &FacePhoto{Max: 255, Mean: 137}
	rec = evaluate(t, run)
	if m, _ = rec.Value(HotSpotRatio); m.Bound != AtLeast || !finding.Has(rec.Findings, "measure.photo_clipped") {
		t.Error("a clipped picture gives an estimate")
	}
	run.Face = &FacePhoto{Max: 10, Mean: 137}
	if _, err := run.Evaluate(); err == nil {
		t.Error("a maximum under the mean taken")
	}
}

func TestMerge(t *testing.T) {
	a, b := evaluate(t, faceRun("r1", "a", meter("lx-1"), 10000)), evaluate(t, faceRun("r2", "a", meter("lx-1"), 9900))
	poor := meter("lx-9")
	poor.Calibration.U = 0.2
	c := evaluate(t, faceRun("r3", "a", poor, 9000))
	m, aside, err := Merge(a, c, b)
	if err != nil {
		t.Fatal(err)
	}
	if v, _ := m.Value(predict.MeterLux); v.Run != "r2" {
		t.Errorf("kept run %s, want the later of the two good ones", v.Run)
	}
	if len(aside) != 2*3 { // illuminance, luminance, flux
		t.Errorf("left aside: %v", aside)
	}
	if _, _, err := Merge(a, evaluate(t, faceRun("r", "other", meter("lx-1"), 1))); err == nil {
		t.Error("two lamps merged")
	}
}

func TestPartsFromTheBench(t *testing.T) {
	i := meter("lx-1")
	read := func(x float64, label string) quantity.Value {
		v, err := i.Reading(x, label)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	item := part.Item{ID: "film", Name: "film"}
	sheet := part.Sheet{Item: item, Thickness: 0.0002, Density: 1300, Transmittance: quantity.Exact(0.8), Reflectance: quantity.Exact(0.15), Limit: 350, Emissivity: 0.9}
	// One sheet of T = 0.6, R = 0.3: two pass 0.36/(1 − 0.09) = 0.3956.
	two := read(3956, "two sheets")
	got, err := Sheet(sheet, read(6000, "one sheet"), read(10000, "no sheet"), &two, optics.FilmOrOpal)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "T", got.Transmittance.X, 0.6, 1e-9)
	near(t, "R", got.Reflectance.X, 0.3, 0.001)
	if has(got.Transmittance, "calibration") {
		t.Error("the meter's calibration is left in a ratio")
	}
	if u := got.Transmittance.U(); u < 0.002 || u > 0.004 {
		t.Errorf("T ± %g, want about 0.6·√2·0.3 %%", u)
	}
	if got, err = Sheet(sheet, read(6000, "one"), read(10000, "none"), nil, optics.FilmOrOpal); err != nil || math.Abs(got.Reflectance.X-0.35) > 1e-9 {
		t.Errorf("closure: %v %v", got.Reflectance, err)
	}
	if _, err = Sheet(sheet, read(12000, "one"), read(10000, "none"), nil, optics.FilmOrOpal); err == nil {
		t.Error("a sheet that makes light")
	}
}

// A run survives the logbook: JSON and back gives the same record.
func TestRunJSON(t *testing.T) {
	for _, r := range []Run{faceRun("r", "a", meter("lx-1"), 10000), spectralRun(t, 4000, 2)} {
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		var back Run
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatal(err)
		}
		a, b := evaluate(t, r), evaluate(t, back)
		if d := cmp.Diff(a, b); d != "" {
			t.Error(d)
		}
		if _, err := json.Marshal(a); err != nil {
			t.Error(err)
		}
	}
}

// Every declared measure has what a table needs, each key once.
func TestMetrics(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range Metrics() {
		if m.Key == "" || m.Name == "" || m.Line == "" || m.Source == "" {
			t.Errorf("%+v lacks something", m)
		}
		if seen[m.Key] {
			t.Errorf("%s declared twice", m.Key)
		}
		seen[m.Key] = true
		if _, also := predict.Declared(m.Key); also {
			t.Errorf("%s is declared by predict already", m.Key)
		}
	}
}
