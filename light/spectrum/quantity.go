package spectrum

import (
	"fmt"
	"slices"
)

// Quantity is what readings are readings of.
type Quantity int

// The quantities a spectrum file may hold; SI units per nanometre.
const (
	Relative      Quantity = iota // no unit: the shape alone
	Flux                          // W/nm
	Irradiance                    // W/(m²·nm)
	Radiance                      // W/(m²·sr·nm)
	Intensity                     // W/(sr·nm)
	Exitance                      // W/(m²·nm), leaving a surface
	Reflectance                   // 0 to 1
	Transmittance                 // 0 to 1
	Absorptance                   // 0 to 1
)

var quantityNames = [...]string{"relative", "flux", "irradiance", "radiance", "intensity", "exitance", "reflectance", "transmittance", "absorptance"}

var quantityUnits = [...]string{"", "W/nm", "W/(m²·nm)", "W/(m²·sr·nm)", "W/(sr·nm)", "W/(m²·nm)", "", "", ""}

var luminousUnits = [...]string{"", "lm", "lx", "cd/m²", "cd", "lm/m²", "", "", ""}

// String gives the quantity's name in lower case.
func (q Quantity) String() string {
	if q < 0 || int(q) >= len(quantityNames) {
		return fmt.Sprintf("quantity(%d)", int(q))
	}
	return quantityNames[q]
}

// Unit gives the SI unit of one sample, "" for none.
func (q Quantity) Unit() string { return quantityUnits[q] }

// LuminousUnit gives the unit of Luminous for this quantity, "" where there
// is none.
func (q Quantity) LuminousUnit() string { return luminousUnits[q] }

// IsMaterial tells a property of a sheet or lining from a light.
func (q Quantity) IsMaterial() bool { return q >= Reflectance }

// IsAbsolute tells whether the readings have a unit, so that lx, lm or cd/m²
// follow from them.
func (q Quantity) IsAbsolute() bool { return q > Relative && q < Reflectance }

// MarshalText writes the name.
func (q Quantity) MarshalText() ([]byte, error) {
	if q < 0 || int(q) >= len(quantityNames) {
		return nil, fmt.Errorf("quantity %d has no name", int(q))
	}
	return []byte(quantityNames[q]), nil
}

// UnmarshalText reads a name as String gives it.
func (q *Quantity) UnmarshalText(b []byte) error {
	i := slices.Index(quantityNames[:], string(b))
	if i < 0 {
		return fmt.Errorf("quantity %q is not known: allowed are %v", b, quantityNames)
	}
	*q = Quantity(i)
	return nil
}

// PhotonEnergy is the energy of one mole of photons at a wavelength in nm, in
// J/mol: N_A·h·c/λ = 0.11962656/λ with λ in m (SI 2019, exact constants). A
// reading in mol/(s·m²·nm) times this is one in W/(m²·nm).
func PhotonEnergy(nm float64) float64 {
	const avogadroPlanckLight = 6.02214076e23 * 6.62607015e-34 * 299_792_458 // J·m/mol
	return avogadroPlanckLight / (nm * 1e-9)
}
