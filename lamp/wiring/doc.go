// Package wiring turns a lamp into what its maker does with wire: which pad is
// plus and which is minus, where every bus runs and is bared, what to cut, how
// many joints to solder, what to insulate, and in which order.
//
// The frame is that of the tray seen from the front: X runs along the rows from
// the wall at their wired end, Y across them from the wall beside the first
// row; both in m. Every row lies the same way round, its plus towards the
// entry. Lengths of wire and the number of joints come from package lamp, which
// the price list uses too; tests hold the two together.
//
// Not modelled: the thickness of wires where they cross, and bends.
package wiring
