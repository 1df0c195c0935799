// Package photo reads photographs as numbers: PNG and TIFF of 8 or 16 bits, and
// the portable maps PGM and PPM (P2, P3, P5, P6) of up to 16. The content tells
// the format, never the name.
//
// What the numbers mean is decided in this order: what the caller says, what the
// file says (sRGB and gAMA of PNG), and else the depth: up to 8 bits are taken as
// sRGB-coded, more as proportional to light, which a finding says.
//
// Memory is bounded: a file of more than MaxBytes or a picture of more than
// facemap.MaxPixels is refused before it is taken apart.
package photo
