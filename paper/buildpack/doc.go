// Package buildpack turns a lamp that has been worked out into the pages that
// someone who has never soldered can build it from: what to buy, what to cut,
// where everything goes, every wire with its polarity, the steps with the
// points at which to hold and check, and a sheet for the readings of the
// finished lamp. It writes them as PDF, as one HTML file and, for the lists,
// as CSV; the same input gives the same bytes.
//
// A lamp with a stop among its findings gets no pack, unless its owner has
// overridden that stop in writing; over-voltage, wire, fuse, bare LEDs and
// hazards to the eye are never overridden, and nothing is in a pack made for
// others. Mains work stays with certified supplies used as sold.
//
// The order of the pages is the order of use: a step refers only to what has
// come before it.
package buildpack
