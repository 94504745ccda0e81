// Package hand learns what a hand does at the bench from what the shop's book has:
// how much metal a stroke takes, how deep the flats end beside what the eye takes them for,
// how long a job takes.
//
// A double stroke takes off so much metal however it is shared between crowns
// (J. F. Archard, Contact and rubbing of flat surfaces, 1953), q mm³, and
//
//	log q(neck j, entry i) = θ + b_j + e,
//
// with θ of hand, tool, paper and wire, b_j of that day's paper and pressure, e of
// the strokes. θ is known to a factor of three before anything is, from memory; the
// spreads of b and e are estimates. Depths are what the readings before less those
// after say, however small or negative.
//
// Strokes are for time, never for when to stop: the flat says that.
package hand
