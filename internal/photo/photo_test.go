package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"golang.org/x/image/tiff"
	"pgregory.net/rapid"

	"dawnsmith/bench/facemap"
	"dawnsmith/finding"
)

// made is a small picture in codes of 16 bits, three channels.
type made struct {
	w, h int
	rgb  []uint16
}

func (m made) at(x, y, k int) uint16 { return m.rgb[3*(y*m.w+x)+k] }

func (m made) image() *image.NRGBA64 {
	img := image.NewNRGBA64(image.Rect(0, 0, m.w, m.h))
	for y := range m.h {
		for x := range m.w {
			img.SetNRGBA64(x, y, color.NRGBA64{R: m.at(x, y, 0), G: m.at(x, y, 1), B: m.at(x, y, 2), A: 65535})
		}
	}
	return img
}

func (m made) grey() *image.Gray16 {
	img := image.NewGray16(image.Rect(0, 0, m.w, m.h))
	for y := range m.h {
		for x := range m.w {
			img.SetGray16(x, y, color.Gray16{Y: m.at(x, y, 0)})
		}
	}
	return img
}

func asPNG(t interface{ Fatal(...any) }, img image.Image) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asTIFF(t interface{ Fatal(...any) }, img image.Image) []byte {
	var b bytes.Buffer
	if err := tiff.Encode(&b, img, &tiff.Options{Compression: tiff.Deflate}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func (m made) ppm(kind byte) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "P%c\n# made for a test\n%d %d\n65535\n", kind, m.w, m.h)
	n := 3
	if kind == '2' || kind == '5' {
		n = 1
	}
	for y := range m.h {
		for x := range m.w {
			for k := range n {
				if kind < '5' {
					fmt.Fprintf(&b, "%d ", m.at(x, y, k))
				} else {
					b.Write(binary.BigEndian.AppendUint16(nil, m.at(x, y, k)))
				}
			}
		}
	}
	return b.Bytes()
}

// chunk puts a chunk after a PNG's header.
func chunk(data []byte, kind string, body []byte) []byte {
	const header = 8 + 25
	c := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	c = append(append(c, kind...), body...)
	c = binary.BigEndian.AppendUint32(c, crc32.ChecksumIEEE(c[4:]))
	return append(append(append([]byte{}, data[:header]...), c...), data[header:]...)
}

// Every format gives the same light, and the weights of BT.709 make one number of
// three.
func TestFormats(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := made{w: rapid.IntRange(1, 9).Draw(t, "w"), h: rapid.IntRange(1, 9).Draw(t, "h")}
		m.rgb = rapid.SliceOfN(rapid.Uint16(), 3*m.w*m.h, 3*m.w*m.h).Draw(t, "rgb")
		colour := map[string][]byte{"png": asPNG(t, m.image()), "tiff": asTIFF(t, m.image()), "P3": m.ppm('3'), "P6": m.ppm('6')}
		grey := map[string][]byte{"png": asPNG(t, m.grey()), "tiff": asTIFF(t, m.grey()), "P2": m.ppm('2'), "P5": m.ppm('5')}
		for _, kind := range []map[string][]byte{colour, grey} {
			for name, data := range kind {
				p, _, err := Read(bytes.NewReader(data), Options{Curve: Linear, Full: 65535})
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				if err := p.Check(); err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				if p.Width != m.w || p.Height != m.h || p.Steps != 65535 || p.Coded {
					t.Fatalf("%s: %d × %d, %d steps", name, p.Width, p.Height, p.Steps)
				}
				for i, s := range p.Samples {
					r, g, b := float64(m.rgb[3*i])/65535, float64(m.rgb[3*i+1])/65535, float64(m.rgb[3*i+2])/65535
					want := r
					if p.Colour {
						want = 0.2126*r + 0.7152*g + 0.0722*b
					}
					if math.Abs(float64(s)-want) > 1e-6 {
						t.Fatalf("%s: sample %d is %v, want %v", name, i, s, want)
					}
				}
			}
		}
	})
}

// What the numbers mean: by the caller, by the file, by the depth.
func TestCurves(t *testing.T) {
	m := made{2, 1, []uint16{0x8000, 0x8000, 0x8000, 0x2000, 0x2000, 0x2000}}
	deep := asPNG(t, m.grey())
	shallow := image.NewGray(image.Rect(0, 0, 2, 1))
	shallow.Pix = []byte{118, 10}
	eight := asPNG(t, shallow)
	gamma := func(g uint32) []byte { return chunk(deep, "gAMA", binary.BigEndian.AppendUint32(nil, g)) }
	half := 32768. / 65535
	// IEC 61966-2-1: ((0.5 + 0.055)/1.055)^2.4 = 0.21404; 118/255 gives 0.18116.
	for _, c := range []struct {
		name  string
		data  []byte
		curve Curve
		coded bool
		first float64
		key   string
	}{
		{"16 bits", deep, Automatic, false, half, "photo.linear"},
		{"16 bits said to be coded", deep, SRGB, true, 0.21404, ""},
		{"16 bits, sRGB chunk", chunk(deep, "sRGB", []byte{0}), Automatic, true, 0.21404, ""},
		{"16 bits, gamma 1", gamma(100_000), Automatic, false, half, ""},
		{"16 bits, gamma 1/2.2", gamma(45_455), Automatic, true, 0.21404, ""},
		{"16 bits, gamma 1/1.8", gamma(55_556), Automatic, false, half, "photo.curve"},
		{"8 bits", eight, Automatic, true, 0.18116, ""},
		{"8 bits said to be linear", eight, Linear, false, 118. / 255, ""},
		{"8-bit map", []byte("P2 2 1 255 118 10"), Automatic, true, 0.18116, ""},
		{"12-bit map", []byte("P2 2 1 4095 2048 10"), Automatic, false, 2048. / 4095, "photo.linear"},
	} {
		p, fs, err := Read(bytes.NewReader(c.data), Options{Curve: c.curve})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if p.Coded != c.coded || math.Abs(float64(p.Samples[0])-c.first) > 2e-5 {
			t.Errorf("%s: coded %v, %v", c.name, p.Coded, p.Samples[0])
		}
		if c.key == "" && len(fs) > 0 || c.key != "" && !finding.Has(fs, c.key) {
			t.Errorf("%s: %v", c.name, fs)
		}
	}
}

// A sensor of 12 bits in 16 that is at its end in some pixels: its end is full
// scale, and those pixels count as clipped.
func TestSensorEnd(t *testing.T) {
	text := "P2 4 2 65535 4095 4095 4095 100 2000 2000 2000 0"
	p, fs, err := Read(strings.NewReader(text), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if p.Steps != 4095 || !finding.Has(fs, "photo.sensor_end") || p.Samples[0] != 1 || p.Clipped == nil || !p.Clipped[2] || p.Clipped[4] {
		t.Errorf("%d steps, %v, clipped %v, %v", p.Steps, p.Samples, p.Clipped, fs)
	}
	if p, _, err = Read(strings.NewReader(text), Options{Full: 8190}); err != nil || p.Steps != 8190 || p.Samples[0] != 0.5 || p.Clipped != nil {
		t.Errorf("%v %v", p, err)
	}
	// One channel at its end is enough.
	p, _, err = Read(strings.NewReader("P3 1 1 1000 10 1000 10"), Options{})
	if err != nil || p.Clipped == nil || !p.Clipped[0] {
		t.Errorf("%v %v", p, err)
	}
}

func TestRefused(t *testing.T) {
	m := made{2, 1, make([]uint16, 6)}
	clear := image.NewNRGBA(image.Rect(0, 0, 2, 2))
	huge := []byte("P5 100000 100000 65535\n")
	for name, c := range map[string]struct {
		data []byte
		says string
	}{
		"empty": {nil, "empty"}, "words": {[]byte("a lamp"), "no picture that is read"}, "JPEG": {[]byte("\xff\xd8\xff\xe0"), "develop the raw file"},
		"broken PNG": {asPNG(t, m.grey())[:50], "cannot be read"}, "broken TIFF": {asTIFF(t, m.grey())[:20], "cannot be read"},
		"transparent": {asPNG(t, clear), "transparent"}, "huge map": {huge, "up to 50 million"}, "bitmap": {[]byte("P4 1 1\n\x00"), "kind P4"},
		"cut": {m.ppm('6')[:40], "breaks off"}, "cut text": {[]byte("P2 3 3 255 1 2 3"), "breaks off"}, "no depth": {[]byte("P5 2 1 0\n\x00\x00"), "greatest value is 0"},
		"words in a map": {[]byte("P2 2 1 255 a b c"), "where a number belongs"}, "above": {[]byte("P2 2 1 255 256 1"), "above the greatest"}, "endless": {[]byte("P2 99999999999999999999 1 255 0"), "billion"},
		"no pixels": {[]byte("P5 0 7 255\n"), "0 × 7"},
	} {
		if _, _, err := Read(bytes.NewReader(c.data), Options{}); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, _, err := Read(bytes.NewReader(m.ppm('5')), Options{Full: 70000}); err == nil || !strings.Contains(err.Error(), "2 to 65535") {
		t.Errorf("full scale: %v", err)
	}
	// A header that promises more pixels than are read costs nothing.
	big := asPNG(t, m.grey())
	binary.BigEndian.PutUint32(big[16:], 200_000)
	binary.BigEndian.PutUint32(big[20:], 200_000)
	binary.BigEndian.PutUint32(big[29:], crc32.ChecksumIEEE(big[12:29]))
	if _, _, err := Read(bytes.NewReader(big), Options{}); err == nil || !strings.Contains(err.Error(), "up to 50 million") {
		t.Errorf("a large PNG: %v", err)
	}
	if _, _, err := Read(endless{}, Options{}); err != ErrTooLarge {
		t.Errorf("an endless file: %v", err)
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

// No file crashes the reader or brings nonsense out of it.
func FuzzRead(f *testing.F) {
	m := made{3, 2, []uint16{0, 1, 2, 300, 4000, 65535, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18}}
	for _, data := range [][]byte{asPNG(f, m.image()), asPNG(f, m.grey()), asTIFF(f, m.image()), asTIFF(f, m.grey()), m.ppm('2'), m.ppm('3'), m.ppm('5'), m.ppm('6'),
		chunk(asPNG(f, m.grey()), "gAMA", []byte{0, 1, 0x86, 0xa0}), []byte("P2 2 1 255 118 10")} {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, _, err := read(data, Options{}, 1<<16)
		if err != nil {
			return
		}
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		if m, err := facemap.Of(p, facemap.Options{Reading: facemap.Reading{Luminance: 1000}, PerPixel: 0.001}); err == nil && !m.Peak.Finite() {
			t.Fatal("nonsense in a map")
		}
	})
}
