package circuit

import (
	"fmt"
	"math"
)

// Copper: annealed, 100 % IACS (IEC 60028:1925): 1/58 Ω·mm²/m and 0.00393/K at
// 20 °C.
const (
	copperOhmM   = 1.7241e-8 // Ω·m at 20 °C
	copperPerK   = 0.00393
	copperRefK   = 293.15
	copperKgM3   = 8890.0  // IEC 60028
	ounceCopperM = 34.8e-6 // m, 1 oz/ft² of foil
)

// copperFactor is resistance at tempK over resistance at 20 °C.
func copperFactor(tempK float64) float64 { return 1 + copperPerK*(tempK-copperRefK) }

// RailResistance is the resistance, Ω/m, of one rail of a strip: copper of oz
// ounces per square foot (34.8 µm each) and width metres wide, at tempK kelvin.
//
//	r = 1.7241e-8·(1 + 0.00393·(T - 293.15 K)) / (oz·34.8e-6·width)
//
// Not modelled: plating (less) and etching (more); calibrate with
// CalibratedRail when it matters.
func RailResistance(oz, width, tempK float64) float64 {
	return copperOhmM * copperFactor(tempK) / (oz * ounceCopperM * width)
}

// CalibratedRail is the resistance, Ω/m, of one rail from one bench reading: a
// strip of the given length (m) fed at one end with i A reads vFeed there and
// vFar at its far end. For an even load vFeed - vFar = r·i·length.
func CalibratedRail(vFeed, vFar, i, length float64) (float64, error) {
	if !(i > 0 && length > 0 && vFeed > vFar && vFar > 0) {
		return 0, fmt.Errorf("rail calibration: %g V at the feed, %g V at the far end, %g A over %g m; all must be above zero and the far end lower", vFeed, vFar, i, length)
	}
	if vFeed-vFar > 0.15*vFeed {
		return 0, fmt.Errorf("rail calibration: %.3g V lost of %.3g V makes the load uneven; use a shorter run (at most 15 %%)", vFeed-vFar, vFeed)
	}
	return (vFeed - vFar) / (i * length), nil
}

// Wire is one copper conductor.
type Wire struct {
	Area   float64 // m², copper cross-section
	Excess float64 // resistance over that of a solid wire of this area; 0 means 1.03 (stranded, 2 to 4 % more)
}

// AWG is a stranded wire of that gauge: d = 0.127 mm·92^((36-n)/39)
// (ASTM B258-18). Gauges 0 to 40.
func AWG(n float64) Wire { return DiameterMM(0.127 * math.Pow(92, (36-n)/39)) }

// SquareMM is a stranded wire of that many square millimetres.
func SquareMM(mm2 float64) Wire { return Wire{Area: mm2 * 1e-6} }

// DiameterMM is a stranded wire with the copper of a solid one of that
// diameter in millimetres; not the diameter over insulation.
func DiameterMM(d float64) Wire { return Wire{Area: math.Pi / 4 * d * d * 1e-6} }

// Solid is the same wire without the strands' excess.
func (w Wire) Solid() Wire { w.Excess = 1; return w }

// SquareMM is the cross-section in mm².
func (w Wire) SquareMM() float64 { return w.Area * 1e6 }

// Gauge is the wire's gauge number, with a fraction when it lies between.
func (w Wire) Gauge() float64 {
	d := math.Sqrt(4*w.Area/math.Pi) * 1e3
	return 36 - 39*math.Log(d/0.127)/math.Log(92)
}

// String gives the cross-section and the nearest gauge: "0.52 mm² (20 AWG)".
func (w Wire) String() string {
	return fmt.Sprintf("%.2g mm² (%.0f AWG)", w.SquareMM(), w.Gauge())
}

func (w Wire) excess() float64 {
	if w.Excess == 0 {
		return 1.03
	}
	return w.Excess
}

// OhmPerM is the resistance, Ω/m, at tempK kelvin.
func (w Wire) OhmPerM(tempK float64) float64 {
	return w.excess() * copperOhmM * copperFactor(tempK) / w.Area
}

// KgPerM is the copper in a metre, kg/m.
func (w Wire) KgPerM() float64 { return w.Area * copperKgM3 }

// Validate refuses areas outside 0.01 to 10 mm².
func (w Wire) Validate() error {
	if !(w.Area >= 0.01e-6 && w.Area <= 10e-6) {
		return fmt.Errorf("wire is %g mm²; allowed: 0.01 to 10 mm² (state AWG, mm² of copper, or mm of bare diameter)", w.SquareMM())
	}
	if !(w.Excess == 0 || w.Excess >= 1 && w.Excess <= 1.5) {
		return fmt.Errorf("wire resistance excess is %g; allowed: 0 (means 1.03) or 1 to 1.5", w.Excess)
	}
	return nil
}

// gaugeLimits are cautious currents, A, for one pair of wires in still warm
// air inside a lamp. Common practice, no source; the maker's rating goes first.
var gaugeLimits = [...]struct{ awg, amp float64 }{
	{28, 0.8}, {26, 1.3}, {24, 2}, {22, 3}, {20, 5}, {18, 7}, {16, 10}, {14, 15},
}

// limitSource says where Limit's numbers come from.
const limitSource = "cautious limit for a pair in still warm air, common practice, no source; a maker's rating goes first"

// Limit is the current, A, the wire may carry inside a lamp. Between gauges it
// is interpolated along the power law; wire thicker than 14 AWG stays at 15 A;
// for wire thinner than 28 AWG there is none and ok is false.
func (w Wire) Limit() (amp float64, ok bool) {
	n := w.Gauge()
	t := gaugeLimits[:]
	if !(n <= t[0].awg+0.01) {
		return 0, false
	}
	for k := 1; k < len(t); k++ {
		if n >= t[k].awg {
			f := (min(n, t[k-1].awg) - t[k].awg) / (t[k-1].awg - t[k].awg)
			return math.Exp(math.Log(t[k].amp) + f*math.Log(t[k-1].amp/t[k].amp)), true
		}
	}
	return t[len(t)-1].amp, true
}

// FreeAirCurrent is the current, A, that heats a single insulated wire of
// outer diameter d m by rise kelvin above air at airK: I²·R(T) = π·d·h·rise
// with h = 18 W/m²K, a textbook order for thin wires in still air (natural
// convection and radiation together, from memory). Bundled or enclosed wire
// carries less.
func (w Wire) FreeAirCurrent(d, rise, airK float64) float64 {
	const h = 18.0
	return math.Sqrt(math.Pi * d * h * rise / w.OhmPerM(airK+rise))
}

// RunInput is one strip fed from one end.
type RunInput struct {
	Unit      Unit
	CutLength float64 // m
	RailR     float64 // Ω/m, one rail
	V         float64 // V at the feed; 0 means nominal
	Loss      float64 // allowed fall of current at the far end, 0.05 for 5 %
}

// RunLimit is the longest run.
type RunLimit struct {
	Length float64 // m
	PerM   float64 // 1/m, how fast the current dies along the strip; 0 for a regulated strip
	Cliff  bool    // beyond Length a regulated strip falls out of regulation at once
}

// LongestRun is the longest piece of strip that may be fed from one end.
//
// For a unit whose current is linear in V above V0 (the tangent at the feed is
// taken), with slope per metre g = (dI/dV)/CutLength and one rail of r Ω/m,
// the fin equation gives I(x) = I(0)·cosh(λ(L-x))/cosh(λL), λ = √(2·r·g), so
// L = acosh(1/(1-loss))/λ. A regulated strip draws i A/m whatever the voltage
// and loses r·i·L² along the run: L = √((V-Vmin)/(r·i)), where Vmin is the
// voltage at which the current has fallen by Loss.
//
// Not modelled: the fall of regulated current before that point, at most Loss.
func LongestRun(in RunInput) (RunLimit, error) {
	if err := in.Unit.Validate(); err != nil {
		return RunLimit{}, fmt.Errorf("longest run: %w", err)
	}
	if !(in.CutLength > 0 && in.RailR > 0 && in.Loss > 0 && in.Loss < 1) {
		return RunLimit{}, fmt.Errorf("longest run: cut length %g m, rail %g Ω/m, loss %g; the first two must be above zero, the loss between 0 and 1", in.CutLength, in.RailR, in.Loss)
	}
	if in.V == 0 {
		in.V = in.Unit.VNom
	}
	i, g := in.Unit.Current(in.V)
	if !(i > LitCurrent && g > 0) {
		return RunLimit{}, fmt.Errorf("longest run: the unit draws %.2g A at %g V; raise the voltage", i, in.V)
	}
	if in.Unit.Kind != ConstantCurrent {
		lambda := math.Sqrt(2 * in.RailR * g / in.CutLength)
		return RunLimit{Length: math.Acosh(1/(1-in.Loss)) / lambda, PerM: lambda}, nil
	}
	lo, hi := 0.0, in.V
	for range 60 {
		mid := (lo + hi) / 2
		if at, _ := in.Unit.Current(mid); at < (1-in.Loss)*i {
			lo = mid
		} else {
			hi = mid
		}
	}
	return RunLimit{Length: math.Sqrt((in.V - hi) * in.CutLength / (in.RailR * i)), Cliff: true}, nil
}

// class5 is the largest resistance, Ω/km at 20 °C, of flexible copper
// conductors (IEC 60228:2004 table 3, class 5, plain), by nominal mm².
var class5 = [...]struct{ mm2, ohmKm float64 }{
	{0.5, 39.0}, {0.75, 26.0}, {1, 19.5}, {1.5, 13.3}, {2.5, 7.98}, {4, 4.95},
}

// FlexibleMM is a flexible wire (IEC 60228 class 5) of a nominal cross-section
// in mm², with the standard's largest resistance: 0.5, 0.75, 1, 1.5, 2.5, 4.
// Real area is smaller than nominal, hence 13 to 16 % more than the formula.
func FlexibleMM(mm2 float64) (Wire, error) {
	for _, c := range class5 {
		if c.mm2 == mm2 {
			w := SquareMM(mm2)
			w.Excess = c.ohmKm * 1e-3 * w.Area / copperOhmM
			return w, nil
		}
	}
	return Wire{}, fmt.Errorf("flexible wire of %g mm² is no nominal size; allowed: 0.5, 0.75, 1, 1.5, 2.5, 4", mm2)
}
