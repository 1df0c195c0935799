package figure

import (
	"fmt"
	"math"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// HueChart shows a measure of colour rendition in each of sixteen hue bins of
// 22.5° (ANSI/IES TM-30: bin 1 begins at the red end and the bins run through
// yellow, green and blue to purple).
type HueChart struct {
	Frame
	Y Axis // for example "local fidelity"
	// Name says whose values these are; Values holds the sixteen, NaN for none.
	Name   string
	Values [16]float64
	// Other, if named, is a second set to compare with, drawn as rings.
	OtherName string
	Other     [16]float64
	// Mean, if not NaN and not zero, is drawn as a line with its name.
	Mean     float64
	MeanName string
}

// HueDots draws rendition by hue as dots on a common scale. The colours stand
// in a thin rule under the axis; the bins are numbered and the hues named, so
// that nothing hangs on telling colours apart.
func HueDots(c HueChart) draw.Scene {
	var xs, ys extent
	left, seen := 0, 0
	sets := [][16]float64{c.Values}
	if c.OtherName != "" {
		sets = append(sets, c.Other)
	}
	for _, set := range sets {
		for _, v := range set {
			if c.Y.drawable(v) {
				ys.add(v)
				seen++
			} else if !math.IsNaN(v) {
				left++
			}
		}
	}
	xs.add(0.5)
	xs.add(16.5)
	xs.any = seen > 0
	mean := c.Mean != 0 && c.Y.drawable(c.Mean)
	if mean {
		ys.add(c.Mean)
	}
	var keys []keyEntry
	if c.OtherName != "" {
		keys = dotKeys(c.Name, c.OtherName)
	}
	const rule = 1.8
	xAxis := Axis{Name: "hue bin", From: 0.5, To: 16.5}
	p := newPlot(plan{frame: c.Frame, high: 84, xAxis: xAxis, yAxis: c.Y, xs: xs, ys: ys, left: left, keys: keys,
		under: rule + 0.6, numberless: true})
	foot := p.box.Y + p.box.H
	step := p.box.W / 16
	for i := range 16 {
		x := p.box.X + step*(float64(i)+0.5)
		r, g, b := labColour(66, 48, 22.5*float64(i)+11.25+14)
		p.s.Rect(x-step/2+0.25, foot+0.6, step-0.5, rule, draw.Fill(draw.RGB(r, g, b)))
	}
	wordEnd := 0.0
	for i := range 16 {
		x := p.box.X + step*(float64(i)+0.5)
		p.s.Line(x, p.box.Y, x, foot, draw.Stroke(draw.Faint, draw.WidthHair).Dashed(draw.Dotted))
		soft := draw.TextStyle{Align: draw.Centre, Rise: draw.Top, Paint: draw.Soft}
		p.s.Text(x, foot+rule+1.8, fmt.Sprint(i+1), soft)
		if word := [16]string{0: "red", 2: "orange", 4: "yellow", 6: "green", 9: "cyan", 11: "blue", 13: "violet", 15: "pink"}[i]; word != "" {
			soft.Size = draw.SizeSmall
			half := draw.TextWidth(word, draw.SizeSmall, false) / 2
			if x-half < wordEnd+1 || x+half > p.s.Width-1 {
				continue
			}
			wordEnd = x + half
			p.s.Text(x, foot+rule+1.8+draw.SizeLabel*1.4, word, soft)
		}
	}
	if mean {
		y := p.at(1, c.Mean).Y
		p.s.Line(p.box.X, y, p.box.X+p.box.W, y, draw.Stroke(draw.Soft, draw.WidthThin).Dashed(draw.Dashed))
	}
	for i := range 16 {
		bin := float64(i + 1)
		var a, b draw.Point
		okA, okB := p.y.inside(c.Values[i]), c.OtherName != "" && p.y.inside(c.Other[i])
		if okA {
			p.marks = append(p.marks, p.at(bin, c.Values[i]))
			a = p.at(bin, c.Values[i])
		}
		if okB {
			b = p.at(bin, c.Other[i])
		}
		if okA && okB {
			p.s.Line(a.X, a.Y, b.X, b.Y, draw.Stroke(draw.Soft, draw.WidthThin))
		}
		if okB {
			p.s.Circle(b.X, b.Y, ringSize, ringStyle())
		}
		if okA {
			g := p.s.Child("")
			g.Title = fmt.Sprintf("hue bin %d, %s: %s", i+1, hueName(i), quantity.Digits(c.Values[i], 3))
			g.Circle(a.X, a.Y, discSize, draw.Fill(draw.Accent))
		}
	}
	if mean && c.MeanName != "" {
		p.s.Text(p.box.X+p.box.W, p.box.Y-1.6, "dashed: "+c.MeanName+" "+quantity.Digits(c.Mean, 2),
			draw.TextStyle{Size: draw.SizeSmall, Align: draw.Right, Paint: draw.Soft})
	}
	return p.s
}

// hueName is a plain word for a bin of 22.5°, counted from 0.
func hueName(i int) string {
	return [16]string{"red", "red", "orange", "orange", "yellow", "yellow-green", "green", "green", "blue-green", "cyan",
		"cyan", "blue", "blue", "violet", "purple", "pink"}[i]
}
