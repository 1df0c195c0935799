package figure_test

import (
	"fmt"
	"math"
	"testing"

	"dawnsmith/metric"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
)

// bell is a smooth hump of height 1.
func bell(x, mid, wide float64) float64 { return math.Exp(-(x - mid) * (x - mid) / (2 * wide * wide)) }

// span gives n evenly spaced values.
func span(a, b float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = a + (b-a)*float64(i)/float64(n-1)
	}
	return out
}

func apply(xs []float64, f func(float64) float64) []float64 {
	out := make([]float64, len(xs))
	for i, x := range xs {
		out[i] = f(x)
	}
	return out
}

// noise is a fixed sequence in −1…1, so that pictures never change.
func noise(i int) float64 { return math.Mod(math.Sin(float64(i)*12.9898)*43758.5453, 1) }

func whiteLED(nm float64) float64 {
	return 0.82*bell(nm, 452, 9.5) + 0.9*bell(nm, 585, 52) + 0.35*bell(nm, 530, 28)
}

func spectrum() draw.Scene {
	nm := span(380, 780, 401)
	return figure.Spectrum(figure.SpectrumChart{
		Frame: figure.Frame{Title: "Light at the eye", Note: "At the wheel, 0.9 m, level gaze. Both at 250 lx."},
		Y:     figure.Axis{Name: "spectral irradiance", Unit: "mW/(m² nm)"},
		Series: []figure.Series{
			{Name: "glaze bench lamp", X: nm, Y: apply(nm, whiteLED)},
			{Name: "morning daylight, 6500 K", Reference: true, X: nm, Y: apply(nm, func(x float64) float64 {
				return 0.62 + 0.22*bell(x, 460, 60) - 0.0006*(x-560) + 0.05*math.Sin(x/9)
			})},
		},
		Guides: []figure.Guide{{At: 490, Name: "melanopsin", Upright: true}, {At: 555, Name: "photopic peak", Upright: true}},
	})
}

func curves() draw.Scene {
	h := span(6, 20, 57)
	return figure.Curves(figure.CurveChart{
		Frame: figure.Frame{Title: "Light through the day", Note: "Oulu, 12 December."},
		X:     figure.Axis{Name: "local time", Clock: true},
		Y:     figure.Axis{Name: "illuminance at the eye", Unit: "lx", Log: true},
		Series: []figure.Series{
			{Name: "lamp and daylight", X: h, Y: apply(h, func(x float64) float64 { return 5 + 4000*bell(x, 8, 0.5) + 900*bell(x, 12.3, 1.2) })},
			{Name: "daylight alone", X: h, Y: apply(h, func(x float64) float64 { return 900*bell(x, 12.3, 1.2) + 0.02 }), Reference: true},
		},
		Guides: []figure.Guide{{At: 250, Name: "target 250 lx", Limit: true}},
		Spans:  []figure.Span{{From: 7.5, To: 8.5, Name: "session"}, {From: 18, To: 20, Name: "dim"}},
	})
}

func band() draw.Scene {
	d := span(0.3, 1.2, 19)
	law := func(x float64) float64 { return 5000 * 0.16 / (x * x) * (1 - 0.1*math.Exp(-x)) }
	return figure.Curves(figure.CurveChart{
		Frame: figure.Frame{Title: "Illuminance over distance"},
		X:     figure.Axis{Name: "distance", Unit: "m"},
		Y:     figure.Axis{Name: "illuminance", Unit: "lx", Zero: true},
		Series: []figure.Series{
			{Name: "predicted, with its uncertainty", X: d, Y: apply(d, law), Low: apply(d, func(x float64) float64 { return 0.9 * law(x) }), High: apply(d, func(x float64) float64 { return 1.1 * law(x) })},
			{Name: "measured", X: []float64{0.4, 0.55, 0.7, 0.9, 1.1}, Y: []float64{4800, 2500, 1560, 960, 640}, DotsOnly: true},
			{Name: "an earlier lamp", X: d, Y: apply(d, func(x float64) float64 { return 0.7 * law(x) })},
			{Name: "inverse square", X: d, Y: apply(d, func(x float64) float64 { return 700 / (x * x) }), Reference: true},
		},
	})
}

func tradeoff() draw.Scene {
	var pts []figure.TradeOffPoint
	for i := range 240 {
		x := 60 + 140*math.Abs(noise(i))
		y := 6500*(1-math.Exp(-x/90))*(0.55+0.45*math.Abs(noise(i+1000))) + 300
		pts = append(pts, figure.TradeOffPoint{X: x, Y: y})
	}
	front := figure.Front(pts, metric.Down, metric.Up)
	for k, name := range []string{"cheapest that will do", "best balance", "brightest"} {
		i := front[[3]int{2, len(front) / 2, len(front) - 1}[k]]
		pts[i].Name, pts[i].Pick, pts[i].Main = name, true, k == 1
	}
	return figure.TradeOff(figure.TradeOffChart{
		Frame: figure.Frame{Title: "What money buys", Note: "240 lamps for the glaze bench; the line joins those no other beats."},
		X:     figure.Axis{Name: "price of the first lamp", Unit: "€"},
		Y:     figure.Axis{Name: "illuminance at 0.40 m", Unit: "lx"}, BetterX: metric.Down, BetterY: metric.Up, Points: pts,
		Guides: []figure.Guide{{At: 160, Name: "budget 160 €", Upright: true, Limit: true}, {At: 5000, Name: "wanted 5000 lx"}},
	})
}

func intervals() draw.Scene {
	return figure.Intervals(figure.IntervalChart{
		Frame: figure.Frame{Title: "Melanopic daylight illuminance at the wheel", Note: "Value and expanded uncertainty (k = 2). Lamps that share a rank cannot be told apart."},
		X:     figure.Axis{Name: "melanopic EDI", Unit: "lx", Zero: true},
		Rows: []figure.IntervalRow{
			{Rank: "1", Name: "Glaze bench lamp", Sub: "self-made, unit 2", Value: 268, Low: 251, High: 285, Text: "268 ± 17", Chosen: true},
			{Rank: "2–3", Name: "Bought lamp B", Sub: "tall panel", Value: 221, Low: 203, High: 239, Text: "221 ± 18"},
			{Rank: "2–3", Name: "Bought lamp A", Sub: "small panel, close up", Value: 212, Low: 195, High: 229, Text: "212 ± 17"},
			{Rank: "4", Name: "Bought lamp C with quite a long name that goes on", Sub: "ring", Value: 96, Low: 88, High: 104, Text: "96 ± 8"},
		},
		Guides: []figure.Guide{{At: 250, Name: "wanted 250 lx", Upright: true, Limit: true}},
	})
}

func swap() draw.Scene {
	return figure.Intervals(figure.IntervalChart{
		Frame: figure.Frame{Title: "Opal sheet swapped for a clearer one"}, ValueName: "clearer sheet", WasName: "opal sheet",
		X: figure.Axis{Name: "change", Unit: "%"},
		Rows: []figure.IntervalRow{
			{Name: "illuminance", Value: 11.5, Was: 0, HasWas: true, Text: "+11.5 %", Chosen: true},
			{Name: "ripple across rows", Value: 38, Was: 0, HasWas: true, Text: "+38 %", Chosen: true},
			{Name: "strip temperature", Value: -1.2, Was: 0, HasWas: true, Text: "−1.2 %", Chosen: true},
		},
	})
}

func hues() draw.Scene {
	c := figure.HueChart{Frame: figure.Frame{Title: "Rendition by hue"}, Y: figure.Axis{Name: "local fidelity", From: 50, To: 100},
		Name: "glaze bench lamp", OtherName: "bought lamp A", Mean: 89, MeanName: "mean"}
	for i := range 16 {
		c.Values[i] = 89 + 6*math.Sin(float64(i)*0.8)
		c.Other[i] = 76 + 12*math.Sin(float64(i)*0.8+0.6)
	}
	return figure.HueDots(c)
}

func receptors() draw.Scene {
	return figure.Receptors(figure.ReceptorChart{
		Frame: figure.Frame{Title: "What the eye's receptors get", Note: "α-opic equivalent daylight (D65) illuminance, CIE S 026:2018, vertical at the eye."},
		X:     figure.Axis{Name: "equivalent daylight illuminance", Unit: "lx", Zero: true}, Name: "glaze bench lamp", Reference: "daylight of 300 lx",
		Rows: []figure.ReceptorRow{
			{Name: "S cone", Sub: "short waves", Value: 221, Reference: 300},
			{Name: "M cone", Sub: "middle waves", Value: 287, Reference: 300},
			{Name: "L cone", Sub: "long waves", Value: 301, Reference: 300},
			{Name: "rod", Sub: "night vision", Value: 266, Reference: 300},
			{Name: "melanopsin cell", Sub: "body clock", Value: 254, Reference: 300},
		},
	})
}

func faceMap() draw.Scene {
	const nx, ny = 60, 28
	v := make([][]float64, ny)
	for j := range v {
		v[j] = make([]float64, nx)
		for i := range v[j] {
			x, y := (float64(i)+0.5)/nx*2-1, (float64(j)+0.5)/ny*2-1
			v[j][i] = 11800 * (1 - 0.32*math.Pow(x, 6) - 0.28*math.Pow(y, 6)) * (1 + 0.015*math.Cos(y*6*math.Pi))
		}
	}
	return figure.Map(figure.MapChart{Frame: figure.Frame{Title: "Luminance of the face", Note: "Seen along the axis. Mean 10 900 cd/m², lowest 5300 in the corners."},
		Values: v, FaceWidth: 600, FaceHeight: 280, Z: figure.Axis{Name: "luminance", Unit: "cd/m²"}, Lines: true})
}

func profile() draw.Scene {
	x := span(0, 560, 561)
	c := figure.ProfileChart{Frame: figure.Frame{Title: "Luminance along the third row"}, Y: figure.Axis{Name: "luminance", Unit: "cd/m²"}, Mean: true,
		Series: []figure.Series{{Name: "predicted", X: x, Y: apply(x, func(x float64) float64 {
			return 11000 * (1 - 0.4*math.Pow(math.Abs(x-280)/300, 8)) * (1 + 0.006*math.Cos(x*2*math.Pi/16.67))
		})}}}
	for i := range 33 {
		c.LEDs = append(c.LEDs, 13+16.67*float64(i))
	}
	return figure.Profile(c)
}

func warmUp() draw.Scene {
	t := span(0, 60, 121)
	return figure.WarmUp(figure.WarmUpChart{Frame: figure.Frame{Title: "Warming up"}, Y: figure.Axis{Name: "illuminance at the meter", Unit: "lx"},
		Series: []figure.Series{{Name: "measured", X: t, Y: apply(t, func(x float64) float64 { return 4830 + 420*math.Exp(-x/9) })}},
		Final:  4830, Within: 24, SettledAt: 25.8})
}

func waveform() draw.Scene {
	t := span(0, 40, 4001)
	return figure.Waveform(figure.WaveformChart{Frame: figure.Frame{Title: "Flicker", Note: "Dimmed to half; modulation 21 %, flicker index 0.06."},
		Y: figure.Axis{Name: "light, relative to its mean"}, Time: t, Period: 10,
		Light: apply(t, func(x float64) float64 { return 1 + 0.2*math.Sin(2*math.Pi*x/10) + 0.03*math.Sin(2*math.Pi*x/0.7) })})
}

func waveSpectrum() draw.Scene {
	c := figure.WaveSpectrumChart{Frame: figure.Frame{Title: "Which frequencies flicker", Note: "Square pulses of 400 Hz, on for 30 %."}, Fundamental: 400, Least: 0.1}
	for k := 1; k <= 24; k++ {
		c.Frequency = append(c.Frequency, 400*float64(k))
		c.Amplitude = append(c.Amplitude, 200*math.Abs(math.Sin(math.Pi*0.3*float64(k)))/(0.3*math.Pi*float64(k)))
	}
	c.Limits = []figure.Series{
		{Name: "low risk", X: []float64{10, 90, 90, 1250}, Y: []float64{0.25, 2.25, 7.2, 100}},
		{Name: "no effect", X: []float64{10, 90, 90, 3000}, Y: []float64{0.1, 0.9, 3, 100}},
	}
	return figure.WaveSpectrum(c)
}

func trayPlan() draw.Scene {
	c := figure.Plan{Frame: figure.Frame{Title: "Tray, from above"}, Length: 600, Breadth: 280, Rim: 8}
	var plus, minus []draw.Point
	for i := range 6 {
		y := 23.3 + 46.7*float64(i)
		r := figure.PlanRow{Name: fmt.Sprint(i + 1), X: 25, Y: y, Width: 10, Unit: 50, Units: 11, LEDs: []figure.PlanLED{}}
		for k := range 6 {
			r.LEDs = append(r.LEDs, figure.PlanLED{At: 4.2 + 8.33*float64(k), Channel: k % 2})
		}
		if i == 3 {
			r.Pieces = []int{7, 4}
		}
		c.Rows = append(c.Rows, r)
		plus, minus = append(plus, draw.Point{X: 18, Y: y - 3}), append(minus, draw.Point{X: 11, Y: y + 3})
	}
	c.Wires = []figure.PlanWire{
		{Polarity: figure.Plus, Points: []draw.Point{{X: 18, Y: 5}, {X: 18, Y: 270}}, Windows: plus},
		{Polarity: figure.Minus, Points: []draw.Point{{X: 11, Y: 5}, {X: 11, Y: 270}}, Windows: minus},
	}
	for i := range plus {
		c.Wires = append(c.Wires,
			figure.PlanWire{Polarity: figure.Plus, Points: []draw.Point{plus[i], {X: 27, Y: plus[i].Y}}},
			figure.PlanWire{Polarity: figure.Minus, Points: []draw.Point{minus[i], {X: 27, Y: minus[i].Y}}})
	}
	c.Holes = []figure.PlanHole{{X: 585, Y: 140, Diameter: 8, Name: "lead"}}
	return figure.TrayPlan(c)
}

func smallPlan() draw.Scene {
	c := figure.Plan{Frame: figure.Frame{Title: "A small tray"}, Length: 300, Breadth: 200, Rim: 10}
	for i, y := range []float64{40, 90, 165} {
		c.Rows = append(c.Rows, figure.PlanRow{Name: string(rune('A' + i)), X: 12, Y: y, Width: 12, Unit: 100, Units: 2, WiredRight: i == 2, PlusBelow: i == 1,
			LEDs: []figure.PlanLED{{At: 10}, {At: 30}, {At: 50}, {At: 70}, {At: 90}}})
	}
	return figure.TrayPlan(c)
}

func template() draw.Scene {
	return figure.TrayPlan(figure.Plan{Frame: figure.Frame{Title: "Template"}, Length: 180, Breadth: 90, Scale: 1, NoDimensions: true,
		Rows: []figure.PlanRow{{X: 15, Y: 30, Width: 10, Unit: 50, Units: 3, LEDs: []figure.PlanLED{{At: 12.5}, {At: 37.5}}},
			{X: 15, Y: 60, Width: 10, Unit: 50, Units: 3, LEDs: []figure.PlanLED{{At: 12.5}, {At: 37.5}}}},
		Holes: []figure.PlanHole{{X: 172, Y: 45, Diameter: 6, Name: "lead"}}})
}

func section() draw.Scene {
	c := figure.Section{Frame: figure.Frame{Title: "Tray, cut across the rows"}, Breadth: 280, Depth: 50, Wall: 1, StripWidth: 10, LEDHeight: 2, Sheet: 3, Lining: true, LiningFloor: true,
		TrayName: "aluminium tray, 1 mm", StripName: "strip on the floor", SheetName: "opal sheet, 3 mm", LiningName: "white film"}
	for i := range 6 {
		c.Rows = append(c.Rows, 23.3+46.7*float64(i))
	}
	return figure.TraySection(c)
}

func sideView() draw.Scene {
	return figure.SideView(figure.Sight{Frame: figure.Frame{Title: "Lamp and eye"}, Ahead: 500, Above: 300, FaceHeight: 280, Depth: 55, Tilt: 31,
		EyeHeight: 450, DeskFrom: 120, DeskTo: 800, MonitorAhead: 620, MonitorTop: 20, MonitorHeight: 320})
}

func highLamp() draw.Scene {
	return figure.SideView(figure.Sight{Frame: figure.Frame{Title: "Too high"}, Ahead: 350, Above: 420, FaceHeight: 300, Depth: 50, Tilt: 50, Gaze: -5,
		EyeHeight: 420, DeskFrom: 100, DeskTo: 700})
}

func ranked() draw.Scene {
	c := figure.RankedChart{Frame: figure.Frame{Title: "Illuminance at 500 mm, facing the lamp", Note: "Bars: k = 2. A bracket joins lamps that cannot be told apart."},
		X: figure.Axis{Name: "illuminance", Unit: "lx", Log: true}}
	for i, r := range []figure.RankedRow{
		{Name: "wall of light, two square metres, with its own stand", Value: 61000, Low: 57000, High: 65000, Text: "61 000 ± 4 000 lx"},
		{Name: "nine-row tray lamp", Value: 10100, Low: 9500, High: 10700, Group: 2, Chosen: true},
		{Name: "seven-row tray lamp", Value: 9700, Low: 9100, High: 10300, Group: 2},
		{Name: "bought panel, large", Value: 9600, Low: 8200, High: 11000, Group: 2},
		{Name: "bought panel, small", Value: 2900, Low: 2750, High: 3050},
		{Name: "strip under the shelf", Value: 400, Limit: "at least"},
		{Name: "lamp from the attic", Missing: "its distance was not noted, and without the size of its face it cannot be carried to another"},
		{Name: "broken lamp", Value: math.NaN()},
	} {
		r.Place = []string{"1", "2–4", "2–4", "2–4", "5", "–", "–", "–"}[i]
		c.Rows = append(c.Rows, r)
	}
	return figure.Ranked(c)
}

func scatter() draw.Scene {
	c := figure.ScatterChart{Frame: figure.Frame{Title: "Output and glare", Note: "At 500 mm on the axis; crosses: k = 2."}, Distance: 0.5,
		X: figure.Axis{Name: "mean luminance of the face", Unit: "cd/m²"}, Y: figure.Axis{Name: "illuminance at 500 mm", Unit: "lx"}}
	for i, r := range [][2]float64{{9000, 61000}, {17900, 10100}, {17000, 9700}, {16500, 9600}, {40000, 2900}, {2900, 1300}} {
		c.Points = append(c.Points, figure.ScatterPoint{Name: []string{"wall of light", "nine-row tray lamp", "seven-row tray lamp", "bought panel, large", "bought panel, small", "window of paper"}[i],
			X: r[0], XLow: 0.94 * r[0], XHi: 1.06 * r[0], Y: r[1], YLow: 0.94 * r[1], YHi: 1.06 * r[1], Main: i == 1})
	}
	c.Points = append(c.Points, figure.ScatterPoint{Name: "lamp from the attic", Missing: "no face luminance"})
	return figure.Scatter(c)
}

func spectraGrid() draw.Scene {
	nm := span(380, 780, 401)
	c := figure.SpectrumGrid{Frame: figure.Frame{Title: "Spectra"}}
	for i, n := range []string{"nine-row tray lamp", "seven-row tray lamp with the warm channel at one half", "bought panel, small", "lamp from the attic"} {
		k := figure.SpectrumCell{Name: n, Says: []string{"3950 K, Ra 92, Rf 90"}, NM: nm, Y: apply(nm, func(x float64) float64 { return whiteLED(x + 3*float64(i)) })}
		if i == 3 {
			k = figure.SpectrumCell{Name: n, Missing: "nobody measured it"}
		}
		c.Cells = append(c.Cells, k)
	}
	return figure.Spectra(c)
}

func binsOf(hues bool) draw.Scene {
	c := figure.BinGrid{Frame: figure.Frame{Title: "Colour rendition"}, Hues: hues, Y: figure.Axis{Name: "local fidelity Rf"}, Bins: figure.HueBins()}
	if !hues {
		c.Bins, c.Y.Name = figure.SpecialIndices(), "special index R"
	}
	for i, n := range []string{"nine-row tray lamp", "bought panel, small", "lamp from the attic"} {
		k := figure.BinCell{Name: n, Says: []string{"Ra 92, Rf 90"}}
		for j := range c.Bins {
			k.Values = append(k.Values, 88+9*noise(i+3*j))
		}
		if !hues && i == 1 {
			k.Values[8] = -35
		}
		if i == 2 {
			k = figure.BinCell{Name: n, Missing: "no spectrum"}
		}
		c.Cells = append(c.Cells, k)
	}
	return figure.Bins(c)
}

// The gallery: each picture under its golden name.
var pictures = []struct {
	name string
	make func() draw.Scene
}{
	{"spectrum", spectrum}, {"curves", curves}, {"band", band}, {"tradeoff", tradeoff}, {"intervals", intervals}, {"swap", swap},
	{"hues", hues}, {"receptors", receptors}, {"map", faceMap}, {"profile", profile}, {"warmup", warmUp}, {"waveform", waveform}, {"wavespectrum", waveSpectrum},
	{"plan", trayPlan}, {"plan-small", smallPlan}, {"template", template}, {"section", section}, {"sideview", sideView}, {"sideview-high", highLamp},
	{"ranked", ranked}, {"scatter", scatter}, {"spectra", spectraGrid},
	{"rendition-hues", func() draw.Scene { return binsOf(true) }}, {"rendition-special", func() draw.Scene { return binsOf(false) }},
}

func TestGoldenGallery(t *testing.T) {
	for _, p := range pictures {
		t.Run(p.name, func(t *testing.T) { golden(t, p.name, p.make()) })
	}
}

// show prints what an example's picture is.
func show(s draw.Scene) { fmt.Printf("%s: %.0f × %.0f mm\n", s.Title, s.Width, s.Height) }
