// Package demo invents a workshop and its necks, for trying the book and its
// charts on something that is known: two years, two wire lots, a press that
// wears, a careless hand, damp and dry months, and players who wear the frets.
// People, batches and necks are made up.
//
// A neck depends on the seed, on how many necks there are and on its place among
// them, so it comes out the same whatever else is worked out at the same time.
package demo
