// Package heat predicts how hot a lamp gets: the floor of a metal tray that
// carries rows of LED strip, the strip and the LEDs on it, the sheet in front
// and the back that a hand may touch; how long it takes to warm, and what the
// temperature does to light and life.
//
// One lamp is one [Input]: a rectangular floor with rectangular rows of heat,
// walls around it, a still air gap and a sheet in front, still room air
// around. There are three solvers of the same physics, each with its price:
//
//   - [Node] balances the mean floor and the sheet, in about a microsecond;
//   - [Series] adds the pattern of the rows by a double series of cosines;
//   - [Solve2D] solves the floor on a grid with radiation taken cell by cell.
//
// [Check] compares a result with limits and says what would help, computed.
//
// Temperatures are absolute (K), angles are radians, everything else is SI.
//
// Not modelled: moving air other than the lamp's own buoyancy (a fan or a
// draught cools more), heat into the arm or mount, sunlight on the tray,
// the temperature across the thickness of sheet or wall (a few hundredths of
// a kelvin for metal), heat from the wiring outside the tray.
package heat
