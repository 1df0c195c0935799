// Package figure turns numbers into drawings: curves, spectra, intervals,
// maps, and workshop drawings of a tray and its mount. Every function takes one
// struct of plain numbers, in the units its fields name, and returns a
// [draw.Scene].
//
// A figure never fails for its data. Numbers that cannot be drawn (NaN,
// infinities, values at or below zero on a logarithmic scale) are left out and
// a line under the figure says how many. Slices that ought to be of one length
// and are not are a programmer's mistake and panic.
//
// Nothing is told by colour alone: lines differ in dash, points in shape, and
// names stand beside things. All pictures read in black and white.
package figure
