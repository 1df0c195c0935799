// Package store keeps the logbook: one SQLite file with lamps, units, briefs,
// parts, instruments, measured runs with their raw bytes, results, plans,
// editions, notes and pictures. docs/logbook.md describes the file for whoever
// reads it without Dawnsmith.
//
// What a method has returned from without error is on the disk: the file is
// kept in write-ahead mode, and every commit waits for the disk
// (synchronous = FULL). A process killed at any moment leaves a logbook with
// everything acknowledged and nothing half done. Two processes may write; one
// waits for the other.
//
// Raw readings are never altered or deleted, and triggers in the file see to
// it. A run that should not count is withdrawn, with the reason. Results can
// always be made again and carry the version of the program that made them.
//
// The form of the file only moves forward. Before a newer program changes an
// older logbook it keeps a copy beside it; a logbook of a newer form is
// refused with a *Newer.
package store
