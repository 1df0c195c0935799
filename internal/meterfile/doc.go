// Package meterfile reads what meters write: spectra, logs of a reading over
// time, and waveforms, from text in its many dialects, IES TM-27 and CGATS
// files, spreadsheets and sound files. The content tells the format, never the
// name. What could be read in two ways is refused with the line; what was
// passed over or taken for granted is said in a finding.
//
// Memory is bounded: a file of more than MaxBytes, or of more rows or numbers
// than any meter writes, is refused before it is taken apart.
package meterfile
