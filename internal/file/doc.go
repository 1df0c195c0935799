// Package file reads and writes Dawnsmith's documents: briefs, parts files and
// lamps, in strict TOML.
//
// How a document looks is declared once, by the tags of the domain's structs:
//
//	doc:"key"        the key; "key,required" must be given
//	dim:"length"     the dimension in which a number is read (package quantity)
//	u:"5%"           the standard uncertainty taken when none is stated:
//	                 relative with %, else absolute in SI
//
// A number stands with its unit, as text ("280 mm", "24 V"), or as a plain
// number under a key that carries the unit (depth_mm = 50); only plain counts
// and ratios stand alone. An uncertain number may state its standard
// uncertainty (k = 1): "1550 lm/m ± 4 %". Its error source is named after part
// and field, "strip white-24v-120 white flux", with " (assumed)" behind it
// when the default was taken, so that two lamps of one reel share that error.
//
// Nothing is skipped in silence: an unknown or misspelt key, a missing unit, a
// value out of range are faults, each with its place, what was found, what is
// allowed and how to mend it, up to MaxFaults of them at once.
//
// Promise: a program reads every document of its own and of older schemas. A
// document of a newer schema is refused with ErrNewer.
//
// Not kept when a document is written again: comments other than the head,
// the order of keys, and the unit a number was written in. Values are kept to
// the last bit wherever a decimal text for them exists.
package file
