// Command gen makes the readings of the example necks: it invents a neck with
// known faults, takes readings of it with simulated gauges, and writes them as
// a maker would have noted them. The same seed gives the same files.
//
//	go run ./examples/gen examples
//
// Its test holds the files in the repository against a fresh run, and the
// program's findings against the faults put in.
package main
