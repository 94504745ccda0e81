// Package relief bends a neck under its strings and its rod.
//
// A string's pull P runs e above the section's neutral axis and bends the neck by
// M = P·e. The neck is clamped at the body joint x_j and free at the nut, so its axis
// rises towards the strings by
//
//	v(x) = ∫ from x to x_j of (u − x)·M(u)/EI(u) du, 0 beyond x_j
//
// (moment-area theorem; Gere and Timoshenko, Mechanics of Materials, tables of beams).
// EI and axis are those of a layered section: the board, a rectangle, on a half ellipse
// of the neck's wood (transformed section, the same book). A straight rod pulls below the
// axis and bends back by the same integral. All of it is linear: bends add up.
//
// The stiffness of wood of one species scatters by about 22 % from piece to piece (Wood
// Handbook FPL-GTR-190, table 5-6, from memory), so the theory is a prior: pairs of
// readings of the same neck slack and strung give a factor on it (Learn).
//
// Left out: the arch of the board and that of the strings over it, which go the same way;
// the rod's own steel; the second-order moment of the pull on the bent neck, under 0.01 of
// the whole; and what the body gives.
package relief
