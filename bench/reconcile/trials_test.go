//go:build !long

package reconcile

// Trials of TestCoverage and what each part value's coverage may be: 95 % ± 3
// binomial standard deviations of 60.
const (
	trials    = 60
	coverLow  = 0.866
	coverHigh = 1.0
)
