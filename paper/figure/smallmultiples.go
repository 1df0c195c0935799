package figure

import (
	"fmt"
	"math"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// SpectrumCell is one lamp's spectrum in a grid.
type SpectrumCell struct {
	Name string
	// Says are lines under the name: "3950 K, Ra 92, Rf 90".
	Says []string
	NM   []float64 // nm, rising
	Y    []float64 // any scale; each cell is drawn to its own peak
	// Missing says why there is no spectrum.
	Missing string
}

// SpectrumGrid is a picture of small multiples of spectra.
type SpectrumGrid struct {
	Frame    // Height follows from the number of cells
	From, To float64
	Cells    []SpectrumCell
	Columns  int // 0: as many as fit, at most 3
}

// BinCell is one lamp's colour rendition in a grid.
type BinCell struct {
	Name    string
	Says    []string
	Values  []float64 // one for each bin; NaN where the bin is empty
	Missing string
}

// BinGrid is a picture of small multiples of colour rendition.
type BinGrid struct {
	Frame
	// Bins names the bins; sixteen without names are hue bins.
	Bins []string
	// Hues sets a rule of hue colours under the bins.
	Hues bool
	Y    Axis // From and To zero: 0 to 100, or lower if a value is
	// Cells are the lamps; every one needs as many Values as there are Bins.
	Cells   []BinCell
	Columns int
}

// HueBins are the numbers of the sixteen hue bins of ANSI/IES TM-30.
func HueBins() []string { return numbered("", 16) }

// SpecialIndices are the names R1 to R15 (CIE 13.3, and JIS Z 8726 for R15).
func SpecialIndices() []string { return numbered("R", 15) }

func numbered(before string, n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprint(before, i+1)
	}
	return out
}

// cells lays small multiples out: title, cells row by row, note.
type cells struct {
	s       draw.Scene
	columns int
	wide    float64
	names   [][]string
	says    [][]string
	tops    []float64 // of the plot within its cell
	at      []draw.Point
}

const cellGap = 6.0

// layCells sizes the scene: plots of plotHigh mm with room under them.
func layCells(f Frame, columns int, names []string, says [][]string, plotHigh, under float64, extra string) cells {
	w, _ := f.size(0)
	in := w - 2*draw.Margin
	if columns <= 0 {
		columns = max(1, min(3, int((in+cellGap)/(44+cellGap))))
	}
	columns = max(1, min(columns, max(len(names), 1)))
	c := cells{columns: columns, wide: (in+cellGap)/float64(columns) - cellGap}
	probe := &plot{s: newScene(w, 40, f.Title, ""), frame: f}
	y := probe.head(nil)
	var note []string
	if f.Note != "" || extra != "" {
		n := f.Note
		if n != "" && extra != "" {
			n += " "
		}
		note = draw.Wrap(n+extra, in, draw.SizeSmall, false)
	}
	for i := 0; i < len(names); i += columns {
		most := 0.0
		for j := i; j < min(i+columns, len(names)); j++ {
			n := draw.Wrap(names[j], c.wide, draw.SizeLabel, true)
			var l []string
			for _, s := range says[j] {
				l = append(l, draw.Wrap(s, c.wide, draw.SizeSmall, false)...)
			}
			c.names, c.says = append(c.names, n), append(c.says, l)
			most = max(most, float64(len(n))*draw.SizeLabel*1.35+float64(len(l))*draw.SizeSmall*1.35)
		}
		for j := i; j < min(i+columns, len(names)); j++ {
			c.at = append(c.at, draw.Point{X: draw.Margin + float64(j-i)*(c.wide+cellGap), Y: y})
			c.tops = append(c.tops, y+most+2)
		}
		y += most + 2 + plotHigh + under + 5
	}
	if len(names) == 0 {
		y += 20
	}
	high := y + float64(len(note))*draw.SizeSmall*draw.Leading + draw.Margin
	c.s = newScene(w, max(high, 40), f.Title, f.Desc)
	(&plot{s: c.s, frame: f}).headOn(&c.s)
	for i, l := range note {
		c.s.Text(draw.Margin, c.s.Height-draw.Margin-float64(len(note)-1-i)*draw.SizeSmall*draw.Leading, l,
			draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	if len(names) == 0 {
		c.s.Text(w/2, c.s.Height/2, "nothing to show yet",
			draw.TextStyle{Size: draw.SizeBody, Align: draw.Centre, Rise: draw.Middle, Paint: draw.Soft})
	}
	for i := range names {
		ty := c.at[i].Y
		for _, l := range c.names[i] {
			c.s.Text(c.at[i].X, ty+draw.SizeLabel*0.9, l, draw.TextStyle{Bold: true})
			ty += draw.SizeLabel * 1.35
		}
		for _, l := range c.says[i] {
			c.s.Text(c.at[i].X, ty+draw.SizeSmall*0.9, l, draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
			ty += draw.SizeSmall * 1.35
		}
	}
	return c
}

// headOn sets the title into a scene.
func (p *plot) headOn(s *draw.Scene) {
	p.s = *s
	p.head(nil)
	*s = p.s
}

// none says in a cell's place why it is empty.
func (c *cells) none(i int, why string, high float64) {
	ls := draw.Wrap("missing: "+why, c.wide, draw.SizeSmall, false)
	lines(&c.s.Group, c.at[i].X, c.tops[i]+high/2, ls, draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
}

// Spectra draws small multiples of spectra, one cell for each lamp, each to
// its own peak, over one scale of wavelengths with the thin rule of colours. A
// lamp without a spectrum keeps its cell and says why.
func Spectra(c SpectrumGrid) draw.Scene {
	if !(c.To > c.From) {
		c.From, c.To = 380, 780
	}
	const high, rule = 22.0, 1.2
	var names []string
	var says [][]string
	for _, k := range c.Cells {
		names, says = append(names, k.Name), append(says, k.Says)
	}
	if c.Desc == "" {
		c.Desc = fmt.Sprintf("Spectra of %d lamps, %.0f to %.0f nm, each drawn to its own peak.", len(c.Cells), c.From, c.To)
	}
	l := layCells(c.Frame, c.Columns, names, says, high, rule+0.6+draw.SizeLabel*1.7, "Each to its own peak; wavelength in nm.")
	for i, k := range c.Cells {
		if len(k.NM) != len(k.Y) {
			panic(fmt.Sprintf("spectrum of %s: %d wavelengths and %d values", k.Name, len(k.NM), len(k.Y)))
		}
		peak := 0.0
		for j, v := range k.Y {
			if math.IsNaN(v) || math.IsInf(v, 0) || math.IsNaN(k.NM[j]) {
				k.Missing, peak = "the spectrum holds values that are no numbers", 0
				break
			}
			if k.NM[j] >= c.From && k.NM[j] <= c.To {
				peak = max(peak, v)
			}
		}
		if k.Missing == "" && peak < tiniest {
			k.Missing = "no spectrum"
		}
		if k.Missing != "" {
			l.none(i, k.Missing, high)
			continue
		}
		x0, top := l.at[i].X, l.tops[i]
		base := top + high
		px := func(nm float64) float64 { return x0 + (nm-c.From)/(c.To-c.From)*l.wide }
		l.s.Line(x0, base, x0+l.wide, base, draw.Stroke(draw.Soft, draw.WidthThin))
		var run []draw.Point
		for j, nm := range k.NM {
			if nm < c.From || nm > c.To {
				continue
			}
			run = append(run, draw.Point{X: px(nm), Y: base - min(max(k.Y[j]/peak, 0), 1)*high})
		}
		g := l.s.Child("")
		g.Title = "spectrum of " + k.Name
		g.Polyline(run, draw.Stroke(draw.Accent, draw.WidthLine))
		wavelengthRule(&l.s.Group, draw.Rect{X: x0, Y: base + 0.6, W: l.wide, H: rule}, c.From, c.To)
		wavelengthTicks(&l.s, c.From, c.To, px, base+0.6+rule+1.2, l.wide)
	}
	return l.s
}

// wavelengthTicks numbers the wavelengths that the width has room for.
func wavelengthTicks(s *draw.Scene, from, to float64, px func(float64) float64, y, wide float64) {
	step := niceStep((to-from)/max(wide/16, 1), false)
	for nm := math.Ceil(from/step) * step; nm <= to; nm += step {
		t := quantity.Decimals(nm, 0)
		half := draw.TextWidth(t, draw.SizeSmall, false) / 2
		x := px(nm)
		if x-half < px(from)-2 || x+half > px(to)+2 {
			continue
		}
		s.Text(x, y, t, draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Rise: draw.Top, Paint: draw.Soft})
	}
}

// Bins draws small multiples of colour rendition: a disc for each bin on one
// scale for all lamps. A lamp without values keeps its cell and says why.
func Bins(c BinGrid) draw.Scene {
	const high = 22.0
	n := len(c.Bins)
	lo, hi := c.Y.From, c.Y.To
	if !(hi > lo) {
		lo, hi = 0, 100
		for _, k := range c.Cells {
			for _, v := range k.Values {
				if !math.IsNaN(v) && !math.IsInf(v, 0) {
					lo, hi = min(lo, 20*math.Floor(max(v, -200)/20)), max(hi, 20*math.Ceil(min(v, 300)/20))
				}
			}
		}
	}
	var names []string
	var says [][]string
	for _, k := range c.Cells {
		names, says = append(names, k.Name), append(says, k.Says)
	}
	under := draw.SizeSmall * 1.7
	if c.Hues {
		under += 1.8
	}
	if c.Desc == "" {
		c.Desc = fmt.Sprintf("%s of %d lamps in %d bins, one disc each.", c.Y.Name, len(c.Cells), n)
	}
	l := layCells(c.Frame, c.Columns, names, says, high, under, fmt.Sprintf("Discs: %s; lines at 0, 50 and 100.", c.Y.Name))
	for i, k := range c.Cells {
		if k.Missing == "" && len(k.Values) != n {
			panic(fmt.Sprintf("rendition of %s: %d values for %d bins", k.Name, len(k.Values), n))
		}
		if k.Missing != "" {
			l.none(i, k.Missing, high)
			continue
		}
		const room = 7.5 // for the numbers of the scale
		x0, top, wide := l.at[i].X+room, l.tops[i], l.wide-room
		base := top + high
		py := func(v float64) float64 { return base - (min(max(v, lo), hi)-lo)/(hi-lo)*high }
		for _, v := range []float64{0, 50, 100} {
			if v < lo || v > hi {
				continue
			}
			st := draw.Stroke(draw.Faint, draw.WidthHair)
			if v == 0 {
				st = draw.Stroke(draw.Soft, draw.WidthThin)
			}
			l.s.Line(x0, py(v), x0+wide, py(v), st)
			l.s.Text(x0-1.2, py(v), quantity.Decimals(v, 0), draw.TextStyle{Size: draw.SizeSmall, Align: draw.Right, Rise: draw.Middle, Paint: draw.Soft})
		}
		pitch := wide / float64(max(n, 1))
		for j, v := range k.Values {
			x := x0 + pitch*float64(j)
			if math.IsNaN(v) || math.IsInf(v, 0) {
				l.s.Text(x+pitch/2, py(0)-0.6, "–", draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Paint: draw.Soft})
				continue
			}
			g := l.s.Child("")
			g.Title = fmt.Sprintf("%s, %s: %s", k.Name, c.Bins[j], quantity.Digits(v, 3))
			g.Circle(x+pitch/2, py(v), min(1.1, pitch*0.42), draw.Fill(draw.Accent))
			if c.Hues && n == 16 {
				r, gr, b := labColour(66, 48, 22.5*float64(j)+11.25+14)
				l.s.Rect(x+0.15, base+0.6, pitch-0.3, 1.2, draw.Fill(draw.RGB(r, gr, b)))
			}
		}
		// Names of bins, as many as there is room for.
		every := 1
		for e := 1; e < n; e++ {
			every = e
			if pitch*float64(e) > widest(c.Bins)+0.8 {
				break
			}
		}
		for j := 0; j < n; j += every {
			l.s.Text(x0+pitch*(float64(j)+0.5), base+under-draw.SizeSmall*1.7+1.2, c.Bins[j],
				draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Rise: draw.Top, Paint: draw.Soft})
		}
	}
	return l.s
}

func widest(ss []string) float64 {
	w := 0.0
	for _, s := range ss {
		w = max(w, draw.TextWidth(s, draw.SizeSmall, false))
	}
	return w
}
