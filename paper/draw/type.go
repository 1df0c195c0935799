package draw

import (
	"strings"
	"sync"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/dejavu/dejavusansbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// capHeight is the height of capitals and figures of the DejaVu Sans family
// as a share of the type size (1493 of 2048 units).
const capHeight = 1493.0 / 2048

// FontFiles returns the two TrueType files every writer uses, regular and
// bold, for the page to serve. DejaVu fonts, free licence.
func FontFiles() (regular, bold []byte) { return dejavusans.TTF, dejavusansbold.TTF }

// tableRunes covers Latin to mathematical operators and box drawing; what lies
// beyond is looked up singly.
const tableRunes = 0x2800

type face struct {
	font    *sfnt.Font
	em      float64
	advance [tableRunes]float32 // share of the type size
}

func loadFace(ttf []byte) *face {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic("draw: the embedded font does not parse: " + err.Error())
	}
	fc := &face{font: f, em: float64(f.UnitsPerEm())}
	var buf sfnt.Buffer
	for r := range rune(tableRunes) {
		fc.advance[r] = float32(fc.measure(&buf, r))
	}
	return fc
}

// The parsed fonts never change once read.
var (
	regularFace = sync.OnceValue(func() *face { return loadFace(dejavusans.TTF) })
	boldFace    = sync.OnceValue(func() *face { return loadFace(dejavusansbold.TTF) })
)

func faceFor(bold bool) *face {
	if bold {
		return boldFace()
	}
	return regularFace()
}

func (f *face) measure(buf *sfnt.Buffer, r rune) float64 {
	gi, err := f.font.GlyphIndex(buf, r)
	if err != nil {
		return 0
	}
	a, err := f.font.GlyphAdvance(buf, gi, fixed.I(int(f.em)), font.HintingNone)
	if err != nil {
		return 0
	}
	return float64(a) / 64 / f.em
}

// TextWidth is the width of one line of text in mm at a type size in mm.
func TextWidth(s string, size float64, bold bool) float64 {
	f := faceFor(bold)
	w := 0.0
	for _, r := range s {
		if r >= 0 && r < tableRunes {
			w += float64(f.advance[r])
		} else {
			var buf sfnt.Buffer
			w += f.measure(&buf, r)
		}
	}
	return w * size
}

// Wrap breaks text into lines no wider than width mm. It breaks at spaces and
// line feeds (not at no-break spaces); a word too long for a line is cut.
func Wrap(s string, width, size float64, bold bool) []string {
	var out []string
	for _, para := range strings.Split(s, "\n") {
		line := ""
		for _, word := range strings.FieldsFunc(para, func(r rune) bool { return r == ' ' || r == '\t' }) {
			if line != "" && TextWidth(line+" "+word, size, bold) <= width {
				line += " " + word
				continue
			}
			if line != "" {
				out = append(out, line)
			}
			for TextWidth(word, size, bold) > width {
				head := cut(word, width, size, bold)
				if head == word {
					break
				}
				out = append(out, head)
				word = word[len(head):]
			}
			line = word
		}
		out = append(out, line)
	}
	return out
}

// cut gives the longest start of word that fits, at least one character.
func cut(word string, width, size float64, bold bool) string {
	for i := range word {
		if i > 0 && TextWidth(word[:i], size, bold) > width {
			// The piece ending one character earlier fitted, unless it is the first.
			j := strings.LastIndexFunc(word[:i], func(rune) bool { return true })
			if j == 0 {
				j = i
			}
			return word[:j]
		}
	}
	j := strings.LastIndexFunc(word, func(rune) bool { return true })
	if j <= 0 {
		return word
	}
	return word[:j]
}

// Shorten cuts text to width mm, ending in an ellipsis when it was cut.
func Shorten(s string, width, size float64, bold bool) string {
	if TextWidth(s, size, bold) <= width {
		return s
	}
	rs := []rune(s)
	for n := len(rs) - 1; n > 0; n-- {
		t := strings.TrimRight(string(rs[:n]), " ") + "…"
		if TextWidth(t, size, bold) <= width {
			return t
		}
	}
	return "…"
}

// glyphs sends the outlines of a line of text, as filled cubic or straight
// paths in mm, to the three functions; the baseline starts at o and is turned
// by deg about c.
func glyphs(s string, size float64, bold bool, o, c Point, deg float64,
	move, line func(Point), cubic func(a, b, d Point)) {
	f := faceFor(bold)
	var buf sfnt.Buffer
	k := size / f.em / 64
	x := o.X
	for _, r := range s {
		gi, err := f.font.GlyphIndex(&buf, r)
		if err != nil {
			continue
		}
		segs, err := f.font.LoadGlyph(&buf, gi, fixed.I(int(f.em)), nil)
		if err != nil {
			continue
		}
		at := func(p fixed.Point26_6) Point {
			q := Point{x + float64(p.X)*k, o.Y + float64(p.Y)*k}
			if deg != 0 {
				q = turn(q, c, deg)
			}
			return q
		}
		var last Point
		for _, sg := range segs {
			switch sg.Op {
			case sfnt.SegmentOpMoveTo:
				last = at(sg.Args[0])
				move(last)
			case sfnt.SegmentOpLineTo:
				last = at(sg.Args[0])
				line(last)
			case sfnt.SegmentOpQuadTo:
				m, d := at(sg.Args[0]), at(sg.Args[1])
				cubic(Point{last.X + 2*(m.X-last.X)/3, last.Y + 2*(m.Y-last.Y)/3},
					Point{d.X + 2*(m.X-d.X)/3, d.Y + 2*(m.Y-d.Y)/3}, d)
				last = d
			case sfnt.SegmentOpCubeTo:
				last = at(sg.Args[2])
				cubic(at(sg.Args[0]), at(sg.Args[1]), last)
			}
		}
		x += TextWidth(string(r), size, bold)
	}
}
