// Command gen writes docs/reference.md and the man pages from the definitions
// that the program itself uses: its commands, the keys of the neck file, the
// columns of the readings file, the glossary.
//
//	go run ./docs/gen                 writes docs/reference.md
//	go run ./docs/gen -man DIR        writes man pages into DIR
//	go run ./docs/gen -completions DIR
package main
