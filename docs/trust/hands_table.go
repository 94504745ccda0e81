package main

import (
	"fmt"
	"io"

	"golang.org/x/sync/errgroup"

	"ringtrue/internal/trial"
)

// atOnce is how many necks are filed at the same time.
const atOnce = 2

// runHands has necks of some classes filed by hands and writes the table; with blame
// each neck that is not level after two rounds too.
func runHands(out io.Writer, classes []trial.Class, a asked) error {
	fmt.Fprint(out, handsHead)
	var all []filed
	for _, c := range classes {
		got := make([]filed, a.plan.Necks)
		var group errgroup.Group
		group.SetLimit(atOnce)
		for k := range got {
			group.Go(func() error {
				n, err := c.Draw(a.plan.Seed+uint64(k), a.plan.Options)
				if err == nil {
					got[k], err = byHands(n)
				}
				if err != nil {
					return fmt.Errorf("%s, seed %d: %w", c.Name, a.plan.Seed+uint64(k), err)
				}
				return nil
			})
		}
		if err := group.Wait(); err != nil {
			return err
		}
		handsRow(out, c.Name, got)
		for _, g := range got {
			if a.blame && g.metal && !(g.next && g.two) {
				fmt.Fprintf(out, "  seed %d: moves %v, chance %.2f, %s\n", g.seed, g.moves, g.chance, g.why)
			}
		}
		all = append(all, got...)
	}
	handsRow(out, "all", all)
	return nil
}

const handsHead = `| class | necks | metal to take off | by moves | level at the next reading | after one round, read on where in doubt | after two | wrongly level | under least_crown | metal over planned | crown by crown: level at the next reading | metal over planned |
|---|---|---|---|---|---|---|---|---|---|---|---|
`

// handsRow sums necks up. What is said of moves, and of crown by crown beside them,
// is said of the necks that have moves.
func handsRow(out io.Writer, name string, got []filed) {
	var metal, moves, next, one, two, wrong, low, crowns int
	var taken, planned, byCrowns, first float64
	count := func(n *int, is bool) {
		if is {
			*n++
		}
	}
	for _, g := range got {
		count(&metal, g.metal)
		if !g.moves {
			continue
		}
		moves++
		count(&next, g.next)
		count(&one, g.one)
		count(&two, g.two)
		count(&wrong, g.wrong)
		count(&low, g.low)
		count(&crowns, g.crowns)
		taken, planned, byCrowns, first = taken+g.takenMM, planned+g.planned, byCrowns+g.crownsMM, first+g.firstMM
	}
	fmt.Fprintf(out, "| %s | %d | %d | %d | %d | %d | %d | %d | %d | %s | %d | %s |\n",
		name, len(got), metal, moves, next, one, two, wrong, low, over(taken, planned), crowns, over(byCrowns, first))
}

func over(a, b float64) string {
	if b == 0 {
		return "–"
	}
	return fmt.Sprintf("%.2f", a/b)
}
