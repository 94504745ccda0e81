// Package listen says what a neck tells when it is played through note by note: which
// notes were heard, how far each lies from equal temperament, how far saddle and nut
// should move for it, which notes die early, and what the strings are by their sound.
//
// What a recording does not tell is left out. It never says that a note buzzes.
package listen
