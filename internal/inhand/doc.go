// Package inhand says what each neck in hand needs next, from its records and from
// what people said of it in between, and puts the necks in the order in which
// something can be done with them.
//
// The steps are those of the trade, from memory: dry the board, read, press what does
// not sit, let the glue set, level, read again, string, play. The clock is handed in;
// how long glue needs is asked of the caller, who knows the neck.
package inhand
