// Package findings judges a neck's estimated crowns and says what is wrong with
// each fret, and with the neck as a whole, in the trade's words.
package findings
