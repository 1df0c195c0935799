// Package optics follows light from the LEDs on the floor of a tray through
// its sheet to a meter or an eye, and says how the face looks.
//
// A lamp is one [Box]: inner sizes, rows of LEDs with their flux, reflecting
// walls and floor, a sheet. Three ways through it, each with its price and its
// word on accuracy:
//
//   - [ThreeSurface] balances floor, walls and sheet, each taken as evenly
//     lit, in closed form; mirror parts of walls and floor send light on along
//     its true path. Efficiency, losses and what each surface's reflectance is
//     worth, in a twentieth of a millisecond (a fifth with mirror walls).
//   - [Prepare] works up a geometry once; [Prepared.Screen] then reads any
//     finish of it in about a microsecond: losses, face luminance, ripple, and
//     the light at up to eight targets, with bounds.
//   - [Solve] is the full solution: direct light of every LED, radiosity
//     between patches, images for mirrors, what a weak sheet shows from every
//     side. [NewSolver] keeps what depends on geometry only.
//
// [Lattice] gives the dots and stripes in closed form, [Mount] places the eye,
// [Solution.Glare] and [Mount.Findings] judge comfort, and the functions
// that end in FromLux, FromTwoSheets and so on turn a maker's readings into
// the numbers of a sheet or lining.
//
// # How it is computed
//
// Everything rests on one device. A power of distance is an integral over
// Gaussians,
//
//	r^−2p = (1/Γ(p)) ∫ exp(p·v − e^v·r²) dv,
//
// which the trapezoid rule sums to 1e-5 with some twenty terms. Each term is a
// product of a function of x, one of y and one of z. So direct light parts
// into sums over columns and rows of LEDs, exchange between patches into
// products of one-dimensional tables, and all mirror images go into the
// one-dimensional sums. A scatter lobe at normal view is another such sum.
//
// # Frames and units
//
// Box frame: floor z = 0, sheet z = Height, 0 ≤ x ≤ Length, 0 ≤ y ≤ Width.
// Lamp frame: origin at the centre of the sheet's outer face, X and Y as the
// box's, Z outwards. World: see [Mount]. SI throughout, angles in radians.
// All is linear in the LEDs' flux: watts in, watts out.
//
// # Not modelled
//
// Thickness and sideways spread inside a thick opal sheet, sag, gaps at its
// edge (a 2 mm slit all round a 380 × 280 × 50 mm box should lose 1 to 2 %, an
// estimate), mirror reflection of a glossy sheet (under 0.3 % of efficiency,
// an estimate), angle-dependent transmittance and reflectance, wires and
// connectors on the floor (put them into its reflectance by area), shading by
// LED bodies, polarisation, colour over angle, ageing, room and desk. Between
// a careful prediction and a lux meter expect up to 5 %, most of it from the
// LEDs' lumens and the sheet's transmittance.
package optics
