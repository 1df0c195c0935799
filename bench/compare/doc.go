// Package compare sets lamps side by side on terms that are the same for all:
// predicted lamps, measured ones, and what sellers state.
//
// Put brings one measure of every lamp to the terms asked for (one distance,
// each at its own use distance, one illuminance, one face luminance; per lamp,
// per watt, per price, per area). Rank orders the result and says which
// differences are real: two lamps tie when their difference is less than k
// times its own standard uncertainty, in which errors that both share, such as
// the scale of one meter, cancel. What cannot be brought to the terms is kept
// and says why; nothing is dropped.
//
// The inverse square law is never used near a face: a reading is carried to
// another distance by the law of an even face of the lamp's size, and not at all
// when that size is not known.
package compare
