// Package circuit works out the electricity of a strip lamp: which voltage
// every cut unit sees, what current it draws, what the copper eats, and
// whether wire, fuse, supply, plug and dimmer suit.
//
// The ladder is described in full by [Network] and solved by [Solve]; a tray
// with rows, buses and leads is written down as a [Layout] and turned into a
// Network. For the many candidates of a search there are two faster forms that
// give the same numbers: [Folded] (both conductors drawn as one, allowed when
// plus and minus carry the same current at every cut) and [Chain] (rows
// replaced by their tabulated current).
//
// Everything is steady direct current in SI units: V, A, Ω, W, m, K.
// Temperatures are absolute.
//
// Not modelled: inductance and the transients of switching, supply ripple
// (see package flicker), ageing of contacts, and the self-heating of wire:
// give wire and rails the temperature they run at.
package circuit
