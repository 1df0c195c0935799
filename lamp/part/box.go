package part

import (
	"fmt"
	"math"

	"dawnsmith/quantity"
)

// Material is a sheet metal (or other tray material) with its handbook
// properties.
type Material struct {
	Name         string
	Conductivity float64 // W/(m K)
	Density      float64 // kg/m³
	HeatCapacity float64 // J/(kg K)
}

// materials: conductivities of the wrought alloys and steels as printed in
// general metal handbooks at room temperature; densities and specific heats
// likewise, rounded.
var materials = []Material{
	{"aluminium-1050", 222, 2700, 900},
	{"aluminium-3003", 193, 2730, 893},
	{"aluminium-5052", 138, 2680, 880},
	{"aluminium-6061", 167, 2700, 896},
	{"stainless-304", 15, 7930, 500},
	{"mild-steel", 50, 7850, 490},
}

// MaterialNamed finds a tray material; false when it is not known.
func MaterialNamed(name string) (Material, bool) {
	for _, m := range materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}

// MaterialNames lists the known tray materials.
func MaterialNames() []string {
	out := make([]string, len(materials))
	for i, m := range materials {
		out[i] = m.Name
	}
	return out
}

// Tray is the metal box: its floor carries the strips, its open side the sheet.
type Tray struct {
	Item
	Material  string  `doc:"material,required"`               // one of MaterialNames
	Length    float64 `doc:"length,required" dim:"length"`    // inner floor, longer side, m
	Width     float64 `doc:"width,required" dim:"length"`     // inner floor, shorter side, m
	Depth     float64 `doc:"depth,required" dim:"length"`     // floor to rim, inside, m
	Thickness float64 `doc:"thickness,required" dim:"length"` // of the metal, m
	Mass      float64 `doc:"mass" dim:"mass"`                 // kg; 0: computed from the metal
	Painted   bool    `doc:"painted_back"`                    // sold with a matt painted back
	// Reflectance of the bare inside, total, and Specular, the mirror share of it.
	Reflectance quantity.Value `doc:"reflectance,required" dim:"ratio" u:"0.05"`
	Specular    quantity.Value `doc:"mirror_share" dim:"ratio" u:"0.1"`
	// EmissivityBack of the bare (or, when Painted, painted) back.
	EmissivityBack quantity.Value `doc:"emissivity_back,required" dim:"ratio" u:"0.05"`
	// EmissivityInside of the bare inside.
	EmissivityInside quantity.Value `doc:"emissivity_inside,required" dim:"ratio" u:"0.1"`
}

// MetalMass is the mass of floor and four walls, kg: area × thickness ×
// density, or the stated mass where there is one.
func (t Tray) MetalMass() float64 {
	if t.Mass > 0 {
		return t.Mass
	}
	m, _ := MaterialNamed(t.Material)
	return (t.Length*t.Width + 2*(t.Length+t.Width)*t.Depth) * t.Thickness * m.Density
}

// Check returns a *Fault for the first field outside its range.
func (t Tray) Check() error {
	k, id := "tray", t.ID
	if err := t.Item.check(k); err != nil {
		return err
	}
	if _, ok := MaterialNamed(t.Material); !ok {
		return fault(k, id, "material", fmt.Sprintf("%q", t.Material), fmt.Sprintf("one of %v", MaterialNames()))
	}
	mm := func(x float64) string { return quantity.Format(x, quantity.Length, 4) }
	return first(
		within(k, id, "length", t.Length, 0.06, 2.5, mm(t.Length), "60 mm to 2500 mm"),
		within(k, id, "width", t.Width, 0.04, t.Length, mm(t.Width), "40 mm up to the length: give the longer side as length"),
		within(k, id, "depth", t.Depth, 0.008, 0.3, mm(t.Depth), "8 mm to 300 mm"),
		within(k, id, "thickness", t.Thickness, 0.0002, 0.006, mm(t.Thickness), "0.2 mm to 6 mm"),
		within(k, id, "mass", t.Mass, 0, 50, fmt.Sprint(t.Mass)+" kg", "0 (compute it) to 50 kg"),
		ratio(k, id, "reflectance", t.Reflectance.X, 0, 0.995),
		ratio(k, id, "mirror_share", t.Specular.X, 0, 1),
		ratio(k, id, "emissivity_back", t.EmissivityBack.X, 0.02, 1),
		ratio(k, id, "emissivity_inside", t.EmissivityInside.X, 0.02, 1),
	)
}

func ratio(kind, id, field string, x, lo, hi float64) error {
	return within(kind, id, field, x, lo, hi, fmt.Sprint(x), fmt.Sprintf("%g to %g", lo, hi))
}

// Lining is a reflective film, foil, paint or sheet for walls and floor gaps.
// It is sold by area: Pack is in m².
type Lining struct {
	Item
	Thickness   float64        `doc:"thickness" dim:"length"`                    // m
	Reflectance quantity.Value `doc:"reflectance,required" dim:"ratio" u:"0.02"` // total, photopic
	Specular    quantity.Value `doc:"mirror_share,required" dim:"ratio" u:"0.1"` // of the total
	Emissivity  float64        `doc:"emissivity,required" dim:"ratio"`
	Conducting  bool           `doc:"conducting"` // a metal foil: keep it off bare copper
	Curve       Curve          `doc:"curve"`      // reflectance against wavelength
}

// Check returns a *Fault for the first field outside its range.
func (l Lining) Check() error {
	k, id := "lining", l.ID
	return first(l.Item.check(k),
		within(k, id, "thickness", l.Thickness, 0, 0.01, quantity.Format(l.Thickness, quantity.Length, 3), "0 to 10 mm"),
		ratio(k, id, "reflectance", l.Reflectance.X, 0, 0.995),
		ratio(k, id, "mirror_share", l.Specular.X, 0, 1),
		ratio(k, id, "emissivity", l.Emissivity, 0.02, 1),
		l.Curve.check(k, id, "curve"))
}

// widestLobe is the widest a lobe may be, °: at 120° it is even.
const widestLobe = 119.9

// Sheet is the diffuser. It is sold by area: Pack is in m².
type Sheet struct {
	Item
	Thickness     float64        `doc:"thickness,required" dim:"length"` // m
	Density       float64        `doc:"density,required" dim:"density"`  // kg/m³
	Transmittance quantity.Value `doc:"transmittance,required" dim:"ratio" u:"0.03"`
	// Reflectance of the side towards the LEDs; with transmittance and
	// absorptance it makes 1.
	Reflectance quantity.Value `doc:"reflectance,required" dim:"ratio" u:"0.02"`
	// Clear is the share of the transmitted light that passes unscattered,
	// Lobe the share in a lobe of width LobeWidth; the rest is Lambertian.
	Clear     quantity.Value `doc:"clear_share" dim:"ratio" u:"0"`
	Lobe      float64        `doc:"lobe_share" dim:"ratio"`
	LobeWidth quantity.Value `doc:"lobe_width" dim:"angle" u:"15%"` // FWHM, rad
	// Limit is the highest temperature in continuous use, K.
	Limit      float64 `doc:"limit,required" dim:"temperature"`
	Emissivity float64 `doc:"emissivity,required" dim:"ratio"`
	Curve      Curve   `doc:"curve"` // transmittance against wavelength
}

// Absorptance is what neither passes nor returns.
func (s Sheet) Absorptance() float64 { return 1 - s.Transmittance.X - s.Reflectance.X }

// Check returns a *Fault for the first field outside its range.
func (s Sheet) Check() error {
	k, id := "sheet", s.ID
	if err := first(s.Item.check(k),
		within(k, id, "thickness", s.Thickness, 0.00002, 0.02, quantity.Format(s.Thickness, quantity.Length, 3), "0.02 mm to 20 mm"),
		within(k, id, "density", s.Density, 100, 3000, fmt.Sprint(s.Density)+" kg/m³", "100 to 3000 kg/m³"),
		ratio(k, id, "transmittance", s.Transmittance.X, 0.01, 0.99),
		ratio(k, id, "reflectance", s.Reflectance.X, 0, 0.98),
		ratio(k, id, "clear_share", s.Clear.X, 0, 1),
		ratio(k, id, "lobe_share", s.Lobe, 0, 1),
		within(k, id, "limit", s.Limit, 313, 573, quantity.Format(s.Limit, quantity.Temperature, 3), "40 °C to 300 °C"),
		ratio(k, id, "emissivity", s.Emissivity, 0.05, 1),
		s.Curve.check(k, id, "curve")); err != nil {
		return err
	}
	if sum := s.Transmittance.X + s.Reflectance.X; sum > 1.001 {
		return fault(k, id, "transmittance + reflectance", fmt.Sprintf("%.3g + %.3g = %.3g", s.Transmittance.X, s.Reflectance.X, sum),
			"at most 1, since no sheet gives out more light than it gets: lower one of them (reflectance = 1 − transmittance − 0.05 is usual)")
	}
	if s.Clear.X+s.Lobe > 1.0001 {
		return fault(k, id, "clear_share + lobe_share", fmt.Sprintf("%.3g", s.Clear.X+s.Lobe), "at most 1")
	}
	if s.Lobe > 0 {
		return within(k, id, "lobe_width", s.LobeWidth.X*180/math.Pi, 5, widestLobe, quantity.Format(s.LobeWidth.X, quantity.Angle, 3), "5° to 119.9° when lobe_share is above 0")
	}
	return nil
}

// Curve is a reflectance or transmittance at rising wavelengths, pairs of
// (nm, ratio); between them it runs straight, beyond them it stays level.
// An empty curve is level everywhere.
type Curve [][2]float64

// At gives the ratio at a wavelength in nm, relative to the photopic figure
// stated beside the curve: the curve is scaled so that its value at 555 nm is
// that figure.
func (c Curve) At(nm, photopic float64) float64 {
	if len(c) == 0 {
		return photopic
	}
	return photopic * c.raw(nm) / c.raw(555)
}

func (c Curve) raw(nm float64) float64 {
	if nm <= c[0][0] {
		return c[0][1]
	}
	for i := 1; i < len(c); i++ {
		if nm <= c[i][0] {
			t := (nm - c[i-1][0]) / (c[i][0] - c[i-1][0])
			return c[i-1][1] + t*(c[i][1]-c[i-1][1])
		}
	}
	return c[len(c)-1][1]
}

func (c Curve) check(kind, id, field string) error {
	for i, p := range c {
		if !(p[0] >= 200 && p[0] <= 2500) || i > 0 && !(p[0] > c[i-1][0]) {
			return fault(kind, id, field, fmt.Sprintf("wavelength %v nm", p[0]), "rising wavelengths in nm, 200 to 2500")
		}
		if !(p[1] > 0 && p[1] <= 1) {
			return fault(kind, id, field, fmt.Sprint(p[1]), "ratios above 0, at most 1")
		}
	}
	return nil
}
