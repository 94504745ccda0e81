// Command contact runs ringtrue's contact run and stepwise programs, in Go and
// in C++, on the same notes, compares the answers and prints both raw times. It
// ends with status 1 where answers differ. Start it with ../run.sh.
//
// One core: processor time, the sum over all notes of each note's best of
// several rounds, which other work on the machine disturbs least. Two cores: the
// whole neck at once, by the clock.
package main

import (
	"flag"
	"fmt"
	"os"
	"strings"
)

func main() {
	build := flag.String("build", "", "folder with the built peers, where inputs go too")
	neckFile := flag.String("neck", "../testdata/contact/neck24.toml", "neck file")
	touches := flag.String("touches", "light,firm,hard", "touches of the neck file")
	rounds := flag.Int("rounds", 7, "rounds; the best of them counts")
	flag.Parse()
	differ := 0
	for _, touch := range strings.Split(*touches, ",") {
		more, err := compare(*build, *neckFile, touch, *rounds)
		if err != nil {
			fmt.Fprintln(os.Stderr, "contact:", err)
			os.Exit(1)
		}
		differ += more
	}
	if differ > 0 {
		fmt.Fprintf(os.Stderr, "contact: %d answers differ\n", differ)
		os.Exit(1)
	}
}
