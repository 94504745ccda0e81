// Package stringset tells what a string is before it is on the neck: its
// pitch, tension, mass and bending stiffness, from whichever of them the neck
// file gives, and the inharmonicity and decay that follow.
//
// Steel is taken at 200 GPa and 7850 kg/m³, a wrap by its name; both vary by some
// per cent from maker to maker. A string's own tension, mass or stiffness takes
// their place where it is given.
package stringset
