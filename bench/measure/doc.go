// Package measure turns readings at the bench into a measured lamp or part:
// every number with its uncertainty, how it was made, and what speaks against
// it.
//
// A Run is what was read in one go: a spectrum, a log of lux, a set of
// distances, a waveform, watts and temperatures, a sheet filled in by hand.
// Run.Evaluate gives a Record of Measured numbers. Nothing in a Run is
// altered: a Record can always be made again from it.
//
// Every number is a quantity.Value whose terms are named after what causes
// them. Errors that readings share carry one name ("meter lx-1 calibration
// 2026-03-02"), so that two lamps read with one meter share that meter's
// calibration, and their ratio does not count it. Errors of one reading alone
// carry the run's name.
//
// The numbers of a Record are in the unit that their metric declares, as those
// of a prediction are.
package measure
