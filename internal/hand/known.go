package hand

import (
	"cmp"
	"math"
	"slices"

	"ringtrue/internal/neck"
)

// Neck is one job of the book: what its strokes took off, how long it took.
type Neck struct {
	By, Wire string
	Done     []Done
	Blind    int // entries that no untouched crowns tell of
	Job      Job // Minutes 0: not said
}

// Key is what removal is learned for.
type Key struct {
	By    string `json:"by"`
	Tool  string `json:"tool"`
	Paper string `json:"paper"`
	Wire  string `json:"wire"`
}

// Learned is the removal of a key.
type Learned struct {
	Key
	Removal
}

// Known is what the book knows of a hand. The zero value is a usual hand.
type Known struct {
	By       string   // the hand; "" where it is nobody's in particular
	Hands    []string // whose strokes the book has, sorted
	Removals []Learned
	Eye      Eye
	Each     Counts // minutes of each step; all 0: the usual times
	Jobs     int    // that Each rests on
	Blind    int
}

// Know learns from the necks of a book: of the hand named by, or of the only one there
// is. each is what steps take before any job is known. Times are the shop's: all
// jobs count.
func Know(necks []Neck, by string, each Counts) Known {
	k := Known{By: by, Each: each}
	groups, flats := map[Key][][]Spot{}, [][]Spot{}
	var keys []Key
	for _, n := range necks {
		k.Blind += n.Blind
		mine, seen := map[Key][]Spot{}, []Spot{}
		for _, d := range n.Done {
			key := Key{cmp.Or(d.By, n.By), d.Tool, d.Paper, n.Wire}
			k.Hands = append(k.Hands, key.By)
			if by != "" && key.By != by {
				continue
			}
			mine[key] = append(mine[key], d.Spot)
			if d.Tool == File && d.FlatMM > 0 {
				seen = append(seen, d.Spot)
			}
		}
		for key, spots := range mine {
			if groups[key] == nil {
				keys = append(keys, key)
			}
			groups[key] = append(groups[key], spots)
		}
		flats = append(flats, seen)
	}
	slices.Sort(k.Hands)
	k.Hands = slices.Compact(k.Hands)
	slices.SortFunc(keys, compareKeys)
	for _, key := range keys {
		k.Removals = append(k.Removals, Learned{key, Learn(UsualRemoval(key.Tool), groups[key])})
	}
	if by == "" && len(k.Hands) == 1 {
		k.By = k.Hands[0]
	}
	if by != "" || len(k.Hands) == 1 {
		k.Eye = LearnEye(flats)
	}
	k.learnMinutes(necks)
	return k
}

func compareKeys(a, b Key) int {
	return cmp.Or(cmp.Compare(a.By, b.By), cmp.Compare(a.Tool, b.Tool), cmp.Compare(a.Paper, b.Paper), cmp.Compare(a.Wire, b.Wire))
}

func (k *Known) learnMinutes(necks []Neck) {
	var jobs []Job
	for _, n := range necks {
		if n.Job.Minutes > 0 {
			jobs = append(jobs, n.Job)
		}
	}
	if k.Jobs = len(jobs); k.Jobs > 0 {
		k.Each = LearnMinutes(k.Each, jobs)
	}
}

// TimesOnly is what is known of the shop's times, for a usual hand.
func (k *Known) TimesOnly() Known { return Known{Each: k.Each, Jobs: k.Jobs} }

// Several says that the book has strokes of more than one hand and nobody said
// which.
func (k *Known) Several() bool { return k.By == "" && len(k.Hands) > 1 }

// For is what a stroke of a tool takes on a wire, known where the book tells: of its
// records of the tool those with the paper and the wire first, else of what has most
// entries.
func (k *Known) For(tool, paper, wire string) (r Removal, known bool) {
	if k.Several() {
		return UsualRemoval(tool), false
	}
	best := -1
	for _, l := range k.Removals {
		if l.Tool != tool || !l.Known() {
			continue
		}
		rank := l.Spots
		if l.Wire == wire {
			rank += 1e4
		}
		if l.Paper == paper {
			rank += 1e5
		}
		if rank > best {
			best, r, known = rank, l.Removal, true
		}
	}
	if !known {
		r = UsualRemoval(tool)
	}
	return r, known
}

// Minutes is what each step takes, the usual where nothing was said.
func (k *Known) Minutes() Counts {
	if k.Each == (Counts{}) {
		return Each(neck.UsualShop().Minutes, 0)
	}
	return k.Each
}

// DeeperPct is how much deeper than planned flats end, in per cent, with the standard
// uncertainty.
func (e Eye) DeeperPct() (pct, u float64) {
	m := math.Exp(e.Bias)
	return 100 * (m - 1), 100 * m * e.U
}

// PctPerM is how much more a stroke takes after a metre of the same paper, in per cent.
func (w Worn) PctPerM() float64 { return 100 * (math.Exp(w.PerM) - 1) }

// PctAfter is the same after some metres.
func (w Worn) PctAfter(m float64) float64 { return 100 * (math.Exp(w.PerM*m) - 1) }
