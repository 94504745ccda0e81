// Package geometry places frets, lanes and the board's surface: equal
// divisions of the octave, slanted frets, a conical board, strings that
// spread towards the saddle.
//
// x runs along the centre line from the nut, y across from bass (negative) to
// treble, z up. Scale lengths and fret places of a lane are taken along x: the
// lane's own slope (under 1 degree) would add less than 0.01 %.
package geometry
