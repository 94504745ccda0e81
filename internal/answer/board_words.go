package answer

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/board"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// boardWords puts what package board found into sentences.
type boardWords struct {
	m neck.Model
	l *geometry.Layout
}

// finding is a finding in one line.
func (w boardWords) finding(f board.Finding) string {
	from, to := f.Frets[0], f.Frets[len(f.Frets)-1]
	switch size := math.Abs(f.DepthMM); f.Kind {
	case board.Hump:
		return fmt.Sprintf("hump over %s, %.2f mm high (%s)", slotRun(from, to), size, laneList(f.Lanes))
	case board.Dip:
		return fmt.Sprintf("dip over %s, %.2f mm deep (%s)", slotRun(from, to), size, laneList(f.Lanes))
	case board.Rise:
		return fmt.Sprintf("the board rises from slot %d on, %.2f mm (%s)", from, size, laneList(f.Lanes))
	case board.Bow:
		shape := "hollow"
		if f.DepthMM < 0 {
			shape = "high"
		}
		return fmt.Sprintf("bow of %.2f mm, %s in the middle (%s)", size, shape, laneList(f.Lanes))
	case board.Twisted:
		side := "treble"
		if f.DepthMM < 0 {
			side = "bass"
		}
		return fmt.Sprintf("twist of %.2f mm: the %s side is high at slot %d", size, side, to)
	}
	if f.DepthMM > 0 {
		return fmt.Sprintf("rounder than wanted at %s: the middle is up to %.2f mm proud", slotRun(from, to), f.DepthMM)
	}
	return fmt.Sprintf("flatter than wanted at %s: the edges are up to %.2f mm proud", slotRun(from, to), -f.DepthMM)
}

// next is a reading to take, in one or two sentences.
func (w boardWords) next(n board.Next) string {
	lanes := laneList(n.Lanes)
	slots := ""
	if len(n.Frets) > 0 {
		slots = slotRun(n.Frets[0], n.Frets[len(n.Frets)-1])
	}
	across := n.Method == reading.Arch
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
			return fmt.Sprintf("read the arch at %s too: nothing was read across there", slotRun(n.Frets[0], n.Frets[len(n.Frets)-1]))
		case len(n.Frets) > w.l.LastFret()-w.l.FirstFret():
			return fmt.Sprintf("read %s too, from the first slot to the last", lanes)
		}
		return fmt.Sprintf("read %s at %s too", lanes, slots)
	case board.ReadAcross:
		return fmt.Sprintf("read the arch at three slots or more, such as %s", w.threeSlots())
	case board.ReadTie:
		return fmt.Sprintf("read all of %s in one pass: %s not tied to the rest", lanes, isAre(len(n.Frets), slots))
	case board.ReadLeaf:
		if n.LeafMM > 0 {
			return fmt.Sprintf("try a %.3g mm leaf along %s: if it enters nowhere, %s straight", n.LeafMM, lanes, either(len(n.Lanes), "it is", "they are"))
		}
		return fmt.Sprintf("read %s with a dial on a beam, or with leaves in finer steps", lanes)
	case board.ReadLane:
		return fmt.Sprintf("read %s again, %s", lanes, morePasses(n.Passes))
	case board.ReadRadius:
		return fmt.Sprintf("read the arch %d more %s, spread over %s", n.Passes, either(n.Passes, "time", "times"), slots)
	case board.ReadScatter:
		return "the arch readings do not lie on one cone: read each again. If they repeat, sand to one radius"
	case board.ReadFiner:
		return fmt.Sprintf("the arch gauge is too coarse for %g mm of radius: use feet farther apart or a finer dial, and write its u in the file", w.m.Board.RadiusWithin)
	case board.ReadBorder:
		if across {
			return "the radius is right at its limit: more readings may not settle it, a few strokes with the radius block will"
		}
		return fmt.Sprintf("%s right at the limit: more passes may not settle it, a few strokes with the radius block will", isAre(len(n.Lanes), lanes))
	}
	return "read every lane and the arch once more"
}

// threeSlots names three slots spread over the board.
func (w boardWords) threeSlots() string {
	first, last := w.l.FirstFret(), w.l.LastFret()
	middle := first
	for f := first; f <= last; f++ {
		if math.Abs(w.l.CentreX(f)-w.l.CentreX(last)/2) < math.Abs(w.l.CentreX(middle)-w.l.CentreX(last)/2) {
			middle = f
		}
	}
	return fmt.Sprintf("%d, %d and %d", first, middle, last)
}

// advice is what to do, in order.
func (w boardWords) advice(b *board.Answer, a *BoardAnswer) []string {
	out := []string{}
	for _, n := range a.NextReadings {
		out = append(out, n.Why)
	}
	if b.Verdict != board.NotReady {
		return out
	}
	return append(w.work(b), out...)
}

// work is what to do to a board that is not ready.
func (w boardWords) work(b *board.Answer) []string {
	if s := b.Sanding; s != nil {
		lane, slot := deepest(s)
		out := []string{fmt.Sprintf("sand with the radius block as listed below, %s: at most %.2f mm, behind slot %d in lane %g",
			w.block(s), s.MostMM, slot, lane)}
		if !s.Tied {
			out = append(out, "no arch reading ties the lanes to each other: the list takes the wanted radius for it")
		}
		return out
	}
	bowed := slices.ContainsFunc(b.Findings, func(f board.Finding) bool { return f.Kind == board.Bow })
	if bowed && w.m.Body.Rod {
		return []string{"most of it is one bow: set the rod straight, or let the wood settle. Read again before sanding"}
	}
	return []string{"a few light strokes with the radius block will do"}
}

// block is the radius to sand to.
func (w boardWords) block(s *board.Sanding) string {
	switch {
	case math.IsInf(s.NutMM, 1):
		return "flat"
	case math.Abs(s.NutMM-s.LastMM) < 1:
		return fmt.Sprintf("%.0f mm", s.NutMM)
	}
	return fmt.Sprintf("%.0f mm at the nut to %.0f mm at the last slot", s.NutMM, s.LastMM)
}

// deepest is where most comes off.
func deepest(s *board.Sanding) (lane float64, slot int) {
	most := -1.0
	for _, k := range s.Lanes {
		for i, v := range k.RemoveMM {
			if v > most {
				most, lane, slot = v, k.Lane, k.Frets[i]
			}
		}
	}
	return lane, slot
}

func knockedWhy(k board.Knocked) string {
	how := "higher"
	if k.StepMM < 0 {
		how = "lower"
	}
	return fmt.Sprintf("all readings from slot %d on are %.2f mm %s than before; no other lane shows that, so the gauge moved", k.FromFret, math.Abs(k.StepMM), how)
}

func slotRun(from, to int) string {
	switch to {
	case from:
		return fmt.Sprintf("slot %d", from)
	case from + 1:
		return fmt.Sprintf("slots %d and %d", from, to)
	}
	return fmt.Sprintf("slots %d to %d", from, to)
}

// laneList is "lane 1", "lanes 1 and 6" or "lanes 1, 3.5 and 6".
func laneList(lanes []float64) string {
	switch len(lanes) {
	case 0:
		return "all lanes"
	case 1:
		return fmt.Sprintf("lane %g", lanes[0])
	}
	parts := make([]string, len(lanes))
	for i, l := range lanes {
		parts[i] = fmt.Sprintf("%g", l)
	}
	return "lanes " + strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

func isAre(n int, what string) string { return what + " " + either(n, "is", "are") }

func morePasses(n int) string {
	if n == 1 {
		return "one more pass"
	}
	return fmt.Sprintf("%d more passes", n)
}
