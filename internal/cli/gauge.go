package cli

import (
	"errors"
	"fmt"

	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
)

// gaugeVerb turns bench readings into part values with their uncertainty.
type gaugeVerb struct {
	Sheet  gaugeSheet  `cmd:"" help:"Transmittance, reflectance, clear share and lobe of a sheet."`
	Lining gaugeLining `cmd:"" help:"Reflectance of a lining."`
	Strip  gaugeStrip  `cmd:"" help:"Watts and lumens a metre of a strip."`
	Supply gaugeSupply `cmd:"" help:"Open voltage and output resistance of a supply."`
}

// gauged is what all gauges share.
type gauged struct {
	ID  string `arg:"" help:"The part's id in the catalogue."`
	Out string `short:"o" placeholder:"FILE" help:"Write the part with its measured values to this parts file."`
	How bool   `help:"Say how to take the readings, and stop."`
}

// gauge runs the procedure of a kind of part.
func (e *env) gauge(g gauged, kind string, texts map[string]string) error {
	how, _ := app.GaugeOf(kind)
	if g.How {
		fmt.Fprintf(e.Out, "%s:\n", how.Title)
		for i, step := range how.How {
			fmt.Fprintf(e.Out, "  %d. %s;\n", i+1, step)
		}
		fmt.Fprintln(e.Out, how.Care)
		return nil
	}
	a, err := e.app()
	if err != nil {
		return err
	}
	got, err := how.Run(a.Parts, g.ID, texts)
	if errors.Is(err, app.ErrNoReading) {
		return input(fmt.Errorf("%w; \"dawnsmith gauge %s %s --how\" says how to take them", err, kind, g.ID))
	}
	if err != nil {
		return input(err)
	}
	if g.Out != "" {
		got.Set.Schema = 1
		if _, err := file.SaveParts(g.Out, got.Set, "Measured at the bench. Lay it over the catalogue with --parts.", file.Overwrite()); err != nil {
			return err
		}
	}
	if e.json {
		m := map[string]string{"id": g.ID}
		for _, v := range got.Values {
			m[v.Name] = v.Text
		}
		return e.writeJSON(m)
	}
	for _, v := range got.Values {
		fmt.Fprintf(e.Out, "%-28s %s\n", v.Name, v.Text)
	}
	if g.Out != "" {
		fmt.Fprintf(e.Out, "\nWritten to %s; use it with --parts %s.\n", g.Out, g.Out)
	}
	return nil
}

type gaugeSheet struct {
	gauged
	Without  string `placeholder:"LX" help:"Lux on the meter without the sheet, under the finished box or an overcast sky."`
	With     string `placeholder:"LX" help:"Lux with one sheet laid on the meter's dome."`
	Two      string `placeholder:"LX" help:"Lux with two sheets: gives the reflectance."`
	Haze     string `placeholder:"%" help:"Haze by its datasheet (ASTM D1003): gives the clear share."`
	Spot     string `placeholder:"MM" help:"Diameter of the laser's half-brightness disc on the wall: gives the lobe."`
	Quarter  bool   `help:"The disc was marked at a quarter of the brightness."`
	Distance string `placeholder:"MM" help:"From the sheet to the wall, for --spot."`
}

func (v *gaugeSheet) Run(e *env) error {
	texts := map[string]string{"without": v.Without, "with": v.With, "two": v.Two, "haze": v.Haze, "spot": v.Spot, "distance": v.Distance}
	if v.Quarter {
		texts["quarter"] = "yes"
	}
	return e.gauge(v.gauged, "sheet", texts)
}

type gaugeLining struct {
	gauged
	Lining   string `placeholder:"LX" help:"Lux facing the lining at about 50 mm under even light (matt linings)."`
	Paper    string `placeholder:"LX" help:"The same with plain white copy paper in its place."`
	Mirrored string `placeholder:"LX" help:"Lux of a lamp's beam over the lining (mirror linings)."`
	Direct   string `placeholder:"LX" help:"The same path length without the lining."`
}

func (v *gaugeLining) Run(e *env) error {
	return e.gauge(v.gauged, "lining", map[string]string{"lining": v.Lining, "paper": v.Paper, "mirrored": v.Mirrored, "direct": v.Direct})
}

type gaugeStrip struct {
	gauged
	Channel  string `help:"Which channel, by name; left out: the first."`
	Length   string `placeholder:"MM" help:"Length of the lit piece."`
	Volts    string `placeholder:"V" help:"Volts at the piece."`
	Amps     string `placeholder:"A" help:"Current into the piece at these volts."`
	Lux      string `placeholder:"LX" help:"Lux squarely in front of the piece in the dark, background taken off."`
	Distance string `placeholder:"MM" help:"From the piece to the meter: at least five times its length."`
}

func (v *gaugeStrip) Run(e *env) error {
	return e.gauge(v.gauged, "strip", map[string]string{"channel": v.Channel, "length": v.Length, "volts": v.Volts, "amps": v.Amps, "lux": v.Lux, "distance": v.Distance})
}

type gaugeSupply struct {
	gauged
	Open   string `placeholder:"V" help:"Volts without a load."`
	Loaded string `placeholder:"V" help:"Volts under load, at the supply's plug."`
	Amps   string `placeholder:"A" help:"The load's current."`
}

func (v *gaugeSupply) Run(e *env) error {
	return e.gauge(v.gauged, "supply", map[string]string{"open": v.Open, "loaded": v.Loaded, "amps": v.Amps})
}
