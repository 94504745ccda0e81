// Package feelers says what gaps felt with leaves tell of a neck's lanes: how
// wide each lane's zone may be, how far off each crown, and which leaf would
// settle a doubt.
//
// A leaf that enters and the next that does not bracket a gap, and all gaps of
// a lane may err alike: a hollow that no leaf enters reads the same as a
// straight lane. So brackets are sets here (package straight), narrowed by
// whatever else was read: other passes, rockers, a bridge, a beam. Package
// heights takes the middle of a bracket for a normal reading; how far its crowns
// can be off for that is set against them.
//
// Source: JCGM 100:2008, 4.3.7 (from memory), for the uncertainty of a value
// within bounds; set-membership estimation for the bounds.
package feelers
