package draw_test

import (
	"bytes"
	"testing"

	"dawnsmith/paper/draw"
)

// sampler holds one of everything.
func sampler() draw.Scene {
	s := draw.NewScene(150, 100, "Sampler", "One of every kind of item.")
	s.Text(6, 8, "Sampler & <signs> µλΔΩσ°±×·⁻¹²³½≤≥≈→∅☐✓−–—€₂", draw.TextStyle{Size: draw.SizeHead, Bold: true})
	s.Line(6, 12, 50, 12, draw.Stroke(draw.Ink, draw.WidthLine))
	for i, d := range []draw.Dash{draw.Dashed, draw.Dotted, draw.Chain} {
		s.Line(6, 15+3*float64(i), 50, 15+3*float64(i), draw.Stroke(draw.Accent, draw.WidthBold).Dashed(d))
	}
	s.Rect(56, 12, 20, 9, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Panel))
	s.RoundRect(80, 12, 20, 9, 2, draw.Stroke(draw.Accent, draw.WidthLine).Filled(draw.Tint))
	s.Circle(110, 16.5, 4.5, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.LED))
	s.Arc(125, 20, 8, 0, 90, draw.Stroke(draw.Plus, draw.WidthBold))
	s.Arc(125, 20, 6, 180, -90, draw.Stroke(draw.Minus, draw.WidthBold))
	s.Curve([]draw.Point{{X: 6, Y: 35}, {X: 20, Y: 22}, {X: 30, Y: 48}, {X: 50, Y: 32}}, false, draw.Stroke(draw.Accent, draw.WidthBold))
	tri := []draw.Point{{X: 60, Y: 45}, {X: 90, Y: 45}, {X: 70, Y: 27}}
	s.Polygon(tri, draw.Stroke(draw.Ink, draw.WidthLine))
	s.Hatch(tri, 45, 1.5, draw.Stroke(draw.Soft, draw.WidthHair))
	c := s.Clip(100, 28, 30, 16)
	c.Circle(115, 36, 12, draw.Stroke(draw.Warn, draw.WidthBold).Filled(draw.Sheet))
	c.Text(115, 36, "clipped here and there", draw.TextStyle{Align: draw.Centre, Rise: draw.Middle})
	s.Dim(draw.Point{X: 10, Y: 60}, draw.Point{X: 60, Y: 60}, 6, "50 mm", draw.DimStyle{})
	s.Dim(draw.Point{X: 10, Y: 60}, draw.Point{X: 12, Y: 60}, -6, "2 mm", draw.DimStyle{Arrows: true})
	s.Dim(draw.Point{X: 70, Y: 50}, draw.Point{X: 70, Y: 80}, -5, "30 mm", draw.DimStyle{Arrows: true})
	s.Dim(draw.Point{X: 80, Y: 80}, draw.Point{X: 80, Y: 55}, -4, "25 mm", draw.DimStyle{})
	s.AngleDim(draw.Point{X: 95, Y: 80}, 14, 0, 50, "50°", draw.DimStyle{})
	s.Line(95, 80, 120, 80, draw.Stroke(draw.Ink, draw.WidthLine))
	s.Arrow(95, 80, 110, 62.1, draw.Stroke(draw.Ray, draw.WidthLine))
	for i, a := range []float64{0, 30, 90, -45} {
		x := 12 + 14*float64(i)
		s.Circle(x, 84, 0.5, draw.Fill(draw.Accent))
		s.Text(x, 84, "turned", draw.TextStyle{Angle: a, Ground: draw.Paper})
	}
	s.Image(125, 50, 20, 20, draw.Grid{Columns: 2, Rows: 2, RGB: []byte{20, 20, 20, 200, 120, 40, 240, 230, 200, 120, 60, 30}})
	g := s.Child("swatches")
	g.Title = "The roles"
	g.Attr("kind", "swatches")
	for i, r := range draw.Roles() {
		x := 6 + 8.1*float64(i)
		g.Rect(x, 90, 7, 5, draw.Stroke(draw.Soft, draw.WidthHair).Filled(r))
	}
	return s
}

func TestGoldenSampler(t *testing.T) { golden(t, "sampler", sampler()) }

func TestGoldenRuler(t *testing.T) { golden(t, "ruler", draw.CheckRuler()) }

func TestGoldenDXF(t *testing.T) {
	var b bytes.Buffer
	if err := draw.DXF(&b, sampler()); err != nil {
		t.Fatal(err)
	}
	compare(t, "sampler.dxf", b.Bytes())
}
