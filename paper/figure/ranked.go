package figure

import (
	"fmt"
	"math"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// RankedRow is one lamp of a ranking.
type RankedRow struct {
	Name string
	// Place stands before the name: "1", or "2–4" where several cannot be told
	// apart.
	Place string
	// Value and its interval Low to High (k = 2). Low and High both zero means
	// that no uncertainty is known.
	Value, Low, High float64
	// Text stands at the right; empty writes the value with three digits.
	Text string
	// Group numbers rows that cannot be told from their leader; equal numbers
	// are joined by a bracket. 0 belongs to none.
	Group int
	// Chosen draws the row in the accent.
	Chosen bool
	// Limit says that Value is a limit only: "at least", "at most".
	Limit string
	// Missing says why there is no value; the row is kept, without a mark.
	Missing string
}

// RankedChart shows lamps in order, each with its interval.
type RankedChart struct {
	Frame
	X    Axis
	Rows []RankedRow
}

// Ranked draws one row for each lamp, best first as given: a disc on a line
// from low to high, a bracket at the left joining those that cannot be told
// apart. A lamp without a value keeps its row and says why. Names are never
// cut: long ones take more lines. A value that is no number counts as missing.
func Ranked(c RankedChart) draw.Scene {
	const lineHigh = draw.SizeLabel * 1.3
	w, _ := c.size(0)
	texts := make([]string, len(c.Rows))
	missing := make([]string, len(c.Rows))
	var xs extent
	nameWide, textWide, placeWide := 0.0, 0.0, 0.0
	groups := map[int]int{}
	for _, r := range c.Rows {
		groups[r.Group]++
	}
	bracket := 0.0
	left := 0
	for i, r := range c.Rows {
		missing[i] = r.Missing
		texts[i] = r.Text
		if r.Missing == "" {
			switch {
			case math.IsNaN(r.Value) || math.IsInf(r.Value, 0):
				missing[i] = "not a number"
			case !c.X.drawable(r.Value):
				missing[i] = "below the range of a logarithmic scale"
				left++
				if r.Text == "" {
					texts[i] = quantity.Digits(r.Value, 3)
				}
			default:
				xs.add(r.Value)
				for _, e := range []float64{r.Low, r.High} {
					if (r.Low != 0 || r.High != 0) && c.X.drawable(e) {
						xs.add(e)
					}
				}
				if r.Text == "" {
					texts[i] = quantity.Digits(r.Value, 3)
				}
			}
		}
		if r.Limit != "" && missing[i] == "" {
			texts[i] = r.Limit + " " + texts[i]
		}
		nameWide = max(nameWide, draw.TextWidth(r.Name, draw.SizeLabel, r.Chosen))
		textWide = max(textWide, draw.TextWidth(texts[i], draw.SizeLabel, false))
		placeWide = max(placeWide, draw.TextWidth(r.Place, draw.SizeLabel, false))
		if r.Group != 0 && groups[r.Group] > 1 {
			bracket = 3.4
		}
	}
	if placeWide > 0 {
		placeWide += 2.5
	}
	nameWide = min(nameWide, w*0.34)
	textWide = min(textWide, w*0.24)
	left0 := draw.Margin + placeWide
	x0 := left0 + nameWide + 2.5 + bracket + 1.5
	right := textWide + 3.5
	names := make([][]string, len(c.Rows))
	says := make([][]string, len(c.Rows)) // beside the row
	values := make([][]string, len(c.Rows))
	highs := make([]float64, len(c.Rows))
	sum := 0.0
	for i, r := range c.Rows {
		names[i] = unbroken(r.Name, nameWide, draw.SizeLabel, r.Chosen)
		values[i] = unbroken(texts[i], textWide, draw.SizeLabel, false)
		if missing[i] != "" {
			says[i] = unbroken("missing: "+missing[i], w-draw.Margin-right-x0, draw.SizeSmall, false)
			if texts[i] == "" {
				says[i] = unbroken("missing: "+missing[i], w-draw.Margin-x0, draw.SizeSmall, false)
			}
		}
		n := max(len(names[i]), len(values[i]), len(says[i]), 1)
		highs[i] = 7.6 + lineHigh*float64(n-1)
		sum += highs[i]
	}
	ic := IntervalChart{Frame: c.Frame, X: c.X}
	if ic.Height == 0 {
		probe := &plot{s: newScene(w, 40, c.Title, ""), frame: c.Frame, left: left, logged: c.X.Log}
		head := probe.head(nil)
		notes := float64(len(probe.notes())) * draw.SizeSmall * draw.Leading
		ic.Height = head + max(sum, 15.2) + draw.SizeLabel*2.8 + 1.6 + notes + draw.Margin + 3
	}
	ic.Rows = make([]IntervalRow, len(c.Rows))
	p := newRows(ic, xs, left, nil, x0, right, 0, xs.any || len(c.Rows) > 0)
	if p.frame.Desc == "" {
		p.s.Desc = c.X.Name + fmt.Sprintf(", %d lamps in order, each with its interval.", len(c.Rows))
	}
	stretch := 1.0
	if sum > 0 {
		stretch = p.box.H / sum
	}
	mid := make([]float64, len(c.Rows))
	y := p.box.Y
	for i, r := range c.Rows {
		h := highs[i] * stretch
		mid[i] = y + h/2
		if i > 0 {
			p.s.Line(draw.Margin, y, p.s.Width-draw.Margin, y, draw.Stroke(draw.Faint, draw.WidthHair))
		}
		g := p.s.Child("")
		g.Title = r.Name + ": " + texts[i]
		if missing[i] != "" {
			g.Title = r.Name + ": missing, " + missing[i]
		}
		lines(g, draw.Margin, mid[i], []string{r.Place}, draw.TextStyle{Paint: draw.Soft})
		lines(g, left0, mid[i], names[i], draw.TextStyle{Bold: r.Chosen})
		lines(g, p.s.Width-draw.Margin, mid[i], values[i], draw.TextStyle{Align: draw.Right})
		switch {
		case missing[i] != "":
			lines(g, x0, mid[i], says[i], draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft, Ground: draw.Paper})
		case r.Limit != "":
			p.limit(g, r, mid[i])
		default:
			p.row(g, IntervalRow{Value: r.Value, Low: r.Low, High: r.High, Chosen: r.Chosen}, mid[i])
		}
		y += h
	}
	// Brackets: from the first to the last of a group, a tick at each member.
	done := map[int]bool{0: true}
	for i, r := range c.Rows {
		if done[r.Group] || groups[r.Group] < 2 {
			continue
		}
		done[r.Group] = true
		var at []float64
		for j := i; j < len(c.Rows); j++ {
			if c.Rows[j].Group == r.Group {
				at = append(at, mid[j])
			}
		}
		bracketAt(&p.s.Group, x0-3.2, at)
	}
	return p.s
}

func bracketAt(g *draw.Group, x float64, at []float64) {
	st := draw.Stroke(draw.Ink, draw.WidthLine)
	g.Line(x, at[0], x, at[len(at)-1], st)
	for _, y := range at {
		g.Line(x-1.3, y, x, y, st)
	}
}

// limit draws a value that is a limit only: a ring with an arrow the way the
// truth may lie.
func (p *plot) limit(g *draw.Group, r RankedRow, y float64) {
	x := p.box.X + min(max(p.x.frac(r.Value), 0), 1)*p.box.W
	u := 1.0
	if r.Limit == "at most" {
		u = -1
	}
	g.Line(x, y, x+u*4, y, draw.Stroke(draw.Ink, draw.WidthThin).Dashed(draw.Dashed))
	g.Polygon([]draw.Point{{X: x + u*5.2, Y: y}, {X: x + u*3.6, Y: y - 0.9}, {X: x + u*3.6, Y: y + 0.9}}, draw.Fill(draw.Ink))
	g.Circle(x, y, ringSize, ringStyle())
}

// unbroken wraps text at spaces; a word wider than the column is parted, never
// shortened.
func unbroken(s string, width, size float64, bold bool) []string {
	if s == "" {
		return nil
	}
	return draw.Wrap(s, max(width, 8)+0.01, size, bold)
}

// lines sets lines of text centred about y.
func lines(g *draw.Group, x, y float64, ls []string, t draw.TextStyle) {
	size := t.Size
	if size == 0 {
		size = draw.SizeLabel
	}
	t.Rise = draw.Middle
	for i, l := range ls {
		g.Text(x, y+size*1.3*(float64(i)-float64(len(ls)-1)/2), l, t)
	}
}
