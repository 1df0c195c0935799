package portrait

import (
	"os"
	"path/filepath"
	"testing"

	"dawnsmith/lamp"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/internal/sample"
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
