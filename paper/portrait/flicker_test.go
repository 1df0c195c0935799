package portrait

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dawnsmith/light/flicker"
	"dawnsmith/paper/draw"
)

// A dimmer's pulses: the stretch drawn holds four periods and the spectrum its
// lines and both levels.
func TestFlickerPictures(t *testing.T) {
	w, err := flicker.Shape{Form: flicker.Square, Frequency: 400, Duty: 0.3, Edge: 20e-6}.Sampled(1)
	if err != nil {
		t.Fatal(err)
	}
	r, err := flicker.Measure(w)
	if err != nil {
		t.Fatal(err)
	}
	for name, s := range map[string]draw.Scene{
		"waveform":  Waveform(w, r, "Light in time"),
		"unwatched": Waveform(w, nil, "Light in time"),
		"spectrum":  WaveSpectrum(r, "Its frequencies"),
	} {
		var b strings.Builder
		if err := draw.SVG(&b, s, draw.SVGOptions{}); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(b.String(), "NaN") {
			t.Errorf("%s: a NaN in the picture", name)
		}
		words := fmt.Sprint(s.Labels())
		for _, want := range map[string][]string{
			"waveform":  {"2.50 ms", "mean 1.0", "100.0 % flicker"},
			"unwatched": {"mean 1.0"},
			"spectrum":  {"repeats at 400 Hz", "low risk ends", "no observable effect ends"},
		}[name] {
			if !strings.Contains(words, want) {
				t.Errorf("%s: no %q in %s", name, want, words)
			}
		}
		if dir := os.Getenv("DAWNSMITH_PORTRAITS"); dir != "" {
			f, err := os.Create(filepath.Join(dir, "flicker-"+name+".png"))
			if err != nil {
				t.Fatal(err)
			}
			if err := draw.PNG(f, s, draw.PNGOptions{Palette: draw.Print(), PerMM: 5}); err != nil {
				t.Fatal(err)
			}
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
		}
	}
}
