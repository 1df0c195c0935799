//go:build !long

package store

// kills is the number of trials of TestKilledImports.
const kills = 20
