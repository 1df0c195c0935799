// Package quantity stands between people's numbers and SI.
//
// Inside Dawnsmith every number is a plain float64 in SI. At the edges a
// number is text with a unit ("280 mm", "11 1/2 in", "24 V", "42 °C"); Parse
// and Format translate, for one Dimension at a time, so that a length can
// never be read as a voltage.
//
// A Value is an estimate together with its standard uncertainty, kept as one
// signed term for each error source. Two lamps read with the same meter share
// that meter's term, so it cancels in their difference: that is the whole
// reason for carrying terms and not a single number.
package quantity
