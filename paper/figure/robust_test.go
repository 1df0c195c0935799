package figure_test

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"dawnsmith/metric"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"

	"pgregory.net/rapid"
)

// sound checks that a scene can be written, keeps its words on the paper and
// apart from each other, and shows no NaN.
func sound(t interface {
	Fatalf(string, ...any)
	Helper()
}, s draw.Scene) {
	t.Helper()
	var b bytes.Buffer
	if err := draw.SVG(&b, s, draw.SVGOptions{}); err != nil {
		t.Fatalf("%v", err)
	}
	for _, bad := range []string{"NaN", "Inf"} {
		if strings.Contains(b.String(), bad) {
			i := strings.Index(b.String(), bad)
			t.Fatalf("%s: %s in the picture: %s", s.Title, bad, b.String()[max(0, i-200):i+3])
		}
	}
	page := draw.Rect{W: s.Width, H: s.Height}
	labels := s.Labels()
	for i, l := range labels {
		if !l.Box.Inside(page) {
			t.Fatalf("%s: %q at %.1f leaves the paper of %.0f × %.0f", s.Title, l.Text, l.Box, s.Width, s.Height)
		}
		for _, o := range labels[i+1:] {
			if l.Box.Overlaps(o.Box) && l.Text != o.Text {
				t.Fatalf("%s: %q at %.1f and %q at %.1f overlap", s.Title, l.Text, l.Box, o.Text, o.Box)
			}
		}
	}
}

func TestGalleryIsSound(t *testing.T) {
	for _, p := range pictures {
		t.Run(p.name, func(t *testing.T) {
			s := p.make()
			sound(t, s)
			if s.Title == "" || s.Desc == "" {
				t.Error("no title or no description for screen readers")
			}
			for _, l := range s.Labels() {
				if l.Size < 1.9 {
					t.Errorf("%q is set in %.1f mm", l.Text, l.Size)
				}
			}
		})
	}
}

// values draws any numbers there are.
func values(n int) *rapid.Generator[[]float64] {
	any := rapid.OneOf(rapid.Float64Range(-10, 1000), rapid.Float64Range(-10, 1000), rapid.Float64Range(1e-9, 1e-6),
		rapid.SampledFrom([]float64{0, 1, math.NaN(), math.Inf(1), math.Inf(-1), 1e308, -1e308, 5e-324, 1e12}))
	return rapid.SliceOfN(any, n, n)
}

// No data spoils a chart: empty, one point, constant, huge, tiny, negative,
// not a number, on linear and logarithmic axes, at any width.
func TestAnyDataIsDrawn(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(0, 6).Draw(rt, "n")
		v := func() []float64 { return values(n).Draw(rt, "v") }
		axis := func() figure.Axis {
			return figure.Axis{Name: "a name", Unit: "unit", Log: rapid.Bool().Draw(rt, "log"), Zero: rapid.Bool().Draw(rt, "zero")}
		}
		f := figure.Frame{Title: "Any data", Width: rapid.SampledFrom([]float64{0, 90, 200}).Draw(rt, "width")}
		var s draw.Scene
		switch rapid.IntRange(0, 8).Draw(rt, "kind") {
		case 0:
			s = figure.Curves(figure.CurveChart{Frame: f, X: axis(), Y: axis(), Series: []figure.Series{
				{Name: "one", X: v(), Y: v(), Low: v(), High: v()}, {Name: "two", X: v(), Y: v(), Reference: true, Dots: true}, {Name: "three", X: v(), Y: v(), Steps: true}}})
		case 1:
			s = figure.Spectrum(figure.SpectrumChart{Frame: f, Y: axis(), Series: []figure.Series{{Name: "one", X: v(), Y: v()}}})
		case 2:
			c := figure.TradeOffChart{Frame: f, X: axis(), Y: axis(), BetterX: metric.Down, BetterY: metric.Up}
			for i, x := range v() {
				c.Points = append(c.Points, figure.TradeOffPoint{X: x, Y: float64(i)})
			}
			s = figure.TradeOff(c)
		case 3:
			c := figure.IntervalChart{Frame: f, X: axis(), ValueName: "now", WasName: "before"}
			for i, x := range v() {
				c.Rows = append(c.Rows, figure.IntervalRow{Name: fmt.Sprint("row ", i), Value: x, Low: v()[0], High: v()[0], Was: v()[0], HasWas: i%2 == 0})
			}
			s = figure.Intervals(c)
		case 4:
			var c figure.HueChart
			c.Frame, c.Y, c.Name, c.OtherName = f, axis(), "one", "two"
			copy(c.Values[:], values(16).Draw(rt, "hues"))
			copy(c.Other[:], values(16).Draw(rt, "hues"))
			s = figure.HueDots(c)
		case 5:
			c := figure.MapChart{Frame: f, Z: axis(), FaceWidth: 300, FaceHeight: 200, Lines: true}
			for range n {
				c.Values = append(c.Values, v())
			}
			s = figure.Map(c)
		case 6:
			s = figure.Profile(figure.ProfileChart{Frame: f, Y: axis(), Series: []figure.Series{{X: v(), Y: v()}}, LEDs: v(), Mean: true})
		case 7:
			s = figure.WarmUp(figure.WarmUpChart{Frame: f, Y: axis(), Series: []figure.Series{{X: v(), Y: v()}}})
		case 8:
			s = figure.Waveform(figure.WaveformChart{Frame: f, Y: axis(), Time: v(), Light: v(), Period: 10})
		}
		sound(rt, s)
	})
}

func TestEmptyChartsSaySo(t *testing.T) {
	for _, s := range []draw.Scene{
		figure.Curves(figure.CurveChart{}), figure.Spectrum(figure.SpectrumChart{}), figure.TradeOff(figure.TradeOffChart{}),
		figure.Intervals(figure.IntervalChart{}), figure.Receptors(figure.ReceptorChart{}), figure.Map(figure.MapChart{}),
		figure.Profile(figure.ProfileChart{}), figure.WarmUp(figure.WarmUpChart{}), figure.Waveform(figure.WaveformChart{}),
	} {
		if !strings.Contains(fmt.Sprint(s.Labels()), "nothing to show yet") {
			t.Errorf("an empty chart says %v", s.Labels())
		}
	}
	for _, s := range []draw.Scene{figure.TrayPlan(figure.Plan{}), figure.TraySection(figure.Section{}), figure.SideView(figure.Sight{})} {
		sound(t, s)
		if !strings.Contains(fmt.Sprint(s.Labels()), "to draw") {
			t.Errorf("an empty drawing says %v", s.Labels())
		}
	}
}

func TestLeftOutValuesAreCounted(t *testing.T) {
	s := figure.Curves(figure.CurveChart{Y: figure.Axis{Log: true}, Series: []figure.Series{{X: []float64{1, 2, 3, 4}, Y: []float64{1, 0, -5, 10}}}})
	if !strings.Contains(fmt.Sprint(s.Labels()), "2 values that a logarithmic scale cannot show left out") {
		t.Errorf("labels %v", s.Labels())
	}
}

// The front by definition: nobody else is at least as good in both and better
// in one.
func TestFront(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var ps []figure.TradeOffPoint
		for range rapid.IntRange(0, 30).Draw(rt, "n") {
			ps = append(ps, figure.TradeOffPoint{X: float64(rapid.IntRange(0, 9).Draw(rt, "x")), Y: float64(rapid.IntRange(0, 9).Draw(rt, "y"))})
		}
		bx, by := rapid.SampledFrom([]metric.Better{metric.Up, metric.Down}).Draw(rt, "bx"), rapid.SampledFrom([]metric.Better{metric.Up, metric.Down}).Draw(rt, "by")
		gain := func(a, b float64, m metric.Better) float64 {
			if m == metric.Down {
				return b - a
			}
			return a - b
		}
		got := map[int]bool{}
		for _, i := range figure.Front(ps, bx, by) {
			got[i] = true
		}
		for i, p := range ps {
			beaten := false
			for _, q := range ps {
				dx, dy := gain(q.X, p.X, bx), gain(q.Y, p.Y, by)
				beaten = beaten || dx >= 0 && dy >= 0 && dx+dy > 0
			}
			if got[i] == beaten {
				rt.Fatalf("point %d %v: on the front %v, beaten %v", i, p, got[i], beaten)
			}
		}
	})
	if figure.Front([]figure.TradeOffPoint{{X: 1, Y: 1}}, metric.Neither, metric.Up) != nil {
		t.Error("a measure that does not rank made a front")
	}
}

// Worked by hand: 0.30 m above and 0.50 m ahead is 31.0° up and 0.583 m away
// (atan 0.6; √0.34).
func TestSlant(t *testing.T) {
	r, e := figure.Sight{Ahead: 500, Above: 300}.Slant()
	if math.Abs(r-583.095) > 0.001 || math.Abs(e-30.964) > 0.001 {
		t.Errorf("%v mm, %v°", r, e)
	}
}

// An upright face from 0 to h above the eye, d ahead: the brow at 50° hides
// what lies above d·tan 50°.
func TestHidden(t *testing.T) {
	for _, h := range []float64{300, 500, 800} {
		const d = 350.0
		want := max(0, h-d*math.Tan(50*math.Pi/180)) / h
		got, monitor := figure.Sight{Ahead: d, Above: h / 2, FaceHeight: h}.Hidden()
		if monitor != 0 {
			t.Errorf("no monitor hides %v", monitor)
		}
		// A monitor half-way whose edge stands h/10 above the eye hides the lowest
		// fifth.
		if _, m := (figure.Sight{Ahead: d, Above: h / 2, FaceHeight: h, MonitorAhead: d / 2, MonitorTop: h / 10, MonitorHeight: 300}).Hidden(); math.Abs(m-0.2) > 1.0/400 {
			t.Errorf("face of %v mm: the monitor hides %v, want a fifth", h, m)
		}
		// The face is counted in 400 pieces.
		if math.Abs(got-want) > 1.0/400 {
			t.Errorf("face of %v mm: %v hidden, want %v", h, got, want)
		}
	}
}

// A template is true: at scale 1 a row of 150 mm is 150 mm of paper and the
// DXF says so too.
func TestTemplateIsTrue(t *testing.T) {
	s := template()
	var b bytes.Buffer
	if err := draw.SVG(&b, s, draw.SVGOptions{}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), `width="150" height="10"`) {
		t.Error("no strip of 150 × 10 mm in the template")
	}
	if !strings.Contains(b.String(), `width="180" height="90"`) {
		t.Error("no floor of 180 × 90 mm in the template")
	}
	b.Reset()
	if err := draw.DXF(&b, s); err != nil {
		t.Fatal(err)
	}
	for _, layer := range []string{"TRAY", "STRIP", "HOLES"} {
		if !strings.Contains(b.String(), "\n"+layer+"\n") {
			t.Errorf("no layer %s", layer)
		}
	}
}

// What the plan's dimensions say adds up to the tray.
func TestPlanDimensionsAddUp(t *testing.T) {
	text := fmt.Sprint(smallPlan().Labels())
	for _, want := range []string{"{12 ", "{200 ", "{88 ", "{300 ", "{40 ", "{50 ", "{75 ", "{35 "} {
		if !strings.Contains(text, want) {
			t.Errorf("no dimension %s in %s", want, text)
		}
	}
}

func TestLengthsMustAgree(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("slices of different length were taken")
		}
	}()
	figure.Curves(figure.CurveChart{Series: []figure.Series{{Name: "bad", X: []float64{1, 2}, Y: []float64{1}}}})
}

func BenchmarkSpectrum(b *testing.B) {
	for b.Loop() {
		var buf bytes.Buffer
		if err := draw.SVG(&buf, spectrum(), draw.SVGOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPlan(b *testing.B) {
	for b.Loop() {
		var buf bytes.Buffer
		if err := draw.SVG(&buf, trayPlan(), draw.SVGOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
