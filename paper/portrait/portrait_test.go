package portrait

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"dawnsmith/lamp"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/internal/sample"

	"pgregory.net/rapid"
)

// everyPicture draws all pictures of a lamp.
func everyPicture(l lamp.Lamp) map[string]draw.Scene {
	w := wiring.Of(l, wiring.Options{})
	out := map[string]draw.Scene{
		"cover": Cover(l), "plan": TrayPlan(l, &w), "section": TraySection(l), "side": SideView(l),
		"wiring": Wiring(l, w), "cutlist": CutList(w, l.Strip.Cut),
	}
	for name, d := range map[string]draw.Scene{"tray": TrayDetail(l, w), "row": RowDetail(l, w), "bus": BusDetail(l, w), "link": LinkDetail(l, w),
		"lead": LeadDetail(l, w), "probe": ProbeDetail(w), "power": FirstPowerDetail(24, 0.27), "close": CloseDetail(l)} {
		if name == "bus" && len(w.Buses) == 0 || name == "link" && len(w.Links) == 0 {
			continue // not for this feed
		}
		out["detail-"+name] = d
	}
	for i, b := range w.Buses {
		out["ruler-"+b.Code] = StrippingRuler(w, i)
	}
	return out
}

// With DAWNSMITH_PORTRAITS naming a folder the pictures are written there to be
// looked at.
func TestLook(t *testing.T) {
	dir := os.Getenv("DAWNSMITH_PORTRAITS")
	if dir == "" {
		t.Skip("DAWNSMITH_PORTRAITS is not set")
	}
	show := func(name string, s draw.Scene) {
		f, err := os.Create(filepath.Join(dir, name+".png"))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if err := draw.PNG(f, s, draw.PNGOptions{Palette: draw.Print(), PerMM: 5}); err != nil {
			t.Fatal(err)
		}
	}
	for name, s := range everyPicture(sample.Lamp(nil)) {
		show(name, s)
	}
	for _, feed := range sample.Feeds {
		l := sample.Lamp(func(s *lamp.Spec) { s.Feed = feed })
		show("wiring-"+feed, Wiring(l, wiring.Of(l, wiring.Options{})))
		l = sample.Lamp(func(s *lamp.Spec) { sample.Twin(s); s.Feed = feed })
		show("twin-"+feed, Wiring(l, wiring.Of(l, wiring.Options{})))
	}
	l := sample.Lamp(sample.Twin)
	show("twin-detail-bus", BusDetail(l, wiring.Of(l, wiring.Options{})))
	l = sample.Lamp(func(s *lamp.Spec) { s.Rows, s.Feed, s.Along, s.Units = 24, "middle-row", lamp.AlongWidth, 5 })
	w := wiring.Of(l, wiring.Options{})
	show("wiring-many", Wiring(l, w))
	show("plan-many", TrayPlan(l, &w))
}

// overlap returns two labels of a scene that share area, if any do.
func overlap(s draw.Scene) (a, b draw.Label, found bool) {
	ls := s.Labels()
	for i := range ls {
		for j := range i {
			if ls[i].Box.Overlaps(ls[j].Box) {
				return ls[j], ls[i], true
			}
		}
	}
	return draw.Label{}, draw.Label{}, false
}

// No word lies on another or beyond the edge, whatever the lamp.
func TestWordsAreLegible(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLamp(t)
		for name, s := range everyPicture(l) {
			// Plan, section and side view are package figure's own to space.
			ours := strings.HasPrefix(name, "wiring") || strings.HasPrefix(name, "cutlist") || strings.HasPrefix(name, "ruler") || strings.HasPrefix(name, "detail")
			if a, b, bad := overlap(s); bad && ours {
				t.Errorf("%s: %q lies on %q", name, a.Text, b.Text)
			}
			for _, k := range s.Labels() {
				if !k.Box.Inside(draw.Rect{X: -0.5, Y: -0.5, W: s.Width + 1, H: s.Height + 1}) {
					t.Errorf("%s: %q at %.1f %.1f reaches beyond %.0f × %.0f mm", name, k.Text, k.Box.X, k.Box.Y, s.Width, s.Height)
				}
			}
		}
	})
}

// anyLamp draws a lamp of the sample's parts.
func anyLamp(t *rapid.T) lamp.Lamp {
	return sample.Lamp(func(s *lamp.Spec) {
		if rapid.Bool().Draw(t, "twin") {
			sample.Twin(s)
		}
		s.Feed = rapid.SampledFrom(sample.Feeds).Draw(t, "feed")
		if rapid.Bool().Draw(t, "large") {
			s.Tray, s.Paint = "large", ""
		}
		if rapid.Bool().Draw(t, "across") {
			s.Along = lamp.AlongWidth
		}
		s.Rows = rapid.IntRange(1, 18).Draw(t, "rows")
		s.Units = rapid.IntRange(1, 5).Draw(t, "units")
		if rapid.Bool().Draw(t, "no fuse") {
			s.Fuse = ""
		}
	})
}

// The ruler is at true scale: the number of every centimetre stands ten
// millimetres from the last, and every row's window where the plan has it.
func TestRulerIsTrue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLamp(t)
		w := wiring.Of(l, wiring.Options{})
		for i, b := range w.Buses {
			s := StrippingRuler(w, i)
			var nums []draw.Label // numbers along the ruler
			rows := map[string]bool{}
			for _, k := range s.Labels() {
				if _, err := strconv.Atoi(k.Text); err == nil && k.Size == draw.SizeSmall {
					nums = append(nums, k)
				}
			}
			mid := func(k draw.Label) float64 { return k.Box.X + k.Box.W/2 }
			for j := 1; j < len(nums); j++ {
				if math.Abs(nums[j].Box.Y-nums[j-1].Box.Y) > 0.1 {
					continue // the next line
				}
				if d := mid(nums[j]) - mid(nums[j-1]); math.Abs(d-10) > 1e-6 {
					t.Fatalf("%s: from %s to %s is %.3f mm on paper", b.Code, nums[j-1].Text, nums[j].Text, d)
				}
			}
			for _, win := range b.Windows {
				for _, k := range s.Labels() {
					if k.Text != strconv.Itoa(win.Row+1) || k.Size != draw.SizeLabel {
						continue
					}
					// Against the number nearest below in the same line.
					for _, n := range nums {
						at, _ := strconv.ParseFloat(n.Text, 64)
						if d := mid(k) - mid(n); n.Box.Y > k.Box.Y && n.Box.Y-k.Box.Y < 13 && math.Abs(at+d-win.Centre*1000) < 1e-6 {
							rows[k.Text] = true
						}
					}
				}
			}
			if len(rows) != len(b.Windows) {
				t.Fatalf("%s: %d of %d windows stand where the plan has them", b.Code, len(rows), len(b.Windows))
			}
		}
	})
}

// The plan's numbers are the lamp's.
func TestPlanInput(t *testing.T) {
	l := sample.Lamp(nil)
	w := wiring.Of(l, wiring.Options{})
	c := PlanInput(l, &w)
	same := func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }
	if !same(c.Length, 380) || !same(c.Breadth, 280) || len(c.Rows) != 9 || !same(c.Rows[0].X, 15) || math.Abs(c.Rows[8].Y-(280-280.0/18)) > 1e-9 {
		t.Errorf("plan of %.1f × %.1f mm with %d rows from x %.1f, last at y %.2f", c.Length, c.Breadth, len(c.Rows), c.Rows[0].X, c.Rows[8].Y)
	}
	if n := len(c.Rows[0].LEDs); n != 6 || math.Abs(c.Rows[0].LEDs[0].At-1000.0/120/2) > 1e-9 {
		t.Errorf("%d LEDs in a unit, the first at %.3f mm; want 6 from half a pitch", n, c.Rows[0].LEDs[0].At)
	}
	two := sample.Lamp(sample.Twin)
	if leds := PlanInput(two, nil).Rows[0].LEDs; len(leds) != 12 || leds[1].Channel != 1 {
		t.Errorf("two-channel unit has %d LEDs", len(leds))
	}
}
