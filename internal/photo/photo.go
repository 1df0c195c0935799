package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/tiff"

	"dawnsmith/bench/facemap"
	"dawnsmith/finding"
)

// MaxBytes is the most that a file may have.
const MaxBytes = 320 << 20

// Curve is how the picture's numbers go with light.
type Curve int

// Automatic goes by the file, Linear is proportional to light, SRGB is coded
// after IEC 61966-2-1.
const (
	Automatic Curve = iota
	Linear
	SRGB
)

// Options say what the file does not.
type Options struct {
	Curve Curve
	// Full is the code of full scale where it is not that of the format, as 4095
	// for a sensor of 12 bits stored in 16; 0: that of the format, or the
	// sensor's end where the brightest pixels stand at one.
	Full int
}

// ErrTooLarge means that a file has more than MaxBytes bytes.
var ErrTooLarge = fmt.Errorf("the picture's file is larger than %d MB; make the picture smaller, or cut the face out", MaxBytes>>20)

// Read reads a picture. Findings say what was taken for granted.
func Read(r io.Reader, o Options) (*facemap.Picture, []finding.Finding, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, nil, err
	}
	if len(data) > MaxBytes {
		return nil, nil, ErrTooLarge
	}
	return read(data, o, facemap.MaxPixels)
}

// codes are a picture's numbers as they stand in the file.
type codes struct {
	w, h, channels int
	full           int
	at             func(x, y int, out *[3]uint16)
	// curve is what the file says of it; doubt says that it says something that is
	// not known here.
	curve Curve
	doubt string
}

func read(data []byte, o Options, most int) (*facemap.Picture, []finding.Finding, error) {
	var c *codes
	var err error
	switch {
	case len(data) == 0:
		return nil, nil, errors.New("the file is empty")
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		if c, err = readImage(data, most, png.DecodeConfig, png.Decode); err == nil {
			c.curve, c.doubt = pngCurve(data)
		}
	case bytes.HasPrefix(data, []byte("II*\x00")), bytes.HasPrefix(data, []byte("MM\x00*")):
		c, err = readImage(data, most, tiff.DecodeConfig, tiff.Decode)
	case len(data) > 2 && data[0] == 'P' && data[1] >= '1' && data[1] <= '7' && blank(data[2]):
		c, err = readMap(data, most)
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		err = errors.New("this is a JPEG, which bends and squeezes its numbers; develop the raw file to a linear TIFF or PNG of 16 bits")
	default:
		err = errors.New("this is no picture that is read: PNG, TIFF, PGM and PPM are")
	}
	if err != nil {
		return nil, nil, err
	}
	return c.picture(o)
}

// small refuses pictures with too many pixels, before they are taken apart.
func small(w, h, most int) error {
	if w < 1 || h < 1 {
		return fmt.Errorf("the picture has %d × %d pixels", w, h)
	}
	if w > most || h > most || w*h > most {
		return fmt.Errorf("the picture has %d × %d pixels; up to %d million are read: make it smaller, or cut the face out", w, h, most/1_000_000)
	}
	return nil
}

func readImage(data []byte, most int, config func(io.Reader) (image.Config, error), decode func(io.Reader) (image.Image, error)) (c *codes, err error) {
	broken := func(err error) error { return fmt.Errorf("the picture cannot be read: %w", err) }
	cfg, err := config(bytes.NewReader(data))
	if err != nil {
		return nil, broken(err)
	}
	if err := small(cfg.Width, cfg.Height, most); err != nil {
		return nil, err
	}
	img, err := decode(bytes.NewReader(data))
	if err != nil {
		return nil, broken(err)
	}
	b := img.Bounds()
	if err := small(b.Dx(), b.Dy(), most); err != nil {
		return nil, err
	}
	c = &codes{w: b.Dx(), h: b.Dy(), channels: 3, full: 255}
	const transparent = "the picture has transparent pixels; save it without transparency"
	switch m := img.(type) {
	case *image.Gray:
		c.channels = 1
		c.at = func(x, y int, out *[3]uint16) { out[0] = uint16(m.Pix[y*m.Stride+x]) }
	case *image.Gray16:
		c.channels, c.full = 1, 65535
		c.at = func(x, y int, out *[3]uint16) { out[0] = binary.BigEndian.Uint16(m.Pix[y*m.Stride+2*x:]) }
	case *image.RGBA64:
		if !m.Opaque() {
			return nil, errors.New(transparent)
		}
		c.full, c.at = 65535, four16(m.Pix, m.Stride)
	case *image.NRGBA64:
		if !m.Opaque() {
			return nil, errors.New(transparent)
		}
		c.full, c.at = 65535, four16(m.Pix, m.Stride)
	case *image.RGBA:
		if !m.Opaque() {
			return nil, errors.New(transparent)
		}
		c.at = four8(m.Pix, m.Stride)
	case *image.NRGBA:
		if !m.Opaque() {
			return nil, errors.New(transparent)
		}
		c.at = four8(m.Pix, m.Stride)
	case *image.Paletted:
		if !m.Opaque() {
			return nil, errors.New(transparent)
		}
		c.at = func(x, y int, out *[3]uint16) {
			q := color.NRGBAModel.Convert(m.At(b.Min.X+x, b.Min.Y+y)).(color.NRGBA)
			out[0], out[1], out[2] = uint16(q.R), uint16(q.G), uint16(q.B)
		}
	default:
		return nil, fmt.Errorf("the picture's colours are of a kind (%T) that tells no light; save it as grey or RGB", img)
	}
	return c, nil
}

func four16(pix []byte, stride int) func(x, y int, out *[3]uint16) {
	return func(x, y int, out *[3]uint16) {
		p := pix[y*stride+8*x:]
		out[0], out[1], out[2] = binary.BigEndian.Uint16(p), binary.BigEndian.Uint16(p[2:]), binary.BigEndian.Uint16(p[4:])
	}
}

func four8(pix []byte, stride int) func(x, y int, out *[3]uint16) {
	return func(x, y int, out *[3]uint16) {
		p := pix[y*stride+4*x:]
		out[0], out[1], out[2] = uint16(p[0]), uint16(p[1]), uint16(p[2])
	}
}

// pngCurve is what a PNG says of its curve in the chunks before its pixels.
//
// Source: W3C, Portable Network Graphics (PNG) Specification, clauses 5 and 11.3.
func pngCurve(data []byte) (c Curve, doubt string) {
	gamma := 0.0
	for at := 8; at+12 <= len(data); {
		size := int(binary.BigEndian.Uint32(data[at:]))
		kind := string(data[at+4 : at+8])
		if kind == "IDAT" || size > len(data)-at-12 {
			break
		}
		switch kind {
		case "sRGB":
			return SRGB, ""
		case "gAMA":
			if size == 4 {
				gamma = float64(binary.BigEndian.Uint32(data[at+8:])) / 100_000
			}
		case "iCCP":
			doubt = "a colour profile, which is not read"
		}
		at += 12 + size
	}
	switch {
	case gamma > 0.99 && gamma < 1.01:
		return Linear, ""
	case gamma > 0.44 && gamma < 0.47: // 1/2.2
		return SRGB, ""
	case gamma > 0:
		doubt = fmt.Sprintf("a gamma of %.4g, which is neither 1 nor 1/2.2", gamma)
	}
	return Automatic, doubt
}

// sensorEnds are the ends of sensors of 10, 12 and 14 bits, stored in 16.
var sensorEnds = []int{1023, 4095, 16383}

// picture turns codes into light.
func (c *codes) picture(o Options) (*facemap.Picture, []finding.Finding, error) {
	var fs []finding.Finding
	note := func(sev finding.Severity, key, what, cause, mend string) {
		fs = append(fs, finding.Finding{Severity: sev, Key: "photo." + key, What: what, Cause: cause, Mend: mend, Source: "common practice, no source"})
	}
	curve := o.Curve
	if curve == Automatic {
		curve = c.curve
	}
	if curve == Automatic {
		curve = Linear
		if c.full <= 255 {
			curve = SRGB
		} else {
			note(finding.Note, "linear", "the picture does not say how its numbers go with light; as they have more than 8 bits they were taken as proportional to it",
				"linear pictures of raw developers seldom say so", "if a program developed it to be looked at, say that it is sRGB-coded")
		}
	}
	if c.doubt != "" && o.Curve == Automatic {
		note(finding.Warn, "curve", "the picture states "+c.doubt, "", "say whether the numbers are linear or sRGB-coded")
	}
	full := c.full
	if o.Full != 0 {
		if o.Full < 2 || o.Full > c.full {
			return nil, nil, fmt.Errorf("full scale is %d; allowed is 2 to %d", o.Full, c.full)
		}
		full = o.Full
	} else if curve == Linear && c.full == 65535 {
		if end := c.sensorEnd(); end > 0 {
			full = end
			note(finding.Note, "sensor_end", fmt.Sprintf("the brightest pixels stand at %d, the end of a sensor's converter: it was taken as full scale", end), "", "")
		}
	}
	p := &facemap.Picture{Width: c.w, Height: c.h, Samples: make([]float32, c.w*c.h), Coded: curve == SRGB, Colour: c.channels == 3, Steps: full}
	light := make([]float64, full+1)
	for i := range light {
		light[i] = p.Level(float64(i))
	}
	clip := uint16(math.Ceil(facemap.ClipFrom * float64(full)))
	var px [3]uint16
	for y := range c.h {
		for x := range c.w {
			c.at(x, y, &px)
			i := y*c.w + x
			var v [3]float64
			for k, q := range px[:c.channels] {
				if q >= clip {
					if p.Clipped == nil {
						p.Clipped = make([]bool, len(p.Samples))
					}
					p.Clipped[i] = true
				}
				v[k] = light[min(int(q), full)]
			}
			if c.channels == 1 {
				p.Samples[i] = float32(v[0])
			} else {
				p.Samples[i] = float32(facemap.Luma(v[0], v[1], v[2]))
			}
		}
	}
	return p, fs, nil
}

// sensorEnd is the end of a converter of fewer bits than the file has, where
// several of the brightest codes stand exactly at it; else 0.
func (c *codes) sensorEnd() int {
	top, count := 0, 0
	var px [3]uint16
	for y := range c.h {
		for x := range c.w {
			c.at(x, y, &px)
			for _, q := range px[:c.channels] {
				switch {
				case int(q) > top:
					top, count = int(q), 1
				case int(q) == top:
					count++
				}
			}
		}
	}
	for _, end := range sensorEnds {
		if top == end && count >= 3 {
			return end
		}
	}
	return 0
}
