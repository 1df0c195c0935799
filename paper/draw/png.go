package draw

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"

	"git.sr.ht/~sbinet/gg"
)

// PNGOptions says how [PNG] writes.
type PNGOptions struct {
	Palette Palette // the zero value is Light
	PerMM   float64 // pixels per mm; 0 means 6 (152 dpi)
}

// maxPixels bounds a picture to what a small machine can hold (200 MB).
const maxPixels = 50e6

// PNG draws the scene on the palette's paper and writes it as PNG.
func PNG(w io.Writer, s Scene, o PNGOptions) error {
	im, err := Raster(s, o)
	if err != nil {
		return err
	}
	return png.Encode(w, im)
}

// Raster draws the scene on the palette's paper into pixels.
func Raster(s Scene, o PNGOptions) (image.Image, error) {
	if err := checkSize(s); err != nil {
		return nil, err
	}
	k := o.PerMM
	if k == 0 {
		k = 6
	}
	wide, high := math.Ceil(s.Width*k-1e-9), math.Ceil(s.Height*k-1e-9)
	if !(k > 0) || wide*high > maxPixels {
		return nil, fmt.Errorf("picture of %.0f × %.0f pixels at %g per mm; at most %.0f million pixels", wide, high, k, maxPixels/1e6)
	}
	dc := gg.NewContext(int(wide), int(high))
	v := &rasteriser{dc: dc, k: k, pal: o.Palette}
	dc.SetColor(v.colour(Paper))
	dc.Clear()
	walk(&s, v)
	return dc.Image(), nil
}

type rasteriser struct {
	dc    *gg.Context
	k     float64
	pal   Palette
	clips [][]Point
}

func (v *rasteriser) colour(p Paint) color.RGBA {
	r, g, b, _ := v.pal.Colour(p)
	return color.RGBA{r, g, b, 255}
}

func (v *rasteriser) begin(_ *Group, clip []Point) {
	if clip != nil {
		v.clips = append(v.clips, clip)
		v.clip(clip)
	}
}

func (v *rasteriser) end(g *Group) {
	if g.clip == nil {
		return
	}
	v.clips = v.clips[:len(v.clips)-1]
	v.dc.ResetClip()
	for _, c := range v.clips {
		v.clip(c)
	}
}

func (v *rasteriser) clip(c []Point) {
	v.path(c, false, true)
	v.dc.Clip()
}

func (v *rasteriser) path(pts []Point, cubic, closed bool) {
	dc, k := v.dc, v.k
	dc.NewSubPath()
	dc.MoveTo(pts[0].X*k, pts[0].Y*k)
	if cubic {
		for i := 1; i+2 < len(pts); i += 3 {
			dc.CubicTo(pts[i].X*k, pts[i].Y*k, pts[i+1].X*k, pts[i+1].Y*k, pts[i+2].X*k, pts[i+2].Y*k)
		}
	} else {
		for _, p := range pts[1:] {
			dc.LineTo(p.X*k, p.Y*k)
		}
	}
	if closed {
		dc.ClosePath()
	}
}

func (v *rasteriser) shape(s shape) {
	dc := v.dc
	pts, cubic, closed := s.outline()
	dc.ClearPath()
	v.path(pts, cubic, closed)
	if s.style.Fill != None {
		dc.SetColor(v.colour(s.style.Fill))
		dc.FillPreserve()
	}
	if s.style.Stroke != None {
		dc.SetColor(v.colour(s.style.Stroke))
		dc.SetLineWidth(max(s.style.Width*v.k, 0.6))
		dash := s.style.Dash.pattern(s.style.Width)
		for i := range dash {
			dash[i] *= v.k
		}
		dc.SetDash(dash...)
		dc.SetLineCapRound()
		if dash != nil {
			dc.SetLineCapButt()
		}
		dc.SetLineJoinRound()
		dc.StrokePreserve()
		dc.SetDash()
	}
	dc.ClearPath()
}

func (v *rasteriser) text(t text) {
	dc, k := v.dc, v.k
	dc.ClearPath()
	glyphs(t.s, t.style.Size, t.style.Bold, t.origin(), t.at, t.style.Angle,
		func(p Point) { dc.NewSubPath(); dc.MoveTo(p.X*k, p.Y*k) },
		func(p Point) { dc.LineTo(p.X*k, p.Y*k) },
		func(a, b, d Point) { dc.CubicTo(a.X*k, a.Y*k, b.X*k, b.Y*k, d.X*k, d.Y*k) })
	dc.SetColor(v.colour(t.style.Paint))
	dc.Fill()
	dc.ClearPath()
}

func (v *rasteriser) picture(p picture) {
	x0, y0 := int(math.Round(p.box.X*v.k)), int(math.Round(p.box.Y*v.k))
	x1, y1 := int(math.Round((p.box.X+p.box.W)*v.k)), int(math.Round((p.box.Y+p.box.H)*v.k))
	if x1 <= x0 || y1 <= y0 || float64(x1-x0)*float64(y1-y0) > maxPixels {
		return
	}
	im := image.NewRGBA(image.Rect(0, 0, x1-x0, y1-y0))
	for y := range y1 - y0 {
		row := y * p.grid.Rows / (y1 - y0)
		for x := range x1 - x0 {
			i := 3 * (row*p.grid.Columns + x*p.grid.Columns/(x1-x0))
			im.SetRGBA(x, y, color.RGBA{p.grid.RGB[i], p.grid.RGB[i+1], p.grid.RGB[i+2], 255})
		}
	}
	v.dc.DrawImage(im, x0, y0)
}
