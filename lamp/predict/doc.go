// Package predict works a lamp out: circuit, heat and light are solved
// together until they agree, then the light is followed through lining and
// sheet to the meter and the eye, and every published number is taken.
//
// There are four calls. Prepare builds what a family of lamps shares (its
// spectra, its geometry, its scatter tables) once. Screen gives the main
// numbers of one member in microseconds with a stated bound on their error,
// for searches and sliders. Lamp gives every number. Spread repeats Lamp with
// each uncertain part value moved by its standard uncertainty and returns the
// numbers with their uncertainty and what contributes to it.
//
// How the parts hang together. The circuit's units are warmed by the strip's
// temperature and its copper by the same; unit currents give watts and, by
// part a4 of the strip law Φ ∝ I^0.95·(1 + a_T ΔT_j), lumens; the optics says
// which share of the light leaves and where the rest is absorbed; the heat
// balance turns the watts that stay into temperatures; and round again until
// no temperature moves by more than 0.01 K (two to five rounds).
//
// Not modelled: ageing, colour over angle, light that the room returns, and
// the manufacturing spread between units of one strip.
package predict
