package part

import (
	"fmt"
	"math"

	"dawnsmith/quantity"
)

// Drive is how a strip limits its current.
type Drive string

const (
	// Resistor strips have a series resistor in every cut unit.
	Resistor Drive = "resistor"
	// ConstantCurrent strips have a regulating circuit in every cut unit.
	ConstantCurrent Drive = "constant-current"
)

// Pump is the colour of the chip under the phosphor.
type Pump string

const (
	// BluePump chips emit near 450 nm.
	BluePump Pump = "blue"
	// VioletPump chips emit near 415 nm under a broad phosphor blend.
	VioletPump Pump = "violet"
)

// Strip is an LED strip of one or two channels. The two channels of a strip
// share the plus rail and have a minus rail each.
type Strip struct {
	Item
	Drive    Drive   `doc:"drive,required"`                    // how current is limited
	Voltage  float64 `doc:"voltage,required" dim:"voltage"`    // nominal, V
	LEDs     float64 `doc:"leds,required" dim:"per-length"`    // LEDs of ONE channel per metre, 1/m
	Series   int     `doc:"series,required"`                   // LEDs in series in one string
	Cut      float64 `doc:"cut,required" dim:"length"`         // smallest cut length, m
	Reel     float64 `doc:"reel,required" dim:"length"`        // length of a reel, m
	Joint    float64 `doc:"joint_every" dim:"length"`          // between factory joints, m; 0: none
	JointR   float64 `doc:"joint_resistance" dim:"resistance"` // per rail and joint, Ω
	Width    float64 `doc:"width,required" dim:"length"`       // of the board, m
	Height   float64 `doc:"height,required" dim:"length"`      // emitting face over the tray floor, m
	Copper   float64 `doc:"copper_oz,required"`                // copper weight, oz/ft² (1 oz = 34.8 µm)
	Rail     float64 `doc:"rail_width,required" dim:"length"`  // width of one rail, m
	Beam     float64 `doc:"beam,required" dim:"angle"`         // full width at half intensity, rad
	Emitter  float64 `doc:"emitter_area,required" dim:"area"`  // luminous area of one LED, m²
	Mass     float64 `doc:"mass" dim:"linear-density"`         // kg/m; 0: 0.03 kg/m assumed
	Adhesive string  `doc:"adhesive"`                          // what holds it, in words
	// TapeLimit is the highest temperature the adhesive stands, K.
	TapeLimit float64 `doc:"tape_limit,required" dim:"temperature"`
	// Reflectance of the board's face between and under the LEDs, package
	// tops folded in by area; diffuse.
	Reflectance quantity.Value `doc:"board_reflectance,required" dim:"ratio" u:"0.04"`
	// JunctionR is the thermal resistance from LED pad to junction, K/W.
	JunctionR quantity.Value `doc:"junction_resistance" dim:"thermal-resistance" u:"25%"`
	// JunctionLimit is the highest junction temperature, K.
	JunctionLimit float64   `doc:"junction_limit,required" dim:"temperature"`
	Channels      []Channel `doc:"channel,required"` // one or two
}

// Channel is one colour of light of a strip.
type Channel struct {
	// Name is "white" for a single channel, "warm" and "cool" for two.
	Name string `doc:"name,required"`
	// Power by label at the nominal voltage, W/m.
	Power quantity.Value `doc:"power,required" dim:"power-per-length" u:"6%"`
	// MeasuredPower at the nominal voltage, W/m; 0: the label is believed.
	MeasuredPower quantity.Value `doc:"measured_power" dim:"power-per-length" u:"2%"`
	// Flux at the label's power, LED pads at 25 °C, bare strip, lm/m.
	Flux quantity.Value `doc:"flux,required" dim:"flux-per-length" u:"7%"`
	// CCT is the correlated colour temperature, K.
	CCT quantity.Value `doc:"cct,required" dim:"colour-temperature" u:"2.5%"`
	// Ra is the general colour rendering index by label.
	Ra float64 `doc:"ra,required"`
	// Pump is the chip's colour.
	Pump Pump `doc:"pump,required"`
	// Spectrum names a published spectrum that stands for the channel
	// ("LED-V2"); "" means that one is synthesised from CCT, Ra and Pump.
	Spectrum string `doc:"spectrum"`
	// Forward is the voltage of one LED at its rated current, V; 0: 2.9 V.
	Forward float64 `doc:"forward_voltage" dim:"voltage"`
	// FluxPerKelvin is the change of flux with junction temperature, 1/K.
	FluxPerKelvin quantity.Value `doc:"flux_per_kelvin" dim:"per-kelvin" u:"0.0005"`
}

// BestPower is the measured power where there is one, else the label's, W/m.
func (c Channel) BestPower() quantity.Value {
	if c.MeasuredPower.X > 0 {
		return c.MeasuredPower
	}
	return c.Power
}

// UnitsPerReel is the number of whole cut units on one reel.
func (s Strip) UnitsPerReel() int { return int(math.Floor(s.Reel/s.Cut + 1e-6)) }

// LEDsPerUnit is the number of LEDs of one channel in one cut unit.
func (s Strip) LEDsPerUnit() int { return int(math.Round(s.LEDs * s.Cut)) }

// Strings is the number of parallel series strings in one cut unit.
func (s Strip) Strings() int { return max(1, s.LEDsPerUnit()/max(1, s.Series)) }

// LabelPower is the power of all channels together by label, W/m.
func (s Strip) LabelPower() float64 {
	p := 0.0
	for _, c := range s.Channels {
		p += c.Power.X
	}
	return p
}

// Check returns a *Fault for the first field outside its range.
func (s Strip) Check() error {
	k, id := "strip", s.ID
	if err := s.Item.check(k); err != nil {
		return err
	}
	if s.Drive != Resistor && s.Drive != ConstantCurrent {
		return fault(k, id, "drive", fmt.Sprintf("%q", s.Drive), `"resistor" or "constant-current"`)
	}
	mm := func(x float64) string { return quantity.Format(x, quantity.Length, 4) }
	if err := first(
		within(k, id, "voltage", s.Voltage, 3, 60, quantity.Format(s.Voltage, quantity.Voltage, 4), "3 V to 60 V: strips are extra-low-voltage parts"),
		within(k, id, "leds", s.LEDs, 10, 1000, fmt.Sprint(s.LEDs)+" /m", "10 /m to 1000 /m"),
		within(k, id, "series", float64(s.Series), 1, 20, fmt.Sprint(s.Series), "1 to 20 LEDs in a string"),
		within(k, id, "cut", s.Cut, 0.004, 0.5, mm(s.Cut), "4 mm to 500 mm"),
		within(k, id, "reel", s.Reel, s.Cut, 200, mm(s.Reel), "from one cut length up to 200 m"),
		within(k, id, "joint_every", s.Joint, 0, 200, mm(s.Joint), "0 (none) to 200 m"),
		within(k, id, "joint_resistance", s.JointR, 0, 1, fmt.Sprint(s.JointR)+" Ω", "0 to 1 Ω"),
		within(k, id, "width", s.Width, 0.002, 0.05, mm(s.Width), "2 mm to 50 mm"),
		within(k, id, "height", s.Height, 0.0002, 0.02, mm(s.Height), "0.2 mm to 20 mm"),
		within(k, id, "copper_oz", s.Copper, 0.5, 6, fmt.Sprint(s.Copper), "0.5 to 6 oz"),
		within(k, id, "rail_width", s.Rail, 0.0003, s.Width/2, mm(s.Rail), "0.3 mm to half the strip's width"),
		within(k, id, "beam", s.Beam*180/math.Pi, 60, 160, quantity.Format(s.Beam, quantity.Angle, 3), "60° to 160°"),
		within(k, id, "emitter_area", s.Emitter, 1e-8, 1e-4, quantity.Format(s.Emitter, quantity.Area, 3), "0.01 mm² to 100 mm²"),
		within(k, id, "mass", s.Mass, 0, 0.5, fmt.Sprint(s.Mass*1e3)+" g/m", "0 to 500 g/m"),
		within(k, id, "tape_limit", s.TapeLimit, 303, 473, quantity.Format(s.TapeLimit, quantity.Temperature, 3), "30 °C to 200 °C"),
		within(k, id, "junction_limit", s.JunctionLimit, 333, 473, quantity.Format(s.JunctionLimit, quantity.Temperature, 3), "60 °C to 200 °C"),
		within(k, id, "board_reflectance", s.Reflectance.X, 0, 0.99, fmt.Sprint(s.Reflectance.X), "0 to 0.99"),
		within(k, id, "junction_resistance", s.JunctionR.X, 0, 200, fmt.Sprint(s.JunctionR.X)+" K/W", "0 to 200 K/W"),
		within(k, id, "channel", float64(len(s.Channels)), 1, 2, fmt.Sprint(len(s.Channels))+" channels", "one or two"),
	); err != nil {
		return err
	}
	if n := s.LEDs * s.Cut; math.Abs(n-math.Round(n)) > 0.02 || int(math.Round(n))%s.Series != 0 {
		return fault(k, id, "cut", fmt.Sprintf("%s, which holds %.2f LEDs per channel", mm(s.Cut), n),
			fmt.Sprintf("a length that holds a whole number of strings of %d LEDs, such as %s", s.Series, mm(float64(s.Series)/s.LEDs)))
	}
	seen := map[string]bool{}
	for _, c := range s.Channels {
		if err := c.check(id, s); err != nil {
			return err
		}
		if seen[c.Name] {
			return fault(k, id, "channel name", fmt.Sprintf("%q twice", c.Name), "a name for each channel")
		}
		seen[c.Name] = true
	}
	return nil
}

func (c Channel) check(id string, s Strip) error {
	k := "strip"
	if c.Name == "" {
		return fault(k, id, "channel name", "nothing", `"white", "warm" or "cool"`)
	}
	if c.Pump != BluePump && c.Pump != VioletPump {
		return fault(k, id, "pump", fmt.Sprintf("%q", c.Pump), `"blue" or "violet"`)
	}
	fwd := c.ForwardVoltage()
	return first(
		within(k, id, "power", c.Power.X, 0.5, 60, fmt.Sprint(c.Power.X)+" W/m", "0.5 W/m to 60 W/m"),
		within(k, id, "measured_power", c.MeasuredPower.X, 0, 60, fmt.Sprint(c.MeasuredPower.X)+" W/m", "0 (not measured) to 60 W/m"),
		within(k, id, "flux", c.Flux.X/c.Power.X, 20, 230, fmt.Sprintf("%.4g lm/m, that is %.3g lm/W", c.Flux.X, c.Flux.X/c.Power.X), "20 lm/W to 230 lm/W of the label's power"),
		within(k, id, "cct", c.CCT.X, 1800, 10000, fmt.Sprint(c.CCT.X)+" K", "1800 K to 10 000 K"),
		within(k, id, "ra", c.Ra, 60, 99.5, fmt.Sprint(c.Ra), "60 to 99.5"),
		within(k, id, "forward_voltage", fwd, 2.4, 3.8, fmt.Sprint(fwd)+" V", "2.4 V to 3.8 V for one white LED"),
		within(k, id, "flux_per_kelvin", c.FluxPerKelvin.X, -0.005, 0, fmt.Sprint(c.FluxPerKelvin.X*100)+" %/K", "−0.5 %/K to 0"),
		within(k, id, "series", float64(s.Series)*fwd, 0, s.Voltage*0.98,
			fmt.Sprintf("%d LEDs of %.2f V, together %.1f V", s.Series, fwd, float64(s.Series)*fwd),
			fmt.Sprintf("fewer in series: a %.3g V strip needs some volts left for its resistor or regulator", s.Voltage)),
	)
}

// ForwardVoltage is Forward, or 2.9 V (a white mid-power LED near 30 mA,
// common practice, no source) when none is given.
func (c Channel) ForwardVoltage() float64 {
	if c.Forward == 0 {
		return 2.9
	}
	return c.Forward
}

func first(errs ...error) error {
	for _, e := range errs {
		if e != nil {
			return e
		}
	}
	return nil
}
