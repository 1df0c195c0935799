// Package optics follows light from the LEDs on the floor of a tray through
// its sheet to a meter or an eye.
package optics
