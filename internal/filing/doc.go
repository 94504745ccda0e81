// Package filing carries a levelling plan out as hands do: a fret filed alone to a
// flat that the eye judges, a straight beam rubbed over the crowns until its tells
// show. It finds the few moves that bring a neck where the plan wants it, and draws
// what hands of a known scatter make of them.
//
// A beam of length ℓ, pressed with F at x_p, lies on crowns z_i as on springs:
//
//	f_i = k·max(0, z_i − a − b·x_i), Σf = F, Σf·x = F·x_p,
//
// the least of ½k·Σ max(0, z − a − b·x)² + F·(a + b·x_p), which is convex. What it
// wears off follows Archard's law, dV_i = κ·f_i·ds (J. F. Archard, Contact and
// rubbing of flat surfaces, 1953). V and the depth d belong together by the
// segment of a circle, the crown's, over the width that the fanned beam works.
//
// Lengths in mm, forces in N, κ in mm³ per N and mm. Constants of hands and paper
// are from memory where nothing else is said, and to be replaced by the shop's own.
package filing
