package report

import (
	"bytes"
	"fmt"
	"html/template"
	"math"

	"dawnsmith/internal/app"
	"dawnsmith/lamp"
	"dawnsmith/lamp/heat"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
	"dawnsmith/lamp/wiring"
	"dawnsmith/light/eye"
	"dawnsmith/light/spectrum"
	"dawnsmith/metric"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
	"dawnsmith/paper/portrait"
	"dawnsmith/quantity"
)

// SVG sets a scene into a page: fluid, its ids starting with id, its colours
// those of the page.
func SVG(s draw.Scene, id string) (template.HTML, error) {
	var b bytes.Buffer
	if err := draw.SVG(&b, s, draw.SVGOptions{ID: id, Fluid: true}); err != nil {
		return "", fmt.Errorf("picture %s: %w", id, err)
	}
	return template.HTML(b.String()), nil //nolint: the writer escapes its text
}

// Plan is the dimensioned tray with rows and buses.
func Plan(l lamp.Lamp) draw.Scene {
	w := wiring.Of(l, wiring.Options{})
	return portrait.TrayPlan(l, &w)
}

// Spectrum is the light at the eye over wavelength.
func Spectrum(ans *app.Answer) draw.Scene {
	s := figure.Series{Name: "at the eye"}
	for i := range ans.Result.Spectrum {
		s.X = append(s.X, spectrum.Wavelength(i))
		s.Y = append(s.Y, ans.Result.Spectrum[i]*1000)
	}
	return figure.Spectrum(figure.SpectrumChart{
		Frame:  figure.Frame{Title: "Spectrum at the eye", Height: 76},
		Y:      figure.Axis{Name: "irradiance", Unit: "mW/(m² nm)"},
		Series: []figure.Series{s},
	})
}

// Hues is the fidelity in each of the sixteen hue bins.
func Hues(ans *app.Answer) draw.Scene {
	c := figure.HueChart{Frame: figure.Frame{Title: "How truly each hue is shown", Height: 76},
		Y: figure.Axis{Name: "local colour fidelity", From: 0, To: 100}, Name: "this lamp", Mean: ans.Result.Numbers["rf"], MeanName: "Rf"}
	for i := range c.Values {
		c.Values[i] = math.NaN()
		if v, ok := ans.Result.Numbers[fmt.Sprintf("rf_h%d", i+1)]; ok {
			c.Values[i] = v
		}
	}
	return figure.HueDots(c)
}

// receptorNames are those of the eye in the order of light/eye.
var receptorNames = [5][2]string{{"S cone", "short-wave cone"}, {"M cone", "middle-wave cone"}, {"L cone", "long-wave cone"}, {"rod", ""}, {"melanopsin", "sets the body clock"}}

// Receptors is what the light does to each receptor, beside daylight.
func Receptors(ans *app.Answer) (draw.Scene, error) {
	a, err := eye.Alpha(&ans.Result.Spectrum)
	if err != nil {
		return draw.Scene{}, err
	}
	c := figure.ReceptorChart{Frame: figure.Frame{Title: "What the eye's receptors make of it"},
		X: figure.Axis{Name: "equivalent daylight illuminance per lux", Zero: true}, Name: "this lamp", Reference: "daylight of 6500 K"}
	for i, n := range receptorNames {
		c.Rows = append(c.Rows, figure.ReceptorRow{Name: n[0], Sub: n[1], Value: a.DER[i], Reference: 1})
	}
	return figure.Receptors(c), nil
}

// Face is the luminance over the face; false when the grade of the prediction
// has no map.
func Face(ans *app.Answer) (draw.Scene, bool) {
	f := ans.Result.Face
	if f == nil {
		return draw.Scene{}, false
	}
	k := ans.Result.Numbers[predict.FaceMean] / f.Mean
	nx, ny := f.NX, f.NY
	across := ans.Lamp.Spec.Along == lamp.AlongWidth
	if across {
		nx, ny = ny, nx
	}
	rows := make([][]float64, ny)
	for j := range rows {
		rows[j] = make([]float64, nx)
		for i := range rows[j] {
			x, y := i, ny-1-j
			if across {
				x, y = y, x
			}
			rows[j][i] = f.L[y*f.NX+x] * k
		}
	}
	return figure.Map(figure.MapChart{
		Frame:  figure.Frame{Title: "Luminance over the face, seen squarely", Height: 92},
		Values: rows, FaceWidth: ans.Lamp.Tray.Length * 1000, FaceHeight: ans.Lamp.Tray.Width * 1000,
		Z: figure.Axis{Name: "luminance", Unit: "cd/m²"}, Lines: true,
	}), true
}

// Warm is the temperature of floor and sheet after switching on.
func Warm(ans *app.Answer) (draw.Scene, error) {
	w, err := heat.Warm(&ans.Result.HeatInput)
	if err != nil {
		return draw.Scene{}, err
	}
	floor, sheet := figure.Series{Name: "tray floor, mean"}, figure.Series{Name: "sheet"}
	for _, m := range w.Curve {
		floor.X, floor.Y = append(floor.X, m.Time/60), append(floor.Y, m.Floor-273.15)
		sheet.X, sheet.Y = append(sheet.X, m.Time/60), append(sheet.Y, m.Diffuser-273.15)
	}
	return figure.Curves(figure.CurveChart{
		Frame: figure.Frame{Title: "Warming up", Height: 66, Note: fmt.Sprintf("within 5 %% of steady after %s", quantity.Format(w.T95, quantity.Time, 2))},
		X:     figure.Axis{Name: "after switching on", Unit: "min"}, Y: figure.Axis{Name: "temperature", Unit: "°C"},
		Series: []figure.Series{floor, sheet},
	}), nil
}

// Sure shows the main numbers with their interval, each over its own value.
func Sure(ans *app.Answer) draw.Scene {
	c := figure.IntervalChart{Frame: figure.Frame{Title: "How sure each number is", Note: "disc and interval: value ± expanded uncertainty (k = 2), all as shares of the value"},
		X: figure.Axis{Name: "share of the value", Unit: "%"}}
	for _, k := range []string{predict.MeterLux, predict.EyeMelanopic, predict.FaceMean, predict.CCT, predict.DER, predict.MainsPower, predict.SupplyCurrent, predict.FluxLED, predict.BoxShare} {
		v := ans.Value(k)
		r, ok := ans.Row(k)
		if !ok || v.X == 0 {
			continue
		}
		u := 200 * v.U() / math.Abs(v.X)
		c.Rows = append(c.Rows, figure.IntervalRow{Name: r.Name, Value: 100, Low: 100 - u, High: 100 + u, Text: r.Value + " " + r.Unit})
	}
	return figure.Intervals(c)
}

// TradeOff shows the feasible lamps over price and luminance with the picks
// named.
func TradeOff(f search.Found) draw.Scene {
	c := figure.TradeOffChart{
		Frame: figure.Frame{Title: "What a softer face costs", Note: "each dot is a lamp of the catalogue that meets the brief"},
		X:     figure.Axis{Name: "first lamp, without tools", Unit: currency(f)}, Y: figure.Axis{Name: "mean luminance of the face", Unit: "cd/m²"},
		BetterX: metric.Down, BetterY: metric.Down,
	}
	for _, p := range f.Cloud {
		c.Points = append(c.Points, figure.TradeOffPoint{X: p.Numbers[search.PriceFirst], Y: p.Numbers[predict.FaceMean]})
	}
	for i, p := range f.Picks {
		c.Points = append(c.Points, figure.TradeOffPoint{X: p.Result.Numbers[search.PriceFirst], Y: p.Result.Numbers[predict.FaceMean], Name: p.Title, Pick: true, Main: i == 0})
	}
	for _, t := range f.Targets {
		if t.Metric == predict.FaceMean {
			c.Guides = append(c.Guides, figure.Guide{At: t.Limit, Name: "allowed", Limit: true})
		}
	}
	return figure.TradeOff(c)
}

func currency(f search.Found) string {
	for _, p := range f.Picks {
		if c := p.Bill.First.Currency; c == "EUR" {
			return "€"
		} else if c != "" {
			return c
		}
	}
	return ""
}

// Currents is the current of every unit along some of the rows: the first, the
// middle one and the last.
func Currents(ans *app.Answer) (draw.Scene, bool) {
	c := ans.Result.Circuit
	if c == nil {
		return draw.Scene{}, false
	}
	l := ans.Lamp
	p := figure.ProfileChart{Frame: figure.Frame{Title: "Current along the rows", Height: 66, Note: "each dot is a cut unit, all channels full on; from the wired end"},
		Y: figure.Axis{Name: "current of a unit", Unit: "mA"}, Along: "along the row"}
	rows := map[int]bool{}
	for _, i := range []int{0, len(c.Rows) / 2, len(c.Rows) - 1} {
		if rows[i] {
			continue
		}
		rows[i] = true
		s := figure.Series{Name: fmt.Sprintf("row %d", i+1), Dots: true}
		for k, cur := range c.Rows[i].First.I {
			if k < len(c.Rows[i].Second.I) {
				cur += c.Rows[i].Second.I[k]
			}
			s.X = append(s.X, 1000*(l.RowX(i)+(float64(k)+0.5)*l.Strip.Cut))
			s.Y = append(s.Y, 1000*cur)
		}
		p.Series = append(p.Series, s)
	}
	return figure.Profile(p), true
}

// Ripple is the luminance across the rows through the middle of the face;
// false when the grade of the prediction has no map.
func Ripple(ans *app.Answer) (draw.Scene, bool) {
	sol := ans.Result.Light
	if sol == nil {
		return draw.Scene{}, false
	}
	k := ans.Result.Numbers[predict.FaceMean] / sol.Face.Mean
	s := figure.Series{Name: "through the middle"}
	n := 240
	for i := range n {
		y := ans.Lamp.Across() * (float64(i) + 0.5) / float64(n)
		s.X = append(s.X, y*1000)
		s.Y = append(s.Y, sol.Face.At(ans.Lamp.RunLength()/2, y)*k)
	}
	return figure.Profile(figure.ProfileChart{
		Frame:  figure.Frame{Title: "Luminance across the rows", Height: 66},
		Y:      figure.Axis{Name: "luminance, seen squarely", Unit: "cd/m²", Zero: true},
		Series: []figure.Series{s}, Along: "across the rows", Mean: true,
	}), true
}

// Hot is the temperature over the tray's floor.
func Hot(ans *app.Answer) (draw.Scene, error) {
	_, m, err := heat.Solve2D(&ans.Result.HeatInput)
	if err != nil {
		return draw.Scene{}, err
	}
	l := ans.Lamp
	nx, ny := 76, 56
	rows := make([][]float64, ny)
	for j := range rows {
		rows[j] = make([]float64, nx)
		for i := range rows[j] {
			// The picture lies as the tray does, rows seen from the front.
			u, v := (float64(i)+0.5)/float64(nx), (float64(j)+0.5)/float64(ny)
			x, y := u*l.RunLength(), v*l.Across()
			if l.Spec.Along == lamp.AlongWidth {
				x, y = v*l.RunLength(), u*l.Across()
			}
			rows[j][i] = m.At(x, y) - 273.15
		}
	}
	return figure.Map(figure.MapChart{
		Frame:  figure.Frame{Title: "Temperature of the tray's floor", Height: 92},
		Values: rows, FaceWidth: l.Tray.Length * 1000, FaceHeight: l.Tray.Width * 1000,
		Z: figure.Axis{Name: "temperature", Unit: "°C"}, Lines: true,
	}), nil
}

// Reach is the light at the eye and at a meter that faces the lamp, over the
// distance; false when the grade of the prediction does not tell.
func Reach(ans *app.Answer) (draw.Scene, bool) {
	eyes := figure.Series{Name: "melanopic EDI at the eye, gaze as in the brief"}
	meter := figure.Series{Name: "illuminance at a meter that faces the lamp"}
	der := ans.Result.Numbers[predict.DER]
	for d := 0.2; d <= 2.01; d += 0.06 {
		e, m, err := ans.Result.EyeAt(d)
		if err != nil {
			return draw.Scene{}, false
		}
		if e*der > 1 {
			eyes.X, eyes.Y = append(eyes.X, d), append(eyes.Y, e*der)
		}
		meter.X, meter.Y = append(meter.X, d), append(meter.Y, m)
	}
	c := figure.CurveChart{
		Frame: figure.Frame{Title: "How far may one sit?", Height: 80, Note: "straight distance from the face's centre; the eye on the line of the brief, the meter on the face's axis"},
		X:     figure.Axis{Name: "distance", Unit: "m"}, Y: figure.Axis{Name: "light", Unit: "lx", Log: true},
		Series: []figure.Series{meter, eyes},
	}
	for _, ck := range ans.Checks {
		switch ck.Metric {
		case predict.MeterLux:
			c.Guides = append(c.Guides, figure.Guide{At: ck.Limit, Name: "wanted at the meter"})
		case predict.EyeMelanopic:
			c.Guides = append(c.Guides, figure.Guide{At: ck.Limit, Name: "wanted at the eye"})
		}
	}
	return figure.Curves(c), true
}
