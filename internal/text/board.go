package text

import (
	"fmt"
	"math"
	"strings"

	"ringtrue/internal/board"
	"ringtrue/internal/reading"
)

// BoardOpen is why a place of a board is not determined.
func BoardOpen(why board.WhyOpen) string {
	switch why {
	case board.TooFew:
		return "too few slots in this pass: the gauge's own offset and tilt use up two, so read three or more"
	case board.NotTied:
		return "not tied to the lane's other slots: let two passes share two slots or more"
	case board.OneSided:
		return "a rocker that rocks, or not, gives only a limit: read its gap, or use a straightedge"
	}
	return "its readings contradict each other: read it again"
}

// BoardMisread is why a reading of a board was set aside.
func BoardMisread(m board.Misread) string {
	switch m.Why {
	case board.OddInLane:
		return fmt.Sprintf("is %.2f mm off the others. Read it again: if it repeats, it is real", m.OffMM)
	case board.OddAcross:
		return fmt.Sprintf("is %.3f mm off the other readings across. Read it again: if it repeats, it is real", m.OffMM)
	case board.OddOrOther:
		return "this and another arch reading contradict each other, and the rest doesn't show which is wrong"
	}
	return "the other touches there contradict it"
}

// BoardKnocked is why a gauge is taken to have moved in a pass.
func BoardKnocked(k board.Knocked) string {
	return fmt.Sprintf("all readings from slot %d on are %.2f mm %s than before. No other lane shows that, so the gauge moved",
		k.FromFret, math.Abs(k.StepMM), bySign(k.StepMM, "higher", "lower"))
}

// BoardStraightness is how straight a lane is beside the limit, mm.
func BoardStraightness(l board.Lane, limitMM float64) string {
	if r := l.ZoneRangeMM; r != nil {
		return fmt.Sprintf("worst lane %g: within %.3f to %.3f mm (leaves), the limit is %.3f mm", l.Lane, r[0], r[1], limitMM)
	}
	return fmt.Sprintf("worst lane %g: within %.3f ± %.3f mm, %s; the limit is %.3f mm", l.Lane, l.ZoneMM, l.UZoneMM, TwoInThree, limitMM)
}

// BoardRadius is a board's radius at both ends of what was read across, and what
// is wanted, within so many mm.
func BoardRadius(c board.Cone, withinMM float64) string {
	return fmt.Sprintf("radius %.1f ± %.1f mm at slot %d, %.1f ± %.1f mm at slot %d, %s; wanted %.1f and %.1f mm, within %g mm",
		c.FromMM, c.UFromMM, c.FromFret, c.ToMM, c.UToMM, c.ToFret, TwoInThree, c.FromWantedMM, c.ToWantedMM, withinMM)
}

// BoardFinding is a finding of a board in one line.
func BoardFinding(f board.Finding) string {
	size, slots, lanes := math.Abs(f.DepthMM), slotRun(f.Frets), boardLanes(f.Lanes)
	switch f.Kind {
	case board.Hump:
		return fmt.Sprintf("hump over %s, %.2f mm high (%s)", slots, size, lanes)
	case board.Dip:
		return fmt.Sprintf("dip over %s, %.2f mm deep (%s)", slots, size, lanes)
	case board.Rise:
		return fmt.Sprintf("the board rises from slot %d on, %.2f mm (%s)", f.Frets[0], size, lanes)
	case board.Bow:
		return fmt.Sprintf("bow of %.2f mm, %s in the middle (%s)", size, bySign(f.DepthMM, "hollow", "high"), lanes)
	case board.Twisted:
		return fmt.Sprintf("twist of %.2f mm: the %s side is high at slot %d", size, bySign(f.DepthMM, "treble", "bass"), f.Frets[len(f.Frets)-1])
	}
	if f.DepthMM > 0 {
		return fmt.Sprintf("rounder than wanted at %s: the middle is up to %.2f mm proud", slots, size)
	}
	return fmt.Sprintf("flatter than wanted at %s: the edges are up to %.2f mm proud", slots, size)
}

// BoardNext is a reading of a board to take, in one or two sentences; withinMM is
// board.radius_within.
func BoardNext(n board.Next, withinMM float64) string {
	lanes, slots, across := boardLanes(n.Lanes), slotRun(n.Frets), n.Method == reading.Arch
	switch n.Why {
	case board.ReadAgain:
		if across {
			return fmt.Sprintf("read the arch at slot %d again", n.Frets[0])
		}
		return fmt.Sprintf("read slot %d in %s again", n.Frets[0], lanes)
	case board.ReadKnocked:
		return fmt.Sprintf("read %s again: the gauge moved at slot %d", lanes, n.Frets[0])
	case board.ReadUnread:
		switch {
		case across:
			return fmt.Sprintf("read the arch at %s too: nothing was read across there", slots)
		case n.Whole:
			return fmt.Sprintf("read %s too, from the first slot to the last", lanes)
		}
		return fmt.Sprintf("read %s at %s too", lanes, slots)
	case board.ReadAcross:
		return fmt.Sprintf("read the arch at three slots or more, such as %d, %d and %d", n.Such[0], n.Such[1], n.Such[2])
	case board.ReadTie:
		return fmt.Sprintf("read all of %s in one pass: %s not tied to the rest", lanes, isAre(len(n.Frets), slots))
	case board.ReadLeaf:
		if n.LeafMM > 0 {
			return fmt.Sprintf("try a %.3g mm leaf along %s: if it enters nowhere, %s straight", n.LeafMM, lanes, either(len(n.Lanes), "it is", "they are"))
		}
		return fmt.Sprintf("read %s with a dial on a beam, or with leaves in finer steps", lanes)
	case board.ReadLane:
		return fmt.Sprintf("read %s again, %s", lanes, either(n.Passes, "one more pass", fmt.Sprintf("%d more passes", n.Passes)))
	case board.ReadRadius:
		return fmt.Sprintf("read the arch %d more %s, spread over %s", n.Passes, either(n.Passes, "time", "times"), slots)
	case board.ReadScatter:
		return "the arch readings don't lie on one cone. Read each again; if they repeat, sand to one radius"
	case board.ReadFiner:
		return fmt.Sprintf("the arch gauge is too coarse for %g mm of radius: use feet farther apart or a finer dial, and write its u in the file", withinMM)
	case board.ReadBorder:
		if across {
			return "the radius is right at its limit. More readings may not settle it, a few strokes with the radius block will"
		}
		return fmt.Sprintf("%s right at the limit. More passes may not settle it, a few strokes with the radius block will", isAre(len(n.Lanes), lanes))
	}
	return "read every lane and the arch again"
}

// BoardWork is what to do to a board that is not ready, before it is read again.
func BoardWork(b *board.Answer) []string {
	s := b.Sanding
	switch {
	case b.Waits:
		return []string{"most of this is one bow. Set the rod straight, or let the wood settle, and read again before sanding"}
	case s == nil:
		return []string{"a few light strokes with the radius block will do"}
	}
	lane, slot := s.Deepest()
	out := []string{fmt.Sprintf("sand with the radius block as listed, %s: at most %.2f mm, behind slot %d in lane %g", block(s), s.MaxMM, slot, lane)}
	if !s.Tied {
		out = append(out, "no arch reading ties the lanes to each other: the list uses the wanted radius for that")
	}
	return out
}

// block is the radius to sand to.
func block(s *board.Sanding) string {
	nut, round := s.NutMM.Get()
	switch last := s.LastMM.OrNaN(); {
	case !round:
		return "flat"
	case math.Abs(nut-last) < 1:
		return fmt.Sprintf("%.0f mm", nut)
	default:
		return fmt.Sprintf("%.0f mm at the nut to %.0f mm at the last slot", nut, last)
	}
}

// slotRun names a run of slots by its ends; nothing where there are none.
func slotRun(slots []int) string {
	if len(slots) == 0 {
		return ""
	}
	switch from, to := slots[0], slots[len(slots)-1]; to {
	case from:
		return fmt.Sprintf("slot %d", from)
	case from + 1:
		return fmt.Sprintf("slots %d and %d", from, to)
	default:
		return fmt.Sprintf("slots %d to %d", from, to)
	}
}

// boardLanes is "lane 1", "lanes 1 and 6" or "lanes 1, 3.5 and 6".
func boardLanes(lanes []float64) string {
	if len(lanes) == 0 {
		return "all lanes"
	}
	return listed("lane", lanes)
}

// listed names one or several by their numbers: "lanes 1, 3.5 and 6".
func listed(word string, numbers []float64) string {
	parts := make([]string, len(numbers))
	for i, n := range numbers {
		parts[i] = fmt.Sprintf("%g", n)
	}
	if len(parts) == 1 {
		return word + " " + parts[0]
	}
	return word + "s " + strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

func isAre(n int, what string) string { return what + " " + either(n, "is", "are") }

func either(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// bySign chooses a word for a number and another for one below 0.
func bySign(v float64, word, below string) string {
	if v < 0 {
		return below
	}
	return word
}
