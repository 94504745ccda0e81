package text

import (
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/board"
	"ringtrue/internal/reading"
)

// TestBoardWords: what is said of each reading to take and of each finding.
func TestBoardWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{BoardFinding(board.Finding{Kind: board.Hump, Frets: []int{12, 13, 14, 15}, Lanes: []float64{1, 3.5}, DepthMM: 0.08}), "hump over slots 12 to 15, 0.08 mm high (lanes 1 and 3.5)"},
		{BoardFinding(board.Finding{Kind: board.Dip, Frets: []int{9}, Lanes: []float64{2}, DepthMM: 0.1}), "dip over slot 9, 0.10 mm deep (lane 2)"},
		{BoardFinding(board.Finding{Kind: board.Rise, Frets: []int{19, 22}, Lanes: []float64{1, 2, 3}, DepthMM: 0.1}), "the board rises from slot 19 on, 0.10 mm (lanes 1, 2 and 3)"},
		{BoardFinding(board.Finding{Kind: board.Bow, Frets: []int{1, 22}, DepthMM: -0.1}), "bow of 0.10 mm, high in the middle (all lanes)"},
		{BoardFinding(board.Finding{Kind: board.Twisted, Frets: []int{1, 22}, DepthMM: -0.15}), "twist of 0.15 mm: the bass side is high at slot 22"},
		{BoardFinding(board.Finding{Kind: board.Radius, Frets: []int{16, 17}, DepthMM: 0.03}), "rounder than wanted at slots 16 and 17: the middle is up to 0.03 mm proud"},
		{BoardFinding(board.Finding{Kind: board.Radius, Frets: []int{1, 22}, DepthMM: -0.03}), "flatter than wanted at slots 1 to 22: the edges are up to 0.03 mm proud"},
		{BoardNext(board.Next{Why: board.ReadAgain, Method: reading.Beam, Lanes: []float64{3}, Frets: []int{9}}, 5), "read slot 9 in lane 3 again"},
		{BoardNext(board.Next{Why: board.ReadAgain, Method: reading.Arch, Frets: []int{17}}, 5), "read the arch at slot 17 again"},
		{BoardNext(board.Next{Why: board.ReadKnocked, Lanes: []float64{3.5}, Frets: []int{12}}, 5), "read lane 3.5 again: the gauge moved at slot 12"},
		{BoardNext(board.Next{Why: board.ReadUnread, Lanes: []float64{1}, Frets: []int{15, 16, 17}}, 5), "read lane 1 at slots 15 to 17 too"},
		{BoardNext(board.Next{Why: board.ReadTie, Lanes: []float64{6}, Frets: []int{13, 14}}, 5), "read all of lane 6 in one pass: slots 13 and 14 are not tied to the rest"},
		{BoardNext(board.Next{Why: board.ReadLane, Lanes: []float64{1, 6}, Passes: 2}, 5), "read lanes 1 and 6 again, 2 more passes"},
		{BoardNext(board.Next{Why: board.ReadRadius, Method: reading.Arch, Frets: []int{1, 22}, Passes: 6}, 5), "read the arch 6 more times, spread over slots 1 to 22"},
		{BoardNext(board.Next{Why: board.ReadLeaf, Lanes: []float64{1}, LeafMM: 0.04}, 5), "try a 0.04 mm leaf along lane 1: if it enters nowhere, it is straight"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	avoid := []string{"stands", "bears", "anew", "so far", "so many", "cannot be told", "take again"}
	for why := board.ReadAgain; why <= board.ReadTogether; why++ {
		for _, method := range []reading.Method{reading.Arch, reading.Beam} {
			got := BoardNext(board.Next{Why: why, Method: method, Lanes: []float64{1}, Frets: []int{2, 3}, Passes: 1}, 5)
			if got == "" || len(got) > 170 || strings.Count(got, ". ") > 1 || slices.ContainsFunc(avoid, func(s string) bool { return strings.Contains(got, s) }) {
				t.Errorf("reason %d, %s: %q", why, method, got)
			}
		}
	}
}
