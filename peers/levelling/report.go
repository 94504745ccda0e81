package main

import (
	"context"
	"fmt"
	"math"
	"slices"

	"ringtrue/internal/level"
)

// report gathers the table.
type report struct {
	rows   []row
	notes  []string
	faults []string
}

type row struct {
	what, peer      string
	theirs, ours    float64 // µs
	differ, allowed float64
	wanted          float64 // ratio; 0: none
	count           int
}

func (t *report) fault(format string, args ...any) {
	t.faults = append(t.faults, fmt.Sprintf(format, args...))
}

func ctx() context.Context { return context.Background() }

// compare runs a peer that answers with one number a lane.
func (t *report) compare(what, peer string, us float64, ours []float64, wanted float64, run func() (answer, error)) {
	a, err := run()
	if err != nil {
		t.fault("%s: %v", peer, err)
		return
	}
	if len(a.values) == 0 || len(a.values) > len(ours) {
		t.fault("%s: %d answers to %d lanes", peer, len(a.values), len(ours))
		return
	}
	r := row{what, peer, a.us, us, 0, sameMM, wanted, len(a.values)}
	for k, v := range a.values {
		d := math.Abs(v - ours[k])
		if !(d <= sameMM) {
			t.fault("%s, %s, lane %d: %.12g, ours %.12g", what, peer, k, v, ours[k])
		}
		r.differ = math.Max(r.differ, d)
	}
	t.rows = append(t.rows, r)
}

// compareSets checks that a peer's best sets cost what ours cost: by its own
// total within its tolerance, and by an exact plan with its set within sameMM.
func (t *report) compareSets(what, peer string, us, wanted float64, necks [][]level.Lane, ours []found, theirs answer, err error) {
	if err != nil {
		t.fault("%s: %v", peer, err)
		return
	}
	if len(theirs.sets) != len(ours) {
		t.fault("%s: %d sets, ours %d", peer, len(theirs.sets), len(ours))
		return
	}
	r := row{what, peer, theirs.us, us, 0, sameMM, wanted, len(necks)}
	own := 0.0
	for k, o := range ours {
		f := theirs.sets[k]
		if !(math.Abs(f.total-o.total) <= integerSameMM) {
			t.fault("%s, %s, neck %d: %v for %.9f, ours %v for %.9f", what, peer, o.neck, f.refit, f.total, o.refit, o.total)
		}
		exact := f.total
		if len(f.refit) == len(o.refit) {
			exact = planWithout(necks[o.neck], f.refit)
		}
		own = math.Max(own, math.Abs(f.total-o.total))
		d := math.Abs(exact - o.total)
		if !(d <= sameMM) {
			t.fault("%s, %s, neck %d: set %v costs %.12f, ours %v %.12f", what, peer, o.neck, f.refit, exact, o.refit, o.total)
		}
		r.differ = math.Max(r.differ, d)
	}
	t.notes = append(t.notes, fmt.Sprintf("%s, %s: %d sets compared by their exact cost; its own totals differ by %.1e mm at most",
		what, peer, len(ours), own))
	t.rows = append(t.rows, r)
}

// planWithout is the least total of a neck some of whose frets are out.
func planWithout(lanes []level.Lane, refit []int) float64 {
	kept := make([]level.Lane, len(lanes))
	for k, l := range lanes {
		kept[k] = level.Lane{Lane: l.Lane}
		for i, f := range l.Frets {
			if !slices.Contains(refit, f) {
				kept[k].Frets = append(kept[k].Frets, f)
				kept[k].X = append(kept[k].X, l.X[i])
				kept[k].D = append(kept[k].D, l.D[i])
			}
		}
	}
	p, err := level.Least(kept, zoneMM)
	if err != nil {
		return math.NaN()
	}
	return p.TotalMM
}

func (t *report) print() {
	fmt.Printf("%-28s %-22s %12s %10s %8s %8s %10s %6s\n",
		"work (24 crowns, 6 lanes)", "peer", "peer, µs", "ours, µs", "ratio", "wanted", "differ, mm", "pieces")
	for _, r := range t.rows {
		wanted := ""
		if r.wanted > 0 {
			wanted = fmt.Sprintf(">= %.0f", r.wanted)
			if r.theirs/r.ours < r.wanted {
				wanted = fmt.Sprintf("NOT %.0f", r.wanted)
			}
		}
		fmt.Printf("%-28s %-22s %12.3f %10.4f %8.0f %8s %10.1e %6d\n",
			r.what, r.peer, r.theirs, r.ours, r.theirs/r.ours, wanted, r.differ, r.count)
	}
	for _, n := range t.notes {
		fmt.Println(n)
	}
	for k, f := range t.faults {
		if k == 20 {
			fmt.Printf("… and %d more\n", len(t.faults)-k)
			break
		}
		fmt.Println("FAULT:", f)
	}
}
