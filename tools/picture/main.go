// Command picture draws the README's picture, a tray and the spectrum of its
// light, from the worked lamp of the catalogue:
//
//	go run ./tools/picture > docs/lamp.svg
package main

import (
	"bufio"
	"fmt"
	"os"

	"dawnsmith/internal/catalogue"
	"dawnsmith/lamp"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/wiring"
	"dawnsmith/light/spectrum"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
	"dawnsmith/paper/portrait"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "picture:", err)
		os.Exit(1)
	}
}

func run() error {
	l, err := lamp.Build(catalogue.FirstLamp(), catalogue.Starter())
	if err != nil {
		return err
	}
	r, err := predict.Lamp(l)
	if err != nil {
		return err
	}
	w := wiring.Of(l, wiring.Options{})
	plan := portrait.TrayPlan(l, &w)
	s := figure.Series{Name: "at the eye"}
	for i := range r.Spectrum {
		s.X = append(s.X, spectrum.Wavelength(i))
		s.Y = append(s.Y, r.Spectrum[i]*1000)
	}
	light := figure.Spectrum(figure.SpectrumChart{
		Frame:  figure.Frame{Title: "Light at the eye", Width: plan.Width, Height: 70},
		Y:      figure.Axis{Name: "irradiance", Unit: "mW/(m² nm)"},
		Series: []figure.Series{s},
	})
	both := draw.NewScene(max(plan.Width, light.Width), plan.Height+light.Height+4, "A lamp of nine rows and its spectrum", "Plan of the tray with rows, buses and dimensions; below it the spectrum of the light at the eye.")
	both.Place(plan, 0, 0, 1)
	both.Place(light, 0, plan.Height+4, 1)
	out := bufio.NewWriter(os.Stdout)
	if err := draw.SVG(out, both, draw.SVGOptions{Ground: true}); err != nil {
		return err
	}
	return out.Flush()
}
