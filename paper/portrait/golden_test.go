package portrait

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"dawnsmith/lamp"
	"dawnsmith/lamp/stock"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/internal/sample"
)

var update = flag.Bool("update", false, "rewrite the golden drawings")

// The drawings of a pack, as SVG and DXF, the same on every machine.
func TestGoldenDrawings(t *testing.T) {
	l := sample.Lamp(nil)
	s := stock.Stock{Cutting: stock.Rules{Pieces: 2, Keep: 0.2}, Reels: []stock.Reel{
		{Name: "rest of March", Strip: "plain", Batch: "K7", Length: 1.85, FirstJoint: 0.15, Begun: true},
		{Name: "reel 2", Strip: "plain", Batch: "K7", Length: 1.5, NoJoints: true}}}
	p, err := s.Cut(l, 1)
	if err != nil {
		t.Fatal(err)
	}
	w := wiring.Of(l, wiring.Options{Reels: p.Reels})
	twin := sample.Lamp(func(s *lamp.Spec) { sample.Twin(s); s.Feed = "middle-row" })
	tw := wiring.Of(twin, wiring.Options{})
	for name, scene := range map[string]draw.Scene{
		"reel-map": CutList(w, l.Strip.Cut), "exploded": Exploded(l, w), "template": Template(l, w), "wiring-plus": WiringOf(l, w, 0), "nameplate": Nameplate(PlateOf(l, 1.83)),
		"side": SideView(l), "twin-template": Template(twin, tw), "twin-exploded": Exploded(twin, tw), "twin-wiring-cool": WiringOf(twin, tw, 2),
	} {
		for ext, write := range map[string]func(*bytes.Buffer) error{
			"svg": func(b *bytes.Buffer) error { return draw.SVG(b, scene, draw.SVGOptions{ID: name, Ground: true}) },
			"dxf": func(b *bytes.Buffer) error { return draw.DXF(b, scene) },
		} {
			if ext == "dxf" && name != "template" && name != "reel-map" {
				continue // the writer is golden in package draw; these two are cut by
			}
			var b bytes.Buffer
			if err := write(&b); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join("testdata", name+"."+ext)
			if *update {
				if err := os.MkdirAll("testdata", 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
				continue
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatalf("%v (go test -update writes it)", err)
			}
			if !bytes.Equal(want, b.Bytes()) {
				t.Errorf("%s differs from what is drawn now; look at the picture, then run go test -update", path)
			}
		}
	}
}

// The template is of true size: its floor, its row pitch and its rule.
func TestTemplateIsTrue(t *testing.T) {
	for _, change := range []func(*lamp.Spec){nil, func(s *lamp.Spec) { s.Feed = "middle-row" }, func(s *lamp.Spec) { sample.Twin(s); s.Feed = "both-ends" }} {
		l := sample.Lamp(change)
		w := wiring.Of(l, wiring.Options{})
		s := Template(l, w)
		var mid []float64 // of "row i" at the middle of the rows
		zero, hundred := draw.Label{}, draw.Label{}
		for _, k := range s.Labels() {
			switch k.Text {
			case "row 1", "row 2":
				mid = append(mid, k.Box.Y+k.Box.H/2)
			case "0":
				zero = k
			case "100":
				hundred = k
			}
			if !k.Box.Inside(draw.Rect{W: s.Width, H: s.Height}) {
				t.Errorf("%s: %q runs off the template", l.Feed, k.Text)
			}
		}
		if len(mid) != 6 {
			t.Fatalf("%d names of rows 1 and 2", len(mid))
		}
		if d := mid[3] - mid[0]; d < l.RowPitch()*1000-1e-6 || d > l.RowPitch()*1000+1e-6 {
			t.Errorf("%s: rows %.4f mm apart, planned %.4f mm", l.Feed, d, l.RowPitch()*1000)
		}
		if d := hundred.Box.X + hundred.Box.W/2 - zero.Box.X - zero.Box.W/2; d < 100-1e-6 || d > 100+1e-6 {
			t.Errorf("%s: the rule is %.4f mm", l.Feed, d)
		}
	}
}
