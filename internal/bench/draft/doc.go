// Package draft keeps necks in work: every reading of a neck as it is taken,
// safe on disk before anyone is told so.
//
// A neck in work is a journal, a file to which lines are only ever added: one
// change a line, with a checksum. What the neck is now follows from reading the
// lines in order; a change that was undone stays in the file. A last line that
// a crash tore is cut off when the journal is opened again: nobody was ever told
// that it was kept. A line that was damaged later is repaired where one bit was
// flipped, else passed over; either way its bytes are set aside in a file beside
// the journal, and the journal says so.
//
// Readings are kept as they were typed, in the unit they were typed in. CSV
// writes them as a readings file that package reading takes, the same bytes each
// time.
package draft
