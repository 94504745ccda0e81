package main

import (
	"fmt"
	"math"
	"path/filepath"
)

// Impulses must agree within this: of a note's, and of a single fret against its
// note's. Rounding, grown by the contacts, takes up some of it.
const sameShare = 1e-8

// compare runs everyone on the notes of a touch, prints times and ratios, and
// returns how many answers differ from the Go peer's.
func compare(build, neckFile, touch string, rounds int) (differ int, err error) {
	notes, err := readNotes(neckFile, touch)
	if err != nil {
		return 0, err
	}
	file := filepath.Join(build, "notes-"+touch+".txt")
	if err := writeNotes(file, notes); err != nil {
		return 0, err
	}
	plain := plainGo(notes, rounds)
	peers := []result{plain}
	for _, program := range []string{"O3", "fast-math"} {
		for _, loop := range []string{"rows", "frets"} {
			r, err := cpp(build, program, loop, file, rounds)
			if err != nil {
				return 0, err
			}
			peers = append(peers, r)
		}
	}
	fastest := math.Min(peers[3].seconds, peers[4].seconds)
	fmt.Printf("\n%s: %d notes of %g s, one core\n", touch, len(notes), seconds)
	fmt.Printf("  %-36s %9s %7s %7s %8s %7s %9s %9s\n", "program", "ms", "× Go", "× C++", "cores 2", "notes", "note", "fret")
	fmt.Printf("  %-36s %9s %7s %7s %8s %7s %9s %9s\n", "", "", "", "", "", "touch", "differ", "differ")
	for _, r := range peers {
		differ += show(r, plain, notes, "", "", "")
	}
	r, err := ours(notes, 3*rounds)
	if err != nil {
		return 0, err
	}
	one, two := onCores(notes, 1, rounds), onCores(notes, 2, rounds)
	differ += show(r, plain, notes, fmt.Sprintf("%.1f", plain.seconds/r.seconds), fmt.Sprintf("%.2f", fastest/r.seconds), fmt.Sprintf("%.2f", one/two))
	return differ, nil
}

// show prints a line, and returns how many notes differ from the Go peer's.
func show(r, want result, notes []note, overGo, overCpp, cores string) (differ int) {
	touched, worstNote, worstFret := 0, 0.0, 0.0
	if len(r.met) != len(notes) {
		fmt.Printf("  %s: %d notes answered\n", r.name, len(r.met))
		return len(notes)
	}
	for i := range notes {
		any, same, note, fret := against(r.met[i], want.met[i])
		if any {
			touched++
		}
		worstNote, worstFret = math.Max(worstNote, note), math.Max(worstFret, fret)
		if !same || !(note <= sameShare) || !(fret <= sameShare) {
			differ++
			fmt.Printf("  DIFFERS, %s, %s: note by %.2g, fret by %.2g, contacts the same: %v\n", r.name, notes[i].name, note, fret, same)
		}
	}
	fmt.Printf("  %-36s %9.1f %7s %7s %8s %7d %9.1e %9.1e\n", r.name, r.seconds*1e3, overGo, overCpp, cores, touched, worstNote, worstFret)
	return differ
}

// against compares what a note met: whether anything was touched, whether every
// fret was touched first in the same step and as often, and by which share of
// the note's impulse the note and the worst fret differ.
func against(got, want []strike) (touched, same bool, note, fret float64) {
	if len(got) != len(want) {
		return false, false, math.Inf(1), math.Inf(1)
	}
	same = true
	sum, all := 0.0, 0.0
	for j, w := range want {
		g := got[j]
		touched = touched || g.contacts > 0
		same = same && g.first == w.first && g.contacts == w.contacts
		sum, all = sum+g.impulseNS, all+w.impulseNS
		fret = math.Max(fret, math.Abs(g.impulseNS-w.impulseNS))
	}
	if all == 0 {
		return touched, same && sum == 0, sum, fret
	}
	return touched, same, math.Abs(sum-all) / all, fret / all
}
