// Package play tells whether the notes of a neck ring clear: how near a plucked
// string comes to the crowns beyond its stop, how low the action can go, the
// least metal that makes every note ring, and, by a contact run of the stiff,
// damped string against the frets, what a note that does strike meets.
//
// Each string is taken by itself in its lane: x from the lane's nut line
// towards the saddle, z up from the line that the crowns' offs are measured
// from. Lengths in mm, forces in N, times in s unless a name says otherwise.
package play
