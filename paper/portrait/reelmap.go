package portrait

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
)

// CutList draws the reel map: every reel and leftover that is opened, with the
// rows cut from it, its factory joints, and what is left to keep or to throw
// away. It is 170 mm wide; cut is the length of a cut unit in m.
func CutList(l wiring.Plan, cut float64) draw.Scene {
	const lineHigh, foot = 22.0, 9.0
	s := draw.NewScene(170, 7+lineHigh*float64(len(l.Reels))+foot, "Reel map", fmt.Sprintf("%d reels or leftovers with the rows cut from them.", len(l.Reels)))
	s.Text(0, 4, "Reel map", draw.TextStyle{Size: draw.SizeBody, Bold: true})
	joints, supposed, thrown := false, false, false
	for n, r := range l.Reels {
		bar := reelBar{s.Child(""), 10 + lineHigh*float64(n), r, cut}
		bar.draw()
		joints = joints || len(r.Joints) > 0
		supposed = supposed || len(r.Joints) > 0 && !r.Known
		for _, k := range r.Rests {
			thrown = thrown || !k.Kept
		}
	}
	note := "Numbers: mm from the reel's start, cut there."
	if joints {
		note += " Triangles: factory joints"
		if supposed {
			note += ", where they are supposed; unroll and mark yours before the first cut"
		}
		note += "."
	}
	if thrown {
		note += " Crossed: too short to keep."
	}
	for i, line := range draw.Wrap(note, 170, draw.SizeSmall, false) {
		s.Text(0, s.Height-foot+4.2+3.6*float64(i), line, draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	return s
}

// reelBar is one line of the reel map.
type reelBar struct {
	g   *draw.Group
	y   float64
	r   wiring.Reel
	cut float64
}

const (
	reelLeft, reelWidth, reelHigh = 2.0, 164.0, 8.0
)

// used is where the last piece or short rest ends.
func (b reelBar) used() int {
	end := 0
	for _, p := range b.r.Pieces {
		end = max(end, p.To)
	}
	return end
}

func (b reelBar) draw() {
	g, y, r := b.g, b.y, b.r
	end := b.used()
	// What is used takes most of the bar; a long rest is drawn broken off.
	shown := math.Min(float64(r.Units), math.Max(float64(end)/0.76, 1))
	broken := shown < float64(r.Units)
	k := reelWidth / shown
	x := func(unit int) float64 { return reelLeft + k*math.Min(float64(unit), shown) }
	g.Title = r.Name
	words := []string{r.Name}
	if r.New {
		words = append(words, "to be bought")
	} else {
		words = append(words, "in stock")
	}
	if r.Batch != "" {
		words = append(words, "batch "+r.Batch)
	}
	words = append(words, fmt.Sprintf("%d units, %.2f m", r.Units, float64(r.Units)*b.cut))
	g.Text(reelLeft, y-1.2, strings.Join(words, " · "), draw.TextStyle{Size: draw.SizeSmall, Bold: true})
	y += 3
	thin := draw.Stroke(draw.Ink, draw.WidthThin)
	right := reelLeft + reelWidth
	g.Polyline([]draw.Point{{X: right, Y: y}, {X: reelLeft, Y: y}, {X: reelLeft, Y: y + reelHigh}, {X: right, Y: y + reelHigh}}, thin)
	tear := []draw.Point{{X: right, Y: y}, {X: right, Y: y + reelHigh}}
	if broken {
		tear = []draw.Point{{X: right, Y: y}, {X: right + 1.2, Y: y + 2.6}, {X: right - 1.2, Y: y + 5.4}, {X: right, Y: y + reelHigh}}
	}
	g.Polyline(tear, thin)
	for _, rest := range r.Rests {
		b.rest(rest, x, y, math.Min(x(rest.To), right-1.4))
	}
	// Numbers stand at every so many pieces, as they find room, and at the last.
	room := draw.TextWidth(fmt.Sprintf("%.0f", float64(end)*b.cut*toMM), draw.SizeSmall, false) + 1.4
	lastNumber := math.Inf(-1)
	for i, p := range r.Pieces {
		g.Rect(x(p.From), y, x(p.To)-x(p.From), reelHigh, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Strip))
		for _, name := range []string{fmt.Sprintf("row %d", p.Row+1), fmt.Sprint(p.Row + 1)} {
			if draw.TextWidth(name, draw.SizeSmall, true)+0.8 < x(p.To)-x(p.From) {
				g.Text((x(p.From)+x(p.To))/2, y+reelHigh/2, name, draw.TextStyle{Size: draw.SizeSmall, Bold: true, Align: draw.Centre, Rise: draw.Middle})
				break
			}
		}
		for _, at := range []int{p.From, p.To} {
			if at == 0 || at == r.Units && broken {
				continue
			}
			g.Line(x(at), y+reelHigh, x(at), y+reelHigh+1.2, thin)
			final := i == len(r.Pieces)-1 && at == p.To
			if x(at)-lastNumber < room || !final && x(end)-x(at) < room {
				continue
			}
			lastNumber = x(at)
			g.Text(x(at), y+reelHigh+4, fmt.Sprintf("%.0f", float64(at)*b.cut*toMM), draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre})
		}
	}
	for _, j := range r.Joints {
		if float64(j) < shown {
			g.Polygon([]draw.Point{{X: x(j), Y: y - 0.2}, {X: x(j) - 0.9, Y: y - 2}, {X: x(j) + 0.9, Y: y - 2}}, draw.Fill(draw.Ink))
		}
	}
}

func (b reelBar) rest(rest wiring.Rest, x func(int) float64, y, to float64) {
	from := x(rest.From)
	if to-from < 0.6 {
		return
	}
	g := b.g
	box := []draw.Point{{X: from, Y: y}, {X: to, Y: y}, {X: to, Y: y + reelHigh}, {X: from, Y: y + reelHigh}}
	if !rest.Kept {
		g.Polyline([]draw.Point{box[0], box[2]}, draw.Stroke(draw.Soft, draw.WidthHair))
		g.Polyline([]draw.Point{box[1], box[3]}, draw.Stroke(draw.Soft, draw.WidthHair))
		return
	}
	g.Hatch(box, 45, 1.6, draw.Stroke(draw.Faint, draw.WidthThin))
	n := rest.To - rest.From
	for _, words := range []string{fmt.Sprintf("keep %d units, %.2f m", n, float64(n)*b.cut), fmt.Sprintf("keep %d", n)} {
		if draw.TextWidth(words, draw.SizeSmall, false)+3 < to-from {
			g.Text((from+to)/2, y+reelHigh/2, words, draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Rise: draw.Middle, Ground: draw.Paper})
			break
		}
	}
}
