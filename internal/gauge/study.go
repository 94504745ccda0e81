package gauge

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
)

// Reading is one row of a study.
type Reading struct {
	Line                            int // of the file; 0 for none
	Part, Operator, Trial, Run, Day string
	Value                           float64
	Reference                       *float64 // the known size of what was read; nil where not known
	U                               float64  // standard uncertainty of Reference
}

// Cross arranges readings as a crossed study. Parts, operators and trials come
// in order of their first appearance.
//
// ErrUneven names what is missing or stands twice.
func Cross(readings []Reading) (Crossed, error) {
	type place struct{ part, operator, trial string }
	var parts, operators, trials names
	at := map[place]Reading{}
	for _, r := range readings {
		p := place{r.Part, r.Operator, r.Trial}
		if first, twice := at[p]; twice {
			return Crossed{}, fmt.Errorf("%w: part %s, operator %s, trial %s appears twice%s", ErrUneven, r.Part, r.Operator, r.Trial, lines(first, r))
		}
		at[p] = r
		parts.add(r.Part)
		operators.add(r.Operator)
		trials.add(r.Trial)
	}
	c := Crossed{Parts: parts.list, Operators: operators.list}
	for _, part := range parts.list {
		var cells [][]float64
		for _, operator := range operators.list {
			var cell []float64
			for _, trial := range trials.list {
				r, there := at[place{part, operator, trial}]
				if !there {
					return Crossed{}, fmt.Errorf("%w: part %s, operator %s has no trial %s", ErrUneven, part, operator, trial)
				}
				cell = append(cell, r.Value)
			}
			cells = append(cells, cell)
		}
		c.Readings = append(c.Readings, cells)
	}
	return c, nil
}

// lines names where two rows stand, where they do in a file.
func lines(a, b Reading) string {
	if a.Line == 0 || b.Line == 0 {
		return ""
	}
	return fmt.Sprintf(", on lines %d and %d", a.Line, b.Line)
}

// Visits arranges readings as a nested study.
func Visits(readings []Reading) []Visit {
	type key struct{ part, run, day string }
	var order []key
	values := map[key][]float64{}
	for _, r := range readings {
		k := key{r.Part, r.Run, r.Day}
		if _, seen := values[k]; !seen {
			order = append(order, k)
		}
		values[k] = append(values[k], r.Value)
	}
	visits := make([]Visit, 0, len(order))
	for _, k := range order {
		visits = append(visits, visitOf(k.part, k.run, k.day, values[k]))
	}
	return visits
}

// Blocks arranges readings as a study against known sizes, in order of these.
// Readings without a Reference are left out; a size's uncertainty is the
// largest that any of its readings states.
func Blocks(readings []Reading) []Block {
	at := map[float64]*Block{}
	for _, r := range readings {
		if r.Reference == nil {
			continue
		}
		b := at[*r.Reference]
		if b == nil {
			b = &Block{Reference: *r.Reference}
			at[*r.Reference] = b
		}
		b.U = max(b.U, r.U)
		b.Readings = append(b.Readings, r.Value)
	}
	blocks := make([]Block, 0, len(at))
	for _, b := range at {
		blocks = append(blocks, *b)
	}
	sort.Slice(blocks, func(i, j int) bool { return blocks[i].Reference < blocks[j].Reference })
	return blocks
}

// Values returns the readings' values in order.
func Values(readings []Reading) []float64 {
	v := make([]float64, len(readings))
	for i, r := range readings {
		v[i] = r.Value
	}
	return v
}

// names is a list of words in order of their first appearance.
type names struct {
	list []string
	seen map[string]bool
}

func (n *names) add(name string) {
	if n.seen == nil {
		n.seen = map[string]bool{}
	}
	if !n.seen[name] {
		n.seen[name] = true
		n.list = append(n.list, name)
	}
}

// sameTrial makes "1", "01" and " 1" one trial.
func sameTrial(s string) string {
	if n, err := strconv.Atoi(strings.TrimSpace(s)); err == nil {
		return strconv.Itoa(n)
	}
	return s
}
