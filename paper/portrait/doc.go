// Package portrait draws a lamp: it turns a lamp, its wiring and its prediction
// into the plain numbers of package figure, and draws what only a lamp has,
// namely the wiring diagram, the cutting picture and the stripping ruler. The
// page and the build pack take their pictures here, so that both show the same.
//
// The tray lies with the rows from left to right, their wired end at the left
// and row 1, nearest the entry, at the top; polarity is told by the line, plus
// solid and minus dashed, so that a copy in black and white loses nothing.
package portrait
