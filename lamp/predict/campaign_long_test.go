//go:build long

package predict

// randomLamps is how many random lamps go through Screen.
const randomLamps = 10000
