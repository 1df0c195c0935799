package draw

import (
	"fmt"
	"io"
	"strings"
)

// Paint is what an item is drawn in: usually a role, whose colour the palette
// decides when the scene is written, seldom an explicit colour made by [RGB].
// The zero value draws nothing.
type Paint uint32

// The roles. A role says what a thing is, never how it looks.
const (
	None   Paint = iota
	Paper        // the ground everything lies on
	Panel        // a quiet block on the paper: table stripes, keys
	Ink          // text and the main line
	Soft         // secondary text, axes, dimension lines
	Faint        // grid and hairlines
	Accent       // the one accent: what the picture is about
	Tint         // the accent as a wash: bands and areas
	Warn         // a limit that is passed
	Plus         // the positive conductor
	Minus        // the negative conductor
	Copper       // bare metal to be soldered, bared windows
	Metal        // tray
	Lining       // reflective lining
	Strip        // the strip's board
	Sheet        // diffuser sheet
	LED          // an emitter
	Ray          // light on its way
	roleCount
)

var roleNames = [...]string{"none", "paper", "panel", "ink", "soft", "faint", "accent", "tint", "warn",
	"plus", "minus", "copper", "metal", "lining", "strip", "sheet", "led", "ray"}

const explicit Paint = 1 << 24

// RGB is an explicit sRGB colour, for things that are about colour itself,
// such as the rule under a spectrum. No palette changes it.
func RGB(r, g, b uint8) Paint {
	return explicit | Paint(r)<<16 | Paint(g)<<8 | Paint(b)
}

// Roles lists every role except None in the order of their declaration.
func Roles() []Paint {
	out := make([]Paint, 0, int(roleCount)-1)
	for p := Paper; p < roleCount; p++ {
		out = append(out, p)
	}
	return out
}

// String gives the role's name, as it appears in class names and DXF layers,
// or "#rrggbb" for an explicit colour.
func (p Paint) String() string {
	if p >= explicit {
		return fmt.Sprintf("#%06x", uint32(p-explicit))
	}
	if p < roleCount {
		return roleNames[p]
	}
	return "none"
}

// Palette gives every role its sRGB colour, 0xRRGGBB.
type Palette struct {
	// Name is light, dark, print or distinct.
	Name string
	rgb  [roleCount]uint32
}

// Colour resolves p to 8-bit sRGB; ok is false for None.
func (pl Palette) Colour(p Paint) (r, g, b uint8, ok bool) {
	v := uint32(0)
	switch {
	case p >= explicit:
		v = uint32(p - explicit)
	case p > None && p < roleCount:
		if pl.Name == "" {
			pl = Light()
		}
		v = pl.rgb[p]
	default:
		return 0, 0, 0, false
	}
	return uint8(v >> 16), uint8(v >> 8), uint8(v), true
}

// hex gives "#rrggbb", or "none".
func (pl Palette) hex(p Paint) string {
	r, g, b, ok := pl.Colour(p)
	if !ok {
		return "none"
	}
	return fmt.Sprintf("#%02x%02x%02x", r, g, b)
}

// Light is the usual palette: brown-black ink on warm paper, one burnt accent.
// In every palette ink, soft, accent, warn, plus and minus reach the contrast
// with the paper that WCAG 2.2 asks of text (success criterion 1.4.3, 4.5:1).
func Light() Palette {
	return Palette{Name: "light", rgb: [roleCount]uint32{
		Paper: 0xfbf7ee, Panel: 0xf2ebdd, Ink: 0x2b2520, Soft: 0x6a6055, Faint: 0xddd3c2,
		Accent: 0xa8401a, Tint: 0xf0d9c4, Warn: 0x8f1247, Plus: 0xb32318, Minus: 0x23406f,
		Copper: 0xb87333, Metal: 0xa39f99, Lining: 0xffffff, Strip: 0xead9a4, Sheet: 0xc3d5d9,
		LED: 0xe3a91f, Ray: 0xc07200}}
}

// Dark is for dark rooms: light ink on brown-black.
func Dark() Palette {
	return Palette{Name: "dark", rgb: [roleCount]uint32{
		Paper: 0x1c1814, Panel: 0x28221c, Ink: 0xf0e8da, Soft: 0xb3a797, Faint: 0x453c32,
		Accent: 0xf08a52, Tint: 0x4a2f1f, Warn: 0xf286a8, Plus: 0xff8470, Minus: 0x8fb4f0,
		Copper: 0xd9965a, Metal: 0x7d7972, Lining: 0x3a352f, Strip: 0x6a5c33, Sheet: 0x48626a,
		LED: 0xf2c14e, Ray: 0xe0a13a}}
}

// Print is for paper: white ground, darker ink, fills light enough to write on.
func Print() Palette {
	return Palette{Name: "print", rgb: [roleCount]uint32{
		Paper: 0xffffff, Panel: 0xf1f0ed, Ink: 0x000000, Soft: 0x4d4a46, Faint: 0xd0ccc5,
		Accent: 0x9a3412, Tint: 0xeedfd2, Warn: 0x7d0b3b, Plus: 0xa01a10, Minus: 0x1b345e,
		Copper: 0xa8642a, Metal: 0x9a9a9a, Lining: 0xffffff, Strip: 0xf0e6c6, Sheet: 0xd3e0e3,
		LED: 0xd49a10, Ray: 0xb06800}}
}

// Distinct keeps to hues that people with any common colour-vision deficiency
// tell apart, after M. Okabe and K. Ito, Color Universal Design (2008): the
// vermilion, blue and bluish-green of their set, darkened to text contrast
// (set from memory).
func Distinct() Palette {
	p := Light()
	p.Name = "distinct"
	p.rgb[Paper], p.rgb[Panel], p.rgb[Ink] = 0xffffff, 0xf2f2f2, 0x111111
	p.rgb[Accent], p.rgb[Tint], p.rgb[Warn] = 0xb34700, 0xfbe3cf, 0x8a1f63
	p.rgb[Plus], p.rgb[Minus] = 0xb34700, 0x004f86
	p.rgb[LED], p.rgb[Ray], p.rgb[Soft] = 0xe69f00, 0xb87800, 0x555555
	return p
}

// Palettes lists the four palettes, light first.
func Palettes() []Palette { return []Palette{Light(), Dark(), Print(), Distinct()} }

// The type scale, in mm of type size (1 mm is 2.835 pt). Nothing smaller than
// SizeSmall carries a number anyone must read.
const (
	SizeTitle = 4.6 // page titles, 13 pt
	SizeHead  = 3.7 // figure titles and section heads, 10.5 pt
	SizeBody  = 3.2 // running text, 9 pt
	SizeLabel = 2.9 // axis numbers, names in drawings, 8.2 pt
	SizeSmall = 2.5 // notes, 7 pt
)

// Line widths and spacing, in mm.
const (
	WidthHair  = 0.13 // grid, hatching
	WidthThin  = 0.2  // axes, dimension lines
	WidthLine  = 0.35 // outlines
	WidthBold  = 0.55 // the main curve
	WidthHeavy = 0.8  // wires
	Gap        = 2.0  // between things that belong together
	Margin     = 6.0  // around a figure
	Leading    = 1.45 // line spacing as a multiple of type size
)

// FontFamily is the family every writer sets type in; the page serves the
// same file (see [FontFiles]), so that screen and paper agree.
const FontFamily = "DejaVu Sans"

// CSS writes the tokens as custom properties (--ink, --accent …, --size-body
// in rem of 16 px) for light, dark (by system preference, or data-theme on the
// root element: light, dark, distinct) and print, and the classes that [SVG]
// puts on every item (.s-ink strokes, .f-ink fills), so that a picture set in
// the page takes the page's colours.
func CSS(w io.Writer) error {
	var b strings.Builder
	vars := func(p Palette, indent string) {
		for _, r := range Roles() {
			fmt.Fprintf(&b, "%s--%s: %s;\n", indent, r, p.hex(r))
		}
	}
	b.WriteString(":root {\n")
	vars(Light(), "  ")
	for _, s := range []struct {
		name string
		mm   float64
	}{{"title", SizeTitle}, {"head", SizeHead}, {"body", SizeBody}, {"label", SizeLabel}, {"small", SizeSmall}} {
		// On screen the body size is one rem; the steps keep their ratio.
		fmt.Fprintf(&b, "  --size-%s: %srem;\n", s.name, num(s.mm/SizeBody))
	}
	fmt.Fprintf(&b, "  --leading: %s;\n  --family: %q, \"Verdana\", sans-serif;\n}\n", num(Leading), FontFamily)
	b.WriteString("@media (prefers-color-scheme: dark) {\n  :root:not([data-theme]) {\n")
	vars(Dark(), "    ")
	b.WriteString("  }\n}\n:root[data-theme=\"dark\"] {\n")
	vars(Dark(), "  ")
	b.WriteString("}\n:root[data-theme=\"distinct\"] {\n")
	vars(Distinct(), "  ")
	b.WriteString("}\n@media print {\n  :root, :root[data-theme] {\n")
	vars(Print(), "    ")
	b.WriteString("  }\n}\n")
	for _, r := range Roles() {
		fmt.Fprintf(&b, ".s-%s { stroke: var(--%[1]s); }\n.f-%[1]s { fill: var(--%[1]s); }\n", r)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
