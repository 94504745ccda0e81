// Command levelling runs ringtrue's levelling mathematics and general solvers,
// each a program of its own, on the same lanes and necks, compares the answers
// and prints both raw times. It ends with status 1 where answers differ.
//
// Peers that are not there are named and left out. Start it with ../run.sh.
package main

import (
	"flag"
	"fmt"
	"os"
	"runtime"
)

func main() {
	build := flag.String("build", "", "folder with the built peers, where inputs and outputs go too")
	python := flag.String("python", "/usr/bin/python3", "Python with scipy")
	lanes := flag.Int("lanes", 1200, "lanes for removal and zone")
	necks := flag.Int("necks", 8, "necks of each kind for the refit search")
	flag.Parse()
	runtime.GOMAXPROCS(1) // one core for us as for each peer
	if err := run(*build, *python, *lanes, *necks); err != nil {
		fmt.Fprintln(os.Stderr, "levelling:", err)
		os.Exit(1)
	}
}

func run(build, python string, laneCount, neckCount int) error {
	m := describe(python)
	fmt.Println(m)
	in := drawInputs(laneCount, neckCount)
	if err := in.write(build); err != nil {
		return err
	}
	var t report
	t.lanes(in, build, python)
	if neckCount > 0 {
		t.refits(in, build, python)
	}
	t.print()
	if len(t.faults) > 0 {
		return fmt.Errorf("%d answers differ or are missing, first: %s", len(t.faults), t.faults[0])
	}
	return nil
}
