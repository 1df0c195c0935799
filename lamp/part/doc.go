// Package part describes the things a lamp is made of: strips, trays,
// linings, sheets, supplies, wire, connectors, fuses, dimmers, mounts, tools
// and consumables, as a datasheet or a bench test tells them, checked.
//
// Numbers are SI. What is uncertain is a quantity.Value whose term is named
// after the part and the field, so that two lamps built from one reel share
// its error. Field tags declare how a field stands in a parts document:
//
//	doc:"key"      the key in the file; "key,required" must be given
//	dim:"length"   the dimension in which its text is read (package quantity)
//	u:"5%"         the standard uncertainty assumed when none is stated
//	               (relative with %, else absolute in SI)
package part
