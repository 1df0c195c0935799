//go:build long

package store

// kills is the number of trials of TestKilledImports in the long campaign.
const kills = 200
