package daylight

import (
	"fmt"
	"math"
)

// DALILevel is the arc power level (0 to 254) whose light on the standard
// dimming curve is nearest to a linear fraction,
//
//	percent = 10^((N-1)/(253/3) - 1),  N = 1 to 254 (0.1 to 100 %), 0 is off
//
// A fraction under half of 0.1 % is off. Never send a linear fraction as N.
//
// Source: IEC 62386-102, standard dimming curve.
func DALILevel(fraction float64) (int, error) {
	if !(fraction >= 0 && fraction <= 1) {
		return 0, fmt.Errorf("daylight: drive is %g, allowed is 0 to 1", fraction)
	}
	if fraction < 0.0005 {
		return 0, nil
	}
	n := 1 + 253.0/3*(1+math.Log10(100*fraction))
	return int(math.Round(min(max(n, 1), 254))), nil
}

// DALIFraction is the light of an arc power level, as a fraction of full.
func DALIFraction(level int) (float64, error) {
	if level < 0 || level > 254 {
		return 0, fmt.Errorf("daylight: arc power level is %d, allowed is 0 to 254", level)
	}
	if level == 0 {
		return 0, nil
	}
	return math.Pow(10, float64(level-1)/(253.0/3)-1) / 100, nil
}

// PWM is the nearest duty step of a dimmer with the given bits (4 to 24), and
// how far its light is off the fraction, relatively (0 for 0).
func PWM(fraction float64, bits int) (step int, off float64, err error) {
	if !(fraction >= 0 && fraction <= 1) {
		return 0, 0, fmt.Errorf("daylight: drive is %g, allowed is 0 to 1", fraction)
	}
	low, err := SmallestLevel(bits)
	if err != nil {
		return 0, 0, err
	}
	step = int(math.Round(fraction / low))
	if fraction > 0 {
		off = float64(step)*low/fraction - 1
	}
	return step, off, nil
}

// SmallestLevel is the least light a dimmer with the given bits can make that
// is not darkness, 1/(2ⁿ-1) of full. Targets below it are refused or dithered
// by whoever drives the lamp.
func SmallestLevel(bits int) (float64, error) {
	if bits < 4 || bits > 24 {
		return 0, fmt.Errorf("daylight: dimmer has %d bits, allowed is 4 to 24", bits)
	}
	return 1 / float64(int(1)<<bits-1), nil
}

// Gamma turns linear light into a display curve's value, v = l^(1/g), for
// controls that look even to the eye; [Linear] is its exact inverse. Sums are
// made in linear light and the curve comes last.
func Gamma(linear, g float64) float64 { return math.Pow(min(max(linear, 0), 1), 1/g) }

// Linear turns a value on a display curve of exponent g back into light.
func Linear(value, g float64) float64 { return math.Pow(min(max(value, 0), 1), g) }
