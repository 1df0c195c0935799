package cli

import (
	"fmt"
	"math"

	"dawnsmith/bench/measure"
	"dawnsmith/internal/file"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
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

// reading parses "1000 lx ± 1 %"; a reading without ± gets rel of itself as
// its standard uncertainty.
func reading(flag, text string, d quantity.Dimension, rel float64) (quantity.Value, error) {
	x, u, has, err := quantity.ParseUncertain(text, d)
	if err != nil {
		return quantity.Value{}, input(fmt.Errorf("%s: %w", flag, err))
	}
	if !has {
		u = rel * math.Abs(x)
	}
	return quantity.Measured(x, u, "reading "+flag), nil
}

// finish shows the part's values and writes it.
func (e *env) finish(g gauged, set part.Set, rows [][2]string) error {
	if g.Out != "" {
		set.Schema = 1
		if _, err := file.SaveParts(g.Out, set, "Measured at the bench. Lay it over the catalogue with --parts.", file.Overwrite()); err != nil {
			return err
		}
	}
	if e.json {
		m := map[string]string{"id": g.ID}
		for _, r := range rows {
			m[r[0]] = r[1]
		}
		return e.writeJSON(m)
	}
	for _, r := range rows {
		fmt.Fprintf(e.Out, "%-28s %s\n", r[0], r[1])
	}
	if g.Out != "" {
		fmt.Fprintf(e.Out, "\nWritten to %s; use it with --parts %s.\n", g.Out, g.Out)
	}
	return nil
}

const eyeCare = "Eyes: laser of class 2 at most, never towards eyes, mind its reflections; do not look into bare LEDs or a bright beam."

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
	if v.How {
		fmt.Fprintln(e.Out, `Sheet, with an illuminance meter and light from all sides (the finished box, or an overcast sky):
  1. read without the sheet, with one sheet laid on the dome, with two sheets; each three times, nothing else moved;
  2. read without the sheet again: if it changed by more than 1 %, begin anew;
  3. clear share: haze from the datasheet, or hold the sheet at box depth over one LED: a sharp chip means it is above 0;
  4. lobe: laser squarely through the sheet onto a wall in the dark; mark where the spot has half its brightness.
`+eyeCare)
		return nil
	}
	a, err := e.app()
	if err != nil {
		return err
	}
	s, err := part.Find(a.Parts.Sheets, "sheet", v.ID)
	if err != nil {
		return input(err)
	}
	var rows [][2]string
	if v.With != "" || v.Without != "" {
		with, err := reading("--with", v.With, quantity.Illuminance, 0.01)
		if err != nil {
			return err
		}
		without, err := reading("--without", v.Without, quantity.Illuminance, 0.01)
		if err != nil {
			return err
		}
		var two *quantity.Value
		if v.Two != "" {
			t, err := reading("--two", v.Two, quantity.Illuminance, 0.01)
			if err != nil {
				return err
			}
			two = &t
		}
		if s, err = measure.Sheet(s, with, without, two, optics.FilmOrOpal); err != nil {
			return input(err)
		}
		rows = append(rows, [2]string{"transmittance", s.Transmittance.String()}, [2]string{"reflectance", s.Reflectance.String()},
			[2]string{"absorptance", quantity.Digits(s.Absorptance(), 2)})
	}
	if v.Haze != "" {
		h, err := reading("--haze", v.Haze, quantity.Ratio, 0.01)
		if err != nil {
			return err
		}
		if s.Clear, err = optics.UnscatteredFromHaze(h); err != nil {
			return input(err)
		}
		rows = append(rows, [2]string{"clear share", s.Clear.String()})
	}
	if v.Spot != "" {
		w, err := reading("--spot", v.Spot, quantity.Length, 0.05)
		if err != nil {
			return err
		}
		q, err := reading("--distance", v.Distance, quantity.Length, 0.01)
		if err != nil {
			return err
		}
		disc := optics.HalfDisc
		if v.Quarter {
			disc = optics.QuarterDisc
		}
		if s.LobeWidth, err = optics.LobeFromLaserDisc(w, q, disc); err != nil {
			return input(err)
		}
		rows = append(rows, [2]string{"lobe width (FWHM)", quantity.FormatValue(s.LobeWidth, quantity.Angle)})
		if s.Lobe == 0 {
			s.Lobe = 1 - s.Clear.X
			rows = append(rows, [2]string{"lobe share (assumed)", quantity.Digits(s.Lobe, 2)})
		}
	}
	if len(rows) == 0 {
		return input(fmt.Errorf("no reading given; \"dawnsmith gauge sheet %s --how\" says how to take them", v.ID))
	}
	if err := s.Check(); err != nil {
		return input(err)
	}
	return e.finish(v.gauged, part.Set{Sheets: []part.Sheet{s}}, rows)
}

type gaugeLining struct {
	gauged
	Lining   string `placeholder:"LX" help:"Lux facing the lining at about 50 mm under even light (matt linings)."`
	Paper    string `placeholder:"LX" help:"The same with plain white copy paper in its place."`
	Mirrored string `placeholder:"LX" help:"Lux of a lamp's beam over the lining (mirror linings)."`
	Direct   string `placeholder:"LX" help:"The same path length without the lining."`
}

func (v *gaugeLining) Run(e *env) error {
	if v.How {
		fmt.Fprintln(e.Out, `Lining, with an illuminance meter:
  matt: face the surface at about 50 mm under even light, then plain white copy paper in its place;
  mirror: send a lamp's beam over the lining into the meter, then straight over the same length of path.
Each three times; shade the meter from everything else. `+eyeCare)
		return nil
	}
	a, err := e.app()
	if err != nil {
		return err
	}
	l, err := part.Find(a.Parts.Linings, "lining", v.ID)
	if err != nil {
		return input(err)
	}
	make := measure.Lining
	first, second, f1, f2 := v.Lining, v.Paper, "--lining", "--paper"
	if v.Mirrored != "" {
		make, first, second, f1, f2 = measure.MirrorLining, v.Mirrored, v.Direct, "--mirrored", "--direct"
	}
	x, err := reading(f1, first, quantity.Illuminance, 0.02)
	if err != nil {
		return err
	}
	y, err := reading(f2, second, quantity.Illuminance, 0.02)
	if err != nil {
		return err
	}
	if l, err = make(l, x, y); err != nil {
		return input(err)
	}
	return e.finish(v.gauged, part.Set{Linings: []part.Lining{l}}, [][2]string{{"reflectance", l.Reflectance.String()}})
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
	if v.How {
		fmt.Fprintln(e.Out, `Strip inspection, one piece of two to six cut units:
  1. note reel, batch and position; lay the piece on a cool metal plate, feed it at its nominal voltage, within 2 %;
  2. read volts at its pads and amperes into it within the first half minute (it draws more when warm);
  3. in the dark, read lux squarely in front at five times its length or more, then with the piece covered: take that off;
  4. lumens follow from candela as for an even plane emitter (π times the intensity straight ahead).
`+eyeCare)
		return nil
	}
	a, err := e.app()
	if err != nil {
		return err
	}
	s, err := part.Find(a.Parts.Strips, "strip", v.ID)
	if err != nil {
		return input(err)
	}
	ch := 0
	for i, c := range s.Channels {
		if c.Name == v.Channel {
			ch = i
		}
	}
	if v.Channel != "" && s.Channels[ch].Name != v.Channel {
		return input(fmt.Errorf("--channel is %q; strip %q has %q", v.Channel, s.ID, s.Channels[0].Name))
	}
	length, err := quantity.Parse(v.Length, quantity.Length)
	if err != nil {
		return input(fmt.Errorf("--length: %w", err))
	}
	if !(length > 0 && length <= 5) {
		return input(fmt.Errorf("--length is %s; allowed is above 0 to 5 m", v.Length))
	}
	var rows [][2]string
	if v.Volts != "" || v.Amps != "" {
		volts, err := reading("--volts", v.Volts, quantity.Voltage, 0.005)
		if err != nil {
			return err
		}
		amps, err := reading("--amps", v.Amps, quantity.Current, 0.01)
		if err != nil {
			return err
		}
		if s, err = measure.StripPower(s, ch, volts, amps, length); err != nil {
			return input(err)
		}
		p := s.Channels[ch].MeasuredPower
		rows = append(rows, [2]string{"power", quantity.FormatValue(p, quantity.PowerPerLength)},
			[2]string{"against the label", fmt.Sprintf("%+.0f %%", 100*(p.X/s.Channels[ch].Power.X-1))})
	}
	if v.Lux != "" {
		lux, err := reading("--lux", v.Lux, quantity.Illuminance, 0.03)
		if err != nil {
			return err
		}
		d, err := reading("--distance", v.Distance, quantity.Length, 0.005)
		if err != nil {
			return err
		}
		if d.X < 5*length {
			return input(fmt.Errorf("--distance is %s, the piece %s long; inverse square needs five times the length or more: move the meter away or light a shorter piece", v.Distance, v.Length))
		}
		// Φ = π·E·d² of a plane emitter whose intensity falls as the cosine.
		perMetre := lux.Mul(d).Mul(d).Scale(math.Pi / length)
		perMetre = perMetre.Add(quantity.Measured(0, 0.03*perMetre.X, "strip's beam against the cosine law"))
		// The part's flux is that at the label's power; lumens go nearly as watts.
		if m := s.Channels[ch].MeasuredPower; m.X > 0 {
			perMetre = perMetre.Scale(math.Pow(s.Channels[ch].Power.X/m.X, 0.95))
		}
		if s, err = measure.StripFlux(s, ch, perMetre); err != nil {
			return input(err)
		}
		rows = append(rows, [2]string{"flux at the label's power", quantity.FormatValue(perMetre, quantity.FluxPerLength)})
	}
	if len(rows) == 0 {
		return input(fmt.Errorf("no reading given; \"dawnsmith gauge strip %s --how\" says how to take them", v.ID))
	}
	return e.finish(v.gauged, part.Set{Strips: []part.Strip{s}}, rows)
}

type gaugeSupply struct {
	gauged
	Open   string `placeholder:"V" help:"Volts without a load."`
	Loaded string `placeholder:"V" help:"Volts under load, at the supply's plug."`
	Amps   string `placeholder:"A" help:"The load's current."`
}

func (v *gaugeSupply) Run(e *env) error {
	if v.How {
		fmt.Fprintln(e.Out, `Supply: measure at its low-voltage plug only, without a load and then with the lamp on; never open it.`)
		return nil
	}
	a, err := e.app()
	if err != nil {
		return err
	}
	s, err := part.Find(a.Parts.Supplies, "supply", v.ID)
	if err != nil {
		return input(err)
	}
	open, err := reading("--open", v.Open, quantity.Voltage, 0.003)
	if err != nil {
		return err
	}
	var loaded, amps *quantity.Value
	if v.Loaded != "" || v.Amps != "" {
		x, err := reading("--loaded", v.Loaded, quantity.Voltage, 0.003)
		if err != nil {
			return err
		}
		y, err := reading("--amps", v.Amps, quantity.Current, 0.01)
		if err != nil {
			return err
		}
		loaded, amps = &x, &y
	}
	if s, err = measure.Supply(s, open, loaded, amps); err != nil {
		return input(err)
	}
	return e.finish(v.gauged, part.Set{Supplies: []part.Supply{s}}, [][2]string{
		{"open voltage", quantity.FormatValue(s.Voltage, quantity.Voltage)}, {"output resistance", quantity.Format(s.Resistance, quantity.Resistance, 2)}})
}
