package draw_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"flag"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"dawnsmith/paper/draw"
)

var update = flag.Bool("update", false, "rewrite the golden pictures")

var embedded = regexp.MustCompile(`data:image/png;base64,[A-Za-z0-9+/=]+`)

// byPixels replaces embedded PNG data by a digest of its pixels, so that a
// change of the compressor alone does not count as a changed picture.
func byPixels(t *testing.T, svg []byte) []byte {
	t.Helper()
	return embedded.ReplaceAllFunc(svg, func(m []byte) []byte {
		raw, err := base64.StdEncoding.DecodeString(string(m[len("data:image/png;base64,"):]))
		if err != nil {
			t.Fatal(err)
		}
		im, err := png.Decode(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		h := sha256.New()
		b := im.Bounds()
		fmt.Fprint(h, b)
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				r, g, bl, a := im.At(x, y).RGBA()
				h.Write([]byte{byte(r >> 8), byte(g >> 8), byte(bl >> 8), byte(a >> 8)})
			}
		}
		return fmt.Appendf(nil, "pixels:%x", h.Sum(nil)[:8])
	})
}

// golden compares the scene's SVG with testdata/name.svg.
func golden(t *testing.T, name string, s draw.Scene) {
	t.Helper()
	var b bytes.Buffer
	if err := draw.SVG(&b, s, draw.SVGOptions{ID: name, Ground: true}); err != nil {
		t.Fatal(err)
	}
	compare(t, name+".svg", byPixels(t, b.Bytes()))
	gallery(t, name, s)
}

// compare checks bytes against a file of testdata, or writes it with -update.
func compare(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (go test -update writes it)", err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs from what is drawn now; look at the picture, then run go test -update", path)
	}
}

// gallery writes light and dark PNGs into the folder named by GALLERY.
func gallery(t *testing.T, name string, s draw.Scene) {
	t.Helper()
	dir := os.Getenv("GALLERY")
	if dir == "" {
		return
	}
	for _, p := range []draw.Palette{draw.Light(), draw.Dark()} {
		var b bytes.Buffer
		if err := draw.PNG(&b, s, draw.PNGOptions{Palette: p}); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+"-"+p.Name+".png"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// The tables of docs/look.md say what the tokens are.
func TestLookIsWrittenDown(t *testing.T) {
	doc, err := os.ReadFile(filepath.Join("..", "..", "docs", "look.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []draw.Palette{draw.Light(), draw.Dark(), draw.Print()} {
		for _, role := range []draw.Paint{draw.Paper, draw.Panel, draw.Ink, draw.Soft, draw.Faint, draw.Accent, draw.Tint, draw.Warn, draw.Plus, draw.Minus} {
			r, g, b, _ := p.Colour(role)
			if hex := fmt.Sprintf("`#%02x%02x%02x`", r, g, b); !bytes.Contains(doc, []byte(hex)) {
				t.Errorf("%s %s is %s; docs/look.md does not say so", p.Name, role, hex)
			}
		}
	}
	for name, mm := range map[string]float64{"title": draw.SizeTitle, "head": draw.SizeHead, "body": draw.SizeBody, "label": draw.SizeLabel, "small": draw.SizeSmall} {
		if row := fmt.Sprintf("| %s | %g |", name, mm); !bytes.Contains(doc, []byte(row)) {
			t.Errorf("docs/look.md has no row %q", row)
		}
	}
	for name, mm := range map[string]float64{"hair": draw.WidthHair, "thin": draw.WidthThin, "line": draw.WidthLine, "bold": draw.WidthBold, "heavy": draw.WidthHeavy} {
		if row := fmt.Sprintf("| %s | %.2f |", name, mm); !bytes.Contains(doc, []byte(row)) {
			t.Errorf("docs/look.md has no row %q", row)
		}
	}
}
