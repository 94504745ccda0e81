// Package wire bends fret wire: its section, the moment it takes under load,
// how far it springs back when let go, and the radius to bend it to so that it
// springs back to the board's.
//
// The metal is elastic and then perfectly plastic, the same in tension and
// compression; plane sections stay plane. Heights y run from the tang's tip up
// to the crown's top, in mm; curvatures are in 1/mm, moments in N·mm.
package wire
