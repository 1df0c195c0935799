// Package check recomputes reference cases: files of inputs and of right
// answers that were worked out by other means than this program. It computes
// each case from its inputs alone, with the same code that designs and measures
// lamps, and only then looks at the stored answers to say how far it is off.
//
// A file is one JSON object whose key format names one of Formats. A case is
// known by its id, else by its key, else by its name; entries of a list that
// have none of these are called after the list, as in gap_points[3].
//
// Tolerances come from the file's own tolerance block where it has one, and
// otherwise are those the set was published with. A quantity without a
// tolerance is computed and shown but not judged.
//
// Not recomputed: columns that other programs' results are kept in beside the
// right answer, and counts that belong to the other program's method (cells,
// photons, iterations).
package check
