package fileerr

import (
	"fmt"
	"slices"
	"strings"
)

// Alike is what faults have in common that are one fault on many rows.
type Alike struct{ File, Key, Kind string }

// Alike is what a fault has in common with those that are the same.
func (f Fault) Alike() Alike {
	if f.Kind == "" {
		return Alike{f.File, f.Key, f.Msg}
	}
	return Alike{f.File, f.Key, f.Kind}
}

// group is one fault and all its rows.
type group struct {
	first Fault
	lines []int
}

// fewRows is up to how many rows faults of one kind that say different things
// are printed one by one.
const fewRows = 5

// groups gathers faults that are alike, in the order of their first rows: those
// that say the same, and those of one kind where they are many rows'.
func (l List) groups() (all []group) {
	many := map[Alike]int{}
	for _, f := range l {
		many[f.Alike()]++
	}
	at := map[Alike]int{}
	for _, f := range l {
		key := f.Alike()
		if f.Line == 0 || many[key] <= fewRows {
			key = Alike{f.File, f.Key, f.Msg}
		}
		if i, known := at[key]; known {
			all[i].lines = append(all[i].lines, f.Line)
			continue
		}
		at[key] = len(all)
		all = append(all, group{f, []int{f.Line}})
	}
	return all
}

// String is the first fault, with the rows that have it where there are several.
func (g group) String() string {
	lines := slices.Compact(slices.Sorted(slices.Values(g.lines)))
	lines = lines[min(len(lines)-1, slices.Index(lines, 0)+1):] // 0 is no row
	if len(lines) == 1 {
		return g.first.Error()
	}
	return fmt.Sprintf("%s (rows %s)", g.first, rows(spans(lines), maxSpans))
}

// maxSpans is how many runs of rows a line names.
const maxSpans = 12

// span is a run of rows, from the first to the last.
type span struct{ from, to int }

// spans gathers rising numbers into runs.
func spans(lines []int) (all []span) {
	for _, n := range lines {
		if k := len(all) - 1; k >= 0 && all[k].to == n-1 {
			all[k].to = n
			continue
		}
		all = append(all, span{n, n})
	}
	return all
}

// rows names runs of rows, "4 to 9, 12 and 15"; beyond the most it counts.
func rows(all []span, most int) string {
	var words []string
	for i, s := range all {
		if i == most && len(all) > most+1 {
			more := 0
			for _, rest := range all[i:] {
				more += rest.to - rest.from + 1
			}
			words = append(words, fmt.Sprintf("%d more", more))
			break
		}
		switch s.to - s.from {
		case 0:
			words = append(words, fmt.Sprint(s.from))
		case 1:
			words = append(words, fmt.Sprint(s.from), fmt.Sprint(s.to))
		default:
			words = append(words, fmt.Sprintf("%d to %d", s.from, s.to))
		}
	}
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// withoutMisspelt leaves out what is missing only because it was misspelt.
func (l List) withoutMisspelt() List {
	meant := map[string]bool{}
	for _, f := range l {
		if f.Meant != "" {
			meant[f.File+"\n"+f.Meant] = true
		}
	}
	if len(meant) == 0 {
		return l
	}
	return slices.DeleteFunc(slices.Clone(l), func(f Fault) bool { return f.Missing != "" && meant[f.File+"\n"+f.Missing] })
}
