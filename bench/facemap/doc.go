// Package facemap turns a photograph of a lit face and one reading of a meter
// into a luminance map: every number in cd/m².
//
// A camera whose numbers are proportional to light knows all ratios over the
// face and no level; the reading, mean luminance or lux at a distance, gives the
// level:
//
//	L(x, y) = k·(s(x, y) − s₀)
//
// with s the sample, s₀ that of the covered lens, and k from the reading. Out of
// the map come the luminous area, peak and least luminance, ripple, and the
// highest luminance in the cones over which IEC 62471 averages.
//
// Ranges: faces that do not clip, of at least MinCells across, seen within some
// 30° of square. Not modelled: the camera's spectral response beside V(λ), veiling
// glare inside the lens, falloff of the lens beyond an uncertainty for it, and a
// luminance that depends on the direction of view (one picture holds one
// direction for each point).
package facemap
