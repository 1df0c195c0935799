//go:build long

package reconcile

// Trials of TestCoverage in the long campaign, and what each part value's
// coverage may be.
const (
	trials    = 500
	coverLow  = 0.92
	coverHigh = 0.98
)
