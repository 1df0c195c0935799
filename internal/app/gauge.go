package app

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"dawnsmith/bench/measure"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// Gauge is a bench procedure that turns readings into the values of a part.
type Gauge struct {
	Kind  string // of part: "sheet", "lining", "strip" or "supply"
	Title string
	// How says step by step how to take the readings, Care what to mind.
	How  []string
	Care string
	// Readings are what may be filled in.
	Readings []GaugeReading
	run      func(part.Set, string, readings) (Gauged, error)
}

// GaugeReading is one thing to fill in. Key is its name in an address and, as a
// flag, on the command line.
type GaugeReading struct {
	Key, Name, Hint string
	Dim             quantity.Dimension
	// Unsure is the relative standard uncertainty of a reading given without
	// one.
	Unsure float64
	// Tick is yes or no; Word is a name.
	Tick, Word bool
}

// Gauged is the part with its measured values.
type Gauged struct {
	ID string
	// Values are what the readings gave, in words.
	Values []GaugedValue
	// Set holds the part alone, to lay over the catalogue.
	Set part.Set
}

// GaugedValue is one value of the part.
type GaugedValue struct{ Name, Text string }

// GaugeError says which reading cannot be used.
type GaugeError struct {
	Key string // of the reading; "" for the whole
	Err error
}

// Error puts the reading first.
func (e *GaugeError) Error() string {
	if e.Key == "" {
		return e.Err.Error()
	}
	return "--" + e.Key + ": " + e.Err.Error()
}

// Unwrap gives the cause.
func (e *GaugeError) Unwrap() error { return e.Err }

const eyeCare = "Eyes: laser of class 2 at most, never towards eyes, mind its reflections; do not look into bare LEDs or a bright beam."

// Gauges lists the procedures.
func Gauges() []Gauge {
	lux := func(key, name, hint string, unsure float64) GaugeReading {
		return GaugeReading{Key: key, Name: name, Hint: hint, Dim: quantity.Illuminance, Unsure: unsure}
	}
	return []Gauge{
		{Kind: "sheet", Title: "Sheet, with an illuminance meter and light from all sides (the finished box, or an overcast sky)",
			How: []string{
				"read without the sheet, with one sheet laid on the dome, with two sheets; each three times, nothing else moved",
				"read without the sheet again: if it changed by more than 1 %, begin anew",
				"clear share: haze from the datasheet, or hold the sheet at box depth over one LED: a sharp chip means it is above 0",
				"lobe: laser squarely through the sheet onto a wall in the dark; mark where the spot has half its brightness",
			}, Care: eyeCare, run: gaugeSheet,
			Readings: []GaugeReading{
				lux("without", "lux without the sheet", "under the finished box or an overcast sky", 0.01),
				lux("with", "lux with one sheet", "laid on the meter's dome", 0.01),
				lux("two", "lux with two sheets", "gives the reflectance", 0.01),
				{Key: "haze", Name: "haze by its datasheet", Hint: "ASTM D1003; gives the clear share", Dim: quantity.Ratio, Unsure: 0.01},
				{Key: "spot", Name: "diameter of the laser's spot", Hint: "of the half-brightness disc on the wall; gives the lobe", Dim: quantity.Length, Unsure: 0.05},
				{Key: "quarter", Name: "the disc was marked at a quarter of the brightness", Tick: true},
				{Key: "distance", Name: "from the sheet to the wall", Hint: "for the spot", Dim: quantity.Length, Unsure: 0.01},
			}},
		{Kind: "lining", Title: "Lining, with an illuminance meter",
			How: []string{
				"matt: face the surface at about 50 mm under even light, then plain white copy paper in its place",
				"mirror: send a lamp's beam over the lining into the meter, then straight over the same length of path",
				"each three times; shade the meter from everything else",
			}, Care: eyeCare, run: gaugeLining,
			Readings: []GaugeReading{
				lux("lining", "lux facing the lining", "at about 50 mm under even light (matt linings)", 0.02),
				lux("paper", "lux facing white copy paper", "in its place", 0.02),
				lux("mirrored", "lux of a beam over the lining", "mirror linings", 0.02),
				lux("direct", "lux of the beam itself", "the same path length without the lining", 0.02),
			}},
		{Kind: "strip", Title: "Strip inspection, one piece of two to six cut units",
			How: []string{
				"note reel, batch and position; lay the piece on a cool metal plate, feed it at its nominal voltage, within 2 %",
				"read volts at its pads and amperes into it within the first half minute (it draws more when warm)",
				"in the dark, read lux squarely in front at five times its length or more, then with the piece covered: take that off",
				"lumens follow from candela as for an even plane emitter (π times the intensity straight ahead)",
			}, Care: eyeCare, run: gaugeStrip,
			Readings: []GaugeReading{
				{Key: "channel", Name: "channel", Hint: "by name; empty: the first", Word: true},
				{Key: "length", Name: "length of the lit piece", Dim: quantity.Length, Unsure: 0},
				{Key: "volts", Name: "volts at the piece", Dim: quantity.Voltage, Unsure: 0.005},
				{Key: "amps", Name: "current into the piece", Hint: "at these volts", Dim: quantity.Current, Unsure: 0.01},
				lux("lux", "lux squarely in front", "in the dark, background taken off", 0.03),
				{Key: "distance", Name: "from the piece to the meter", Hint: "at least five times its length", Dim: quantity.Length, Unsure: 0.005},
			}},
		{Kind: "supply", Title: "Supply, at its low-voltage plug only",
			How:  []string{"measure without a load and then with the lamp on; never open it"},
			Care: "Stay on the low-voltage side; a supply that is warm, hums or has a damaged cable goes back to its seller.", run: gaugeSupply,
			Readings: []GaugeReading{
				{Key: "open", Name: "volts without a load", Dim: quantity.Voltage, Unsure: 0.003},
				{Key: "loaded", Name: "volts under load", Hint: "at the supply's plug", Dim: quantity.Voltage, Unsure: 0.003},
				{Key: "amps", Name: "the load's current", Dim: quantity.Current, Unsure: 0.01},
			}},
	}
}

// GaugeOf finds the procedure for a kind of part.
func GaugeOf(kind string) (Gauge, bool) {
	for _, g := range Gauges() {
		if g.Kind == kind {
			return g, true
		}
	}
	return Gauge{}, false
}

// ErrNoReading means that nothing was filled in.
var ErrNoReading = errors.New("no reading given")

// Run turns readings, by key as they were written ("1000 lx ± 1 %"), into the
// values of the part id of a catalogue. The error is a *GaugeError where a
// reading is at fault, and wraps ErrNoReading when there is none.
func (g Gauge) Run(parts part.Set, id string, texts map[string]string) (Gauged, error) {
	r := readings{map[string]quantity.Value{}, map[string]string{}}
	for _, f := range g.Readings {
		text := strings.TrimSpace(texts[f.Key])
		if text == "" {
			continue
		}
		if f.Tick || f.Word {
			r.words[f.Key] = text
			continue
		}
		x, u, has, err := quantity.ParseUncertain(text, f.Dim)
		if err != nil {
			return Gauged{}, &GaugeError{f.Key, err}
		}
		if !has {
			u = f.Unsure * math.Abs(x)
		}
		r.values[f.Key] = quantity.Measured(x, u, "reading --"+f.Key)
	}
	out, err := g.run(parts, id, r)
	out.ID = id
	if err == nil && len(out.Values) == 0 {
		err = ErrNoReading
	}
	return out, err
}

// readings are what was filled in.
type readings struct {
	values map[string]quantity.Value
	words  map[string]string
}

func (r readings) has(keys ...string) bool {
	for _, k := range keys {
		if _, ok := r.values[k]; ok {
			return true
		}
	}
	return false
}

// need gives a reading that another one makes necessary.
func (r readings) need(key string) (quantity.Value, error) {
	v, ok := r.values[key]
	if !ok {
		return v, &GaugeError{key, errors.New("this reading is missing; the others need it")}
	}
	return v, nil
}

func (r readings) maybe(key string) *quantity.Value {
	if v, ok := r.values[key]; ok {
		return &v
	}
	return nil
}

func (g *Gauged) say(name, text string) { g.Values = append(g.Values, GaugedValue{name, text}) }

func gaugeSheet(parts part.Set, id string, r readings) (out Gauged, err error) {
	s, err := part.Find(parts.Sheets, "sheet", id)
	if err != nil {
		return out, err
	}
	if r.has("with", "without", "two") {
		with, err := r.need("with")
		if err != nil {
			return out, err
		}
		without, err := r.need("without")
		if err != nil {
			return out, err
		}
		if s, err = measure.Sheet(s, with, without, r.maybe("two"), optics.FilmOrOpal); err != nil {
			return out, err
		}
		out.say("transmittance", s.Transmittance.String())
		out.say("reflectance", s.Reflectance.String())
		out.say("absorptance", quantity.Digits(s.Absorptance(), 2))
	}
	if h := r.maybe("haze"); h != nil {
		if s.Clear, err = optics.UnscatteredFromHaze(*h); err != nil {
			return out, err
		}
		out.say("clear share", s.Clear.String())
	}
	if w := r.maybe("spot"); w != nil {
		q, err := r.need("distance")
		if err != nil {
			return out, err
		}
		disc := optics.HalfDisc
		if r.words["quarter"] != "" {
			disc = optics.QuarterDisc
		}
		if s.LobeWidth, err = optics.LobeFromLaserDisc(*w, q, disc); err != nil {
			return out, err
		}
		out.say("lobe width (FWHM)", quantity.FormatValue(s.LobeWidth, quantity.Angle))
		if s.Lobe == 0 {
			s.Lobe = 1 - s.Clear.X
			out.say("lobe share (assumed)", quantity.Digits(s.Lobe, 2))
		}
	}
	out.Set = part.Set{Sheets: []part.Sheet{s}}
	return out, s.Check()
}

func gaugeLining(parts part.Set, id string, r readings) (out Gauged, err error) {
	l, err := part.Find(parts.Linings, "lining", id)
	if err != nil || !r.has("lining", "paper", "mirrored", "direct") {
		return out, err
	}
	how, first, second := measure.Lining, "lining", "paper"
	if r.has("mirrored", "direct") {
		how, first, second = measure.MirrorLining, "mirrored", "direct"
	}
	x, err := r.need(first)
	if err != nil {
		return out, err
	}
	y, err := r.need(second)
	if err != nil {
		return out, err
	}
	if l, err = how(l, x, y); err != nil {
		return out, err
	}
	out.say("reflectance", l.Reflectance.String())
	out.Set = part.Set{Linings: []part.Lining{l}}
	return out, nil
}

func gaugeStrip(parts part.Set, id string, r readings) (out Gauged, err error) {
	s, err := part.Find(parts.Strips, "strip", id)
	if err != nil || !r.has("volts", "amps", "lux", "distance") {
		return out, err
	}
	ch := 0
	if want := r.words["channel"]; want != "" {
		ch = -1
		var names []string
		for i, c := range s.Channels {
			names = append(names, fmt.Sprintf("%q", c.Name))
			if c.Name == want {
				ch = i
			}
		}
		if ch < 0 {
			return out, &GaugeError{"channel", fmt.Errorf("found %q; strip %q has %s", want, s.ID, strings.Join(names, " and "))}
		}
	}
	piece, err := r.need("length")
	if err != nil {
		return out, err
	}
	length := piece.X
	if !(length > 0 && length <= 5) {
		return out, &GaugeError{"length", fmt.Errorf("found %s; allowed is above 0 to 5 m", quantity.Format(length, quantity.Length, 4))}
	}
	if r.has("volts", "amps") {
		volts, err := r.need("volts")
		if err != nil {
			return out, err
		}
		amps, err := r.need("amps")
		if err != nil {
			return out, err
		}
		if s, err = measure.StripPower(s, ch, volts, amps, length); err != nil {
			return out, err
		}
		p := s.Channels[ch].MeasuredPower
		out.say("power", quantity.FormatValue(p, quantity.PowerPerLength))
		out.say("against the label", fmt.Sprintf("%+.0f %%", 100*(p.X/s.Channels[ch].Power.X-1)))
	}
	if r.has("lux") {
		lux, d := r.values["lux"], quantity.Value{}
		if d, err = r.need("distance"); err != nil {
			return out, err
		}
		if d.X < 5*length {
			return out, &GaugeError{"distance", fmt.Errorf("found %s, and the piece is %s long; inverse square needs five times the length or more: move the meter away or light a shorter piece",
				quantity.Format(d.X, quantity.Length, 4), quantity.Format(length, quantity.Length, 4))}
		}
		// Φ = π·E·d² of a plane emitter whose intensity falls as the cosine.
		perMetre := lux.Mul(d).Mul(d).Scale(math.Pi / length)
		perMetre = perMetre.Add(quantity.Measured(0, 0.03*perMetre.X, "strip's beam against the cosine law"))
		// The part's flux is that at the label's power; lumens go nearly as watts.
		if m := s.Channels[ch].MeasuredPower; m.X > 0 {
			perMetre = perMetre.Scale(math.Pow(s.Channels[ch].Power.X/m.X, 0.95))
		}
		if s, err = measure.StripFlux(s, ch, perMetre); err != nil {
			return out, err
		}
		out.say("flux at the label's power", quantity.FormatValue(perMetre, quantity.FluxPerLength))
	}
	out.Set = part.Set{Strips: []part.Strip{s}}
	return out, nil
}

func gaugeSupply(parts part.Set, id string, r readings) (out Gauged, err error) {
	s, err := part.Find(parts.Supplies, "supply", id)
	if err != nil || !r.has("open", "loaded", "amps") {
		return out, err
	}
	open, err := r.need("open")
	if err != nil {
		return out, err
	}
	var loaded, amps *quantity.Value
	if r.has("loaded", "amps") {
		for _, k := range []string{"loaded", "amps"} {
			if _, err := r.need(k); err != nil {
				return out, err
			}
		}
		loaded, amps = r.maybe("loaded"), r.maybe("amps")
	}
	if s, err = measure.Supply(s, open, loaded, amps); err != nil {
		return out, err
	}
	out.say("open voltage", quantity.FormatValue(s.Voltage, quantity.Voltage))
	if loaded != nil {
		out.say("output resistance", quantity.Format(s.Resistance, quantity.Resistance, 2))
	}
	out.Set = part.Set{Supplies: []part.Supply{s}}
	return out, nil
}
