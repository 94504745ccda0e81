// Package kernel does the arithmetic of the contact run that all its time goes
// into: sums over the modes of a string. Each piece is written twice: plainly in
// Go, and as vector code that the generator in kernels/ writes for amd64. They
// give the same answers but for rounding. Which one runs is decided by a Path,
// asked of the processor at run time.
//
// Unequal lengths are the caller's bug and panic. Nothing here keeps a slice.
package kernel

//go:generate sh -c "cd ../../../kernels && go run . ../internal/play/kernel"
