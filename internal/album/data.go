package album

import (
	"fmt"
	"strconv"

	"dawnsmith/internal/app"
	"dawnsmith/lamp/heat"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/wiring"
	"dawnsmith/light/eye"
	"dawnsmith/light/spectrum"
)

// num writes a number for a CSV file: six digits, a point, no thousands.
func num(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

func nums(xs ...float64) []string {
	out := make([]string, len(xs))
	for i, x := range xs {
		out[i] = num(x)
	}
	return out
}

func planData(a *app.Answer) (Table, error) {
	t := Table{Head: []string{"row", "start_mm", "centre_line_mm", "length_mm", "units", "leds"}}
	l := a.Lamp
	for i := range l.Spec.Rows {
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), num(l.RowX(i) * 1000), num(l.RowAt(i) * 1000), num(l.RowLength() * 1000),
			strconv.Itoa(l.Spec.Units), strconv.Itoa(l.LEDsPerRow())})
	}
	return t, nil
}

func sectionData(a *app.Answer) (Table, error) {
	l := a.Lamp
	t := Table{Head: []string{"what", "mm"}}
	add := func(what string, m float64) { t.Rows = append(t.Rows, []string{what, num(m * 1000)}) }
	add("inner width across the rows", l.Across())
	add("depth of the tray", l.Tray.Depth)
	add("floor to sheet", l.Height())
	add("LEDs above the floor", l.Strip.Height)
	add("pitch of the rows", l.RowPitch())
	add("width of the strip", l.Strip.Width)
	if l.Sheet != nil {
		add("sheet", l.Sheet.Thickness)
	}
	return t, nil
}

func wiringData(a *app.Answer) (Table, error) {
	t := Table{Head: []string{"code", "wire", "length_mm", "pieces", "cross_section_mm2"}}
	for _, w := range wiring.Of(a.Lamp, wiring.Options{}).Wires {
		t.Rows = append(t.Rows, []string{w.Code, w.Name, num(w.Length * 1000), strconv.Itoa(w.Count), num(w.Part.Area * 1e6)})
	}
	return t, nil
}

func sideData(a *app.Answer) (Table, error) {
	p := a.Lamp.Spec.Place
	const deg = 180 / 3.141592653589793
	t := Table{[]string{"what", "value", "unit"}, [][]string{
		{"eye to the face's middle", num(p.EyeDistance * 1000), "mm"},
		{"ahead of the eye", num(p.Ahead() * 1000), "mm"},
		{"above the eye", num(p.LampAboveEye * 1000), "mm"},
		{"aside", num(p.LampAside * 1000), "mm"},
		{"tilt", num(p.FaceTilt() * deg), "deg"},
		{"elevation", num(p.Elevation() * deg), "deg"},
		{"gaze", num(p.Gaze * deg), "deg"},
		{"brow", num(p.Brow * deg), "deg"},
		{"cheek", num(p.Cheek * deg), "deg"},
	}}
	if p.MonitorDistance > 0 {
		t.Rows = append(t.Rows, []string{"monitor ahead of the eye", num(p.MonitorDistance * 1000), "mm"}, []string{"monitor's upper edge above the eye", num(p.MonitorEdge * 1000), "mm"})
	}
	return t, nil
}

func spectrumData(a *app.Answer) (Table, error) {
	t := Table{Head: []string{"wavelength_nm", "spectral_irradiance_w_m2_nm"}}
	for i, v := range a.Result.Spectrum {
		t.Rows = append(t.Rows, nums(spectrum.Wavelength(i), v))
	}
	return t, nil
}

func huesData(a *app.Answer) (Table, error) {
	t := Table{Head: []string{"hue_bin", "local_colour_fidelity"}}
	for i := range 16 {
		if v, ok := a.Result.Numbers[fmt.Sprintf("rf_h%d", i+1)]; ok {
			t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), num(v)})
		}
	}
	return t, nil
}

func receptorData(a *app.Answer) (Table, error) {
	al, err := eye.Alpha(&a.Result.Spectrum)
	if err != nil {
		return Table{}, err
	}
	t := Table{Head: []string{"receptor", "daylight_efficacy_ratio"}}
	for i, n := range []string{"S cone", "M cone", "L cone", "rod", "melanopsin"} {
		t.Rows = append(t.Rows, []string{n, num(al.DER[i])})
	}
	return t, nil
}

func rippleData(a *app.Answer) (Table, error) {
	sol := a.Result.Light
	if sol == nil {
		return Table{}, ErrNone
	}
	k := a.Result.Numbers[predict.FaceMean] / sol.Face.Mean
	t := Table{Head: []string{"across_the_rows_mm", "luminance_cd_m2"}}
	n := 240
	for i := range n {
		y := a.Lamp.Across() * (float64(i) + 0.5) / float64(n)
		t.Rows = append(t.Rows, nums(y*1000, sol.Face.At(a.Lamp.RunLength()/2, y)*k))
	}
	return t, nil
}

func currentData(a *app.Answer) (Table, error) {
	c := a.Result.Circuit
	if c == nil {
		return Table{}, ErrNone
	}
	t := Table{Head: []string{"row", "unit", "along_mm", "channel_1_ma", "channel_2_ma"}}
	for i, row := range c.Rows {
		for k, cur := range row.First.I {
			first, second := num(cur*1000), ""
			if k < len(row.Second.I) {
				second = num(row.Second.I[k] * 1000)
			}
			if !a.Lamp.HasChannel(i, 0) {
				first, second = "", first
			}
			t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), strconv.Itoa(k + 1),
				num(1000 * (a.Lamp.RowX(i) + (float64(k)+0.5)*a.Lamp.Strip.Cut)), first, second})
		}
	}
	return t, nil
}

func warmData(a *app.Answer) (Table, error) {
	w, err := heat.Warm(&a.Result.HeatInput)
	if err != nil {
		return Table{}, err
	}
	t := Table{Head: []string{"time_s", "floor_c", "sheet_c"}}
	for _, m := range w.Curve {
		t.Rows = append(t.Rows, nums(m.Time, m.Floor-273.15, m.Diffuser-273.15))
	}
	return t, nil
}

func sureData(a *app.Answer) (Table, error) {
	t := Table{Head: []string{"key", "number", "value", "expanded_uncertainty_k2", "unit", "contributor_1", "share_1", "contributor_2", "share_2", "contributor_3", "share_3"}}
	for _, g := range a.Shown() {
		for _, r := range g.Rows {
			v, ok := a.Values[r.Key]
			if !ok {
				continue
			}
			// The metric's own unit: ratios stay ratios here.
			unit := r.Unit
			if unit == "%" {
				unit = ""
			}
			row := []string{r.Key, r.Name, num(v.X), num(2 * v.U()), unit}
			for _, c := range v.Contributors(3) {
				row = append(row, c.Source, num(c.Share))
			}
			for len(row) < len(t.Head) {
				row = append(row, "")
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return t, nil
}

func reachData(a *app.Answer) (Table, error) {
	t := Table{Head: []string{"distance_m", "meter_lx", "eye_lx", "eye_melanopic_edi_lx"}}
	der := a.Result.Numbers[predict.DER]
	for d := 0.2; d <= 2.01; d += 0.06 {
		e, m, err := a.Result.EyeAt(d)
		if err != nil {
			return t, ErrNone
		}
		t.Rows = append(t.Rows, nums(d, m, e, e*der))
	}
	return t, nil
}

func faceData(a *app.Answer) (Table, error) {
	f := a.Result.Face
	if f == nil {
		return Table{}, ErrNone
	}
	k := a.Result.Numbers[predict.FaceMean] / f.Mean
	t := Table{Head: []string{"along_the_rows_mm", "across_the_rows_mm", "luminance_cd_m2"}}
	for j := range f.NY {
		for i := range f.NX {
			t.Rows = append(t.Rows, nums(a.Lamp.RunLength()*1000*(float64(i)+0.5)/float64(f.NX), a.Lamp.Across()*1000*(float64(j)+0.5)/float64(f.NY), f.L[j*f.NX+i]*k))
		}
	}
	return t, nil
}

func hotData(a *app.Answer) (Table, error) {
	_, m, err := heat.Solve2D(&a.Result.HeatInput)
	if err != nil {
		return Table{}, err
	}
	t := Table{Head: []string{"along_the_rows_mm", "across_the_rows_mm", "floor_c"}}
	const n = 40
	for j := range n {
		for i := range n {
			x, y := a.Lamp.RunLength()*(float64(i)+0.5)/n, a.Lamp.Across()*(float64(j)+0.5)/n
			t.Rows = append(t.Rows, nums(x*1000, y*1000, m.At(x, y)-273.15))
		}
	}
	return t, nil
}
