// Package draw is the one door to paper and screen. A [Scene] holds lines,
// areas, text and pictures in millimetres and is written as [SVG], [PNG],
// [PDF] or [DXF], every time the same.
//
// The origin is the upper left corner, x runs right, y runs down, both in mm
// of paper. Angles are in degrees, counter-clockwise as seen. Type is measured
// with the font that is written (DejaVu Sans), so a layout holds in all four
// formats.
//
// Items are drawn in roles ([Ink], [Accent], [Plus] …), not in colours. The
// palettes and the scale of type, widths and spacing stand in one table
// (tokens.go), which [CSS] hands to the page.
//
// A [Document] sets running text, tables and scenes on pages.
//
// Not offered, since nothing here needs it: transparency, gradients, turned
// groups, kerning.
package draw
