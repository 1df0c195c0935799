// Command demolamps writes the readings of the demo's lamps, as meters would
// write them: internal/catalogue/bench. All lamps are invented; the light of
// each follows from its face, spectrum and warm-up, with the scatter of an
// ordinary meter from a fixed seed. Run it from the root; git shows what
// changed.
package main

import (
	"bytes"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"

	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/file"
	"dawnsmith/internal/meterfile"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/phosphor"
	"dawnsmith/light/spectrum"
)

const folder = "internal/catalogue/bench"

var noise = rand.New(rand.NewPCG(65, 1))

// wobble is a factor near 1 with the relative standard deviation s.
func wobble(s float64) float64 { return 1 + s*noise.NormFloat64() }

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}

func put(name, text string) {
	path := filepath.Join(folder, name)
	check(os.MkdirAll(filepath.Dir(path), 0o755))
	check(os.WriteFile(path, []byte(text), 0o644))
}

// lux is the illuminance on the axis of an even a × b face of luminance l, d m
// before it (four corner rectangles of the configuration factor between a
// small element and a parallel rectangle).
func lux(l, a, b, d float64) float64 {
	x, y := a/2/d, b/2/d
	return 2 * l * (x/math.Sqrt(1+x*x)*math.Atan(y/math.Sqrt(1+x*x)) + y/math.Sqrt(1+y*y)*math.Atan(x/math.Sqrt(1+y*y)))
}

// white is an LED spectrum; it stops the program when it cannot be made.
func white(r phosphor.Recipe) spectrum.Spectrum {
	m, err := phosphor.White(r)
	check(err)
	return m.Spectrum
}

// reading scales a spectrum to a level in lx and adds an array's scatter.
func reading(name string, at time.Time, s spectrum.Spectrum, level float64) meterfile.Reading {
	k := level / s.Luminous()
	peak := 0.0
	for _, v := range s {
		peak = math.Max(peak, v)
	}
	r := meterfile.Reading{Name: name, At: at, Raw: spectrum.Raw{Quantity: spectrum.Irradiance}}
	for i, v := range s {
		r.Raw.Wavelengths = append(r.Raw.Wavelengths, spectrum.Wavelength(i))
		x := k * (v*wobble(0.002) + 0.0004*peak*noise.NormFloat64())
		r.Raw.Values = append(r.Raw.Values, math.Round(math.Max(0, x)*1e9)/1e9)
	}
	return r
}

// warm is light against its steady level, m minutes after switching on: a drop
// by a share with a time constant in minutes.
func warm(m, drop, tau float64) float64 { return 1 + drop*math.Exp(-m/tau) }

func main() {
	check(os.RemoveAll(folder))
	own()
	panel()
	tablet()
	tubes()
	checkLamp()
}

// own is the lamp of the demo as it was built: its strip a little weaker than
// its label, its sheet a little clearer.
func own() {
	spec := catalogue.FirstLamp()
	l, err := (&app.App{Parts: catalogue.Starter()}).Build(spec)
	check(err)
	l.Strip.Channels[0].Flux = l.Strip.Channels[0].Flux.Scale(0.93)
	r, err := predict.Lamp(l)
	check(err)
	plan, err := (&app.App{Parts: catalogue.Starter()}).Predict(spec, nil, false)
	check(err)
	n := r.Numbers
	a, b := n[predict.FaceLength]/1000, n[predict.FaceWidth]/1000
	var doc strings.Builder
	check(file.WriteLamp(&doc, spec, "The lamp as it was built."))
	put("oulu-first/oulu-first.lamp.toml", doc.String())
	put("oulu-first/setup.toml", fmt.Sprintf(`[lamp]
id = "oulu-first"
name = "Oulu first lamp"
origin = "own"
serial = "1"
maker = "the glaze bench"
price = "%s"
price_basis = "parts of 2026 with tax, without tools"
interest = "built by the tester"
document = "oulu-first.lamp.toml"
use_distance = "400 mm"
daily = "1.5 h"

[meter]
id = "lux-meter"
name = "bench lux meter"
kind = "lux meter"
calibrated = "2026-03-02"
certificate = "K-2026-017"
calibration = "3 %%"
f1 = "6 %%"
resolution = "1"

[spectrometer]
id = "spectrometer"
name = "bench spectrometer"
calibrated = "2026-03-02"
calibration = "4 %%"
wavelength_error = "0.5 nm"
stray_light = "0.1 %%"

[conditions]
distance = "400 mm"
distance_error = "2 mm"
from = "face"
facing = "lamp"
room = "dark"
warm_up = "60 min"
logs_from_start = true
air = "21 °C"
supply = "24 V, 60 W"
date = "2026-11-21"
face_length = "%.0f mm"
face_width = "%.0f mm"
background_before = "2 lx"
background_after = "2 lx"

[readings]
luminance = "%.0f ± 250"
watts = "%.1f"
volts = "24.05"
strip = "%.1f ± 1"
back = "%.1f ± 1"

[distances]
"300 mm" = "%.0f"
"600 mm" = "%.0f"
"900 mm" = "%.0f"
`, plan.Bill.First, 1e3*a, 1e3*b, n[predict.FaceMean]*wobble(0.01), n[predict.MainsPower]*1.02, n[predict.StripTemp]+0.6, n[predict.BackTemp]-0.4,
		n[predict.MeterLux]*lux(1, a, b, 0.3)/lux(1, a, b, 0.4)*wobble(0.004), n[predict.MeterLux]*lux(1, a, b, 0.6)/lux(1, a, b, 0.4)*wobble(0.004),
		n[predict.MeterLux]*lux(1, a, b, 0.9)/lux(1, a, b, 0.4)*wobble(0.004)))
	var t strings.Builder
	t.WriteString("minutes;lx\n")
	for m := range 61 {
		x := n[predict.MeterLux]*warm(float64(m), 0.045, 13)*wobble(0.0015) + 2
		t.WriteString(strings.ReplaceAll(fmt.Sprintf("%d;%.0f\n", m, x), ".", ","))
	}
	put("oulu-first/hour.csv", t.String())
	s := r.Spectrum
	var out []meterfile.Reading
	at := time.Date(2026, 11, 21, 7, 5, 0, 0, time.UTC)
	for i := range 3 {
		out = append(out, reading(fmt.Sprintf("oulu-first %d", i+1), at.Add(time.Duration(i)*20*time.Second), s, n[predict.MeterLux]))
	}
	var w bytes.Buffer
	check(meterfile.WriteCSV(&w, out))
	put("oulu-first/spectra.csv", w.String())
}

// bought holds what differs between the bought lamps.
type bought struct {
	id, name, maker, price string
	use                    float64 // m
	a, b, l                float64 // m, m, cd/m²
	watts                  float64
	date                   string
	claim                  string
	strip                  string
}

func (x bought) setup(extra string) string {
	return fmt.Sprintf(`[lamp]
id = %q
name = %q
origin = "bought"
maker = %q
price = %q
price_basis = "shop price of 2026 with tax"
interest = "bought by the tester; its maker knew nothing of it"
use_distance = "%.0f mm"
daily = "1 h"

[meter]
id = "lux-meter"
name = "bench lux meter"
kind = "lux meter"
calibrated = "2026-03-02"
certificate = "K-2026-017"
calibration = "3 %%"
f1 = "6 %%"
resolution = "1"

[spectrometer]
id = "spectrometer"
name = "bench spectrometer"
calibrated = "2026-03-02"
calibration = "4 %%"
wavelength_error = "0.5 nm"
stray_light = "0.1 %%"

[conditions]
distance = "400 mm"
distance_error = "2 mm"
from = "face"
facing = "lamp"
room = "dark"
warm_up = "60 min"
logs_from_start = true
air = "21 °C"
supply = "its own, as sold"
date = %q
face_length = "%.0f mm"
face_width = "%.0f mm"
background_before = "2 lx"
background_after = "2 lx"

[claim]
%s
[readings]
luminance = "%.0f ± %.0f"
watts = "%.1f"
%s`, x.id, x.name, x.maker, x.price, 1e3*x.use, x.date, 1e3*x.a, 1e3*x.b, x.claim, x.l*wobble(0.01), 0.02*x.l, x.watts, extra)
}

func (x bought) distances(ds ...float64) string {
	var t strings.Builder
	t.WriteString("\n[distances]\n")
	for _, d := range ds {
		fmt.Fprintf(&t, "\"%.0f mm\" = \"%.0f\"\n", 1e3*d, lux(x.l, x.a, x.b, d)*wobble(0.004)+2)
	}
	return t.String()
}

// panel is a large office panel turned on its side.
func panel() {
	x := bought{id: "large-panel", name: "large panel", maker: "invented maker A", price: "89.00 EUR", use: 0.5, a: 0.595, b: 0.295, l: 8200, watts: 40.6,
		date: "2026-11-22", claim: "lux = \"10000 lx\"\nlumens = \"4400\"\nwatts = \"36 W\"\ncct = \"4000 K\"\nra = \"80\"\n"}
	put("large-panel/setup.toml", x.setup(x.distances(0.3, 0.5, 0.8)))
	s := white(phosphor.Recipe{CCT: 4060, Ra: 83})
	e := lux(x.l, x.a, x.b, 0.4)
	var w bytes.Buffer
	check(meterfile.WriteSPDX(&w, reading("large panel", time.Date(2026, 11, 22, 8, 2, 0, 0, time.UTC), s, e), "invented spectrometer", time.Date(2026, 11, 22, 8, 2, 0, 0, time.UTC)))
	put("large-panel/panel.spdx", w.String())
	var t strings.Builder
	t.WriteString("Light log\r\nserial;1007\r\n\r\ntime;E (lx)\r\n")
	start := time.Date(2026, 11, 22, 7, 0, 0, 0, time.UTC)
	for m := range 61 {
		fmt.Fprintf(&t, "%s;%.0f\r\n", start.Add(time.Duration(m)*time.Minute).Format("2006-01-02 15:04:05"), e*warm(float64(m), 0.03, 9)*wobble(0.0015)+2)
	}
	put("large-panel/log.txt", t.String())
}

// tablet is a small lamp whose seller states a great number at no great
// distance, and whose light is chopped.
func tablet() {
	x := bought{id: "small-tablet", name: "small tablet", maker: "invented maker B", price: "49.90 EUR", use: 0.2, a: 0.24, b: 0.16, l: 13800, watts: 17.2,
		date: "2026-11-22", claim: "lux = \"10000 lx\"\nwatts = \"18 W\"\ncct = \"6500 K\"\nra = \"95\"\n"}
	put("small-tablet/setup.toml", x.setup(x.distances(0.15, 0.2, 0.3)))
	s := white(phosphor.Recipe{CCT: 6300, Ra: 83})
	e := lux(x.l, x.a, x.b, 0.4)
	var w bytes.Buffer
	check(meterfile.WriteCGATS(&w, []meterfile.Reading{reading("small tablet", time.Time{}, s, e)}, "invented spectrometer"))
	put("small-tablet/tablet.txt", w.String())
	var t strings.Builder
	t.WriteString("t (ms),light (V)\n")
	for i := range 4000 {
		ms := float64(i) * 0.05
		on := 0.0
		if math.Mod(ms+0.025, 4) < 2.8 {
			on = 1
		}
		fmt.Fprintf(&t, "%.3f,%.4f\n", ms, 0.02+1.31*on+0.002*noise.NormFloat64())
	}
	put("small-tablet/wave.csv", t.String())
	t.Reset()
	t.WriteString("minutes,lx\n")
	for m := range 61 {
		fmt.Fprintf(&t, "%d,%.0f\n", m, e*warm(float64(m), 0.07, 11)*wobble(0.0015)+2)
	}
	put("small-tablet/hour.csv", t.String())
}

// tubes is an older box with fluorescent tubes: lines, a slow rise, a fall.
func tubes() {
	x := bought{id: "tube-box", name: "box with two tubes", maker: "invented maker C", price: "135.00 EUR", use: 0.4, a: 0.52, b: 0.31, l: 7600, watts: 71.5,
		date: "2026-11-23", claim: "lux = \"10000 lx\"\ndistance = \"200 mm\"\nwatts = \"72 W\"\ncct = \"4000 K\"\nra = \"82\"\n"}
	put("tube-box/setup.toml", x.setup(x.distances(0.2, 0.3, 0.6)))
	s, err := spectrum.Illuminant("FL11")
	check(err)
	e := lux(x.l, x.a, x.b, 0.4)
	var w bytes.Buffer
	check(meterfile.WriteJSON(&w, []meterfile.Reading{reading("box with two tubes", time.Date(2026, 11, 23, 8, 0, 0, 0, time.UTC), s, e)}))
	put("tube-box/spectrum.json", w.String())
	var t strings.Builder
	t.WriteString("minutes\tlx\tW\n")
	for m := range 71 {
		f := float64(m)
		rise := (1 - 0.35*math.Exp(-f/2.2)) * (1 + 0.05*math.Exp(-f/14))
		fmt.Fprintf(&t, "%d\t%.0f\t%.1f\n", m, e*rise*wobble(0.0015)+2, x.watts*(1+0.03*math.Exp(-f/8))*wobble(0.0008))
	}
	put("tube-box/hour.txt", t.String())
}

// checkLamp is a steady lamp kept for nothing but watching the meters: read on
// six days, on three of them by two meters.
func checkLamp() {
	for i, day := range []string{"2026-06-06", "2026-07-04", "2026-08-01", "2026-09-05", "2026-10-03", "2026-11-21"} {
		for _, m := range []struct {
			id, name string
			scale    float64
			on       bool
		}{{"lux-meter", "bench lux meter", 1, true}, {"second-meter", "second lux meter", 0.981, i%2 == 1}} {
			if !m.on {
				continue
			}
			put(fmt.Sprintf("check-lamp/%s-%s/setup.toml", day, m.id), fmt.Sprintf(`[lamp]
id = "check-lamp"
name = "check lamp"
origin = "check"
maker = "the glaze bench"

[meter]
id = %q
name = %q
kind = "lux meter"

[conditions]
distance = "300 mm"
from = "face"
facing = "lamp"
room = "dark"
warm_up = "30 min"
date = %q

[readings]
lux = "%.0f"
`, m.id, m.name, day, 1840*m.scale*wobble(0.002)))
		}
	}
}
