// Command trust puts the judgement of necks on trial against invented ones whose
// truth is known, and writes the table into docs/trust.md.
//
//	go run ./docs/trust                                 200 necks a class, into docs/trust.md
//	go run ./docs/trust -class played -necks 40 -print  one class, to the screen
//	go run ./docs/trust -class all -print               the further classes too
//	go run ./docs/trust -hands -necks 16                necks filed by their moves, into docs/trust.md
//	go run ./docs/trust -class odd -seed 7 -write DIR   a neck and its readings as files
package main
