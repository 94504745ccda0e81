package answer

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/board"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// boardOf judges the bare board of the examples, its readings changed.
func boardOf(t *testing.T, change func(r []reading.Reading) []reading.Reading) *BoardAnswer {
	t.Helper()
	m, l, readings := boardExample(t)
	a, err := Board(m, l, change(readings))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func boardExample(t *testing.T) (neck.Model, *geometry.Layout, []reading.Reading) {
	t.Helper()
	dir := filepath.Join("..", "..", "examples")
	data, err := os.ReadFile(filepath.Join(dir, "heron.toml"))
	if err != nil {
		t.Fatal(err)
	}
	m, err := neck.Parse("heron.toml", data)
	if err != nil {
		t.Fatal(err)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	if data, err = os.ReadFile(filepath.Join(dir, "heron-board.csv")); err != nil {
		t.Fatal(err)
	}
	set, err := reading.Parse("heron-board.csv", bytes.NewReader(data), reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
	if err != nil {
		t.Fatal(err)
	}
	return m, l, set.Readings
}

func asRead(r []reading.Reading) []reading.Reading { return r }

// TestBoard_JSON: the fields of the contract are there, with their words.
func TestBoard_JSON(t *testing.T) {
	data, err := json.Marshal(boardOf(t, asRead))
	if err != nil {
		t.Fatal(err)
	}
	var a struct {
		Neck, Verdict string
		Lanes         []struct {
			Lane    float64
			Zone    float64 `json:"zone_mm"`
			Verdict string
		}
		Arches []struct {
			Fret    int
			Radius  *float64 `json:"radius_mm"`
			U       *float64 `json:"u_mm"`
			Wanted  *float64 `json:"wanted_mm"`
			Verdict string
		}
		Findings []struct {
			Kind  string
			Frets []int
			Lanes []float64
			Depth float64 `json:"depth_mm"`
		} `json:"neck_findings"`
		Recheck []struct {
			Fret, Line int
			Method     string
		}
	}
	if err := json.Unmarshal(data, &a); err != nil {
		t.Fatal(err)
	}
	if a.Neck != "Heron 22" || a.Verdict != "not ready" || len(a.Lanes) != 3 || len(a.Arches) != 6 {
		t.Fatalf("%s", data)
	}
	if l := a.Lanes[0]; l.Lane != 1 || math.Abs(l.Zone-0.091) > 0.002 || l.Verdict != "not straight" || a.Lanes[2].Verdict != "straight" {
		t.Errorf("lanes %+v", a.Lanes)
	}
	if r := a.Arches[0]; r.Fret != 1 || math.Abs(*r.Radius-308.97) > 0.01 || math.Abs(*r.U-0.95) > 0.01 || math.Abs(*r.Wanted-307.8) > 0.01 || r.Verdict != "round" {
		t.Errorf("arch %+v", r)
	}
	if len(a.Findings) != 1 || a.Findings[0].Kind != "dip" || !slices.Equal(a.Findings[0].Frets, []int{9, 10, 11}) || math.Abs(a.Findings[0].Depth-0.08) > 0.01 {
		t.Errorf("findings %+v", a.Findings)
	}
	if len(a.Recheck) != 1 || a.Recheck[0].Fret != 17 || a.Recheck[0].Method != "arch" || a.Recheck[0].Line != 74 {
		t.Errorf("recheck %+v", a.Recheck)
	}
	for _, field := range []string{"recheck", "undetermined", "next_readings", "advice", "sanding", "unread", "passes", "neck_findings"} {
		if !strings.Contains(string(data), `"`+field+`":`) {
			t.Errorf("no field %s", field)
		}
	}
}

// TestBoard_Sand: the list by slots holds what the lanes hold, for the lanes of
// the plan, and nothing that rounds to nothing.
func TestBoard_Sand(t *testing.T) {
	a := boardOf(t, asRead)
	lanes, rows := a.SandList()
	if !slices.Equal(lanes, []float64{1, 3.5, 6}) || len(rows) < 15 {
		t.Fatalf("%v, %d rows", lanes, len(rows))
	}
	for _, r := range rows {
		for i, mm := range r.RemoveMM {
			at := slices.IndexFunc(a.Lanes[i].Sand, func(s BoardSand) bool { return s.Fret == r.Slot })
			if mm != 0 && (mm < leastSandMM || at < 0 || a.Lanes[i].Sand[at].RemoveMM != mm) {
				t.Errorf("slot %d, lane %g: %v", r.Slot, lanes[i], mm)
			}
		}
	}
	if sound := boardOf(t, func(r []reading.Reading) []reading.Reading {
		return slices.DeleteFunc(r, func(k reading.Reading) bool { return k.Lane == 1 || k.Frets[0] == 17 })
	}); sound.Sanding != nil || sound.Verdict != "in doubt" || len(sound.Unread) != 1 {
		t.Errorf("without lane 1: %+v", sound)
	}
}

// TestBoardWords: what is said of each reading to take and of each finding.
func TestBoardWords(t *testing.T) {
	m, l, _ := boardExample(t)
	w := boardWords{m: m, l: l}
	for _, c := range []struct{ got, want string }{
		{w.finding(board.Finding{Kind: board.Hump, Frets: []int{12, 13, 14, 15}, Lanes: []float64{1, 3.5}, DepthMM: 0.08}), "hump over slots 12 to 15, 0.08 mm high (lanes 1 and 3.5)"},
		{w.finding(board.Finding{Kind: board.Dip, Frets: []int{9}, Lanes: []float64{2}, DepthMM: 0.1}), "dip over slot 9, 0.10 mm deep (lane 2)"},
		{w.finding(board.Finding{Kind: board.Rise, Frets: []int{19, 22}, Lanes: []float64{1, 2, 3}, DepthMM: 0.1}), "the board rises from slot 19 on, 0.10 mm (lanes 1, 2 and 3)"},
		{w.finding(board.Finding{Kind: board.Bow, Frets: []int{1, 22}, DepthMM: -0.1}), "bow of 0.10 mm, high in the middle (all lanes)"},
		{w.finding(board.Finding{Kind: board.Twisted, Frets: []int{1, 22}, DepthMM: -0.15}), "twist of 0.15 mm: the bass side is high at slot 22"},
		{w.finding(board.Finding{Kind: board.Radius, Frets: []int{16, 17}, DepthMM: 0.03}), "rounder than wanted at slots 16 and 17: the middle is up to 0.03 mm proud"},
		{w.finding(board.Finding{Kind: board.Radius, Frets: []int{1, 22}, DepthMM: -0.03}), "flatter than wanted at slots 1 to 22: the edges are up to 0.03 mm proud"},
		{w.next(board.Next{Why: board.ReadAgain, Method: reading.Beam, Lanes: []float64{3}, Frets: []int{9}}), "read slot 9 in lane 3 again"},
		{w.next(board.Next{Why: board.ReadAgain, Method: reading.Arch, Frets: []int{17}}), "read the arch at slot 17 again"},
		{w.next(board.Next{Why: board.ReadKnocked, Lanes: []float64{3.5}, Frets: []int{12}}), "read lane 3.5 again: the gauge moved at slot 12"},
		{w.next(board.Next{Why: board.ReadUnread, Lanes: []float64{1}, Frets: []int{15, 16, 17}}), "read lane 1 at slots 15 to 17 too"},
		{w.next(board.Next{Why: board.ReadTie, Lanes: []float64{6}, Frets: []int{13, 14}}), "read all of lane 6 in one pass: slots 13 and 14 are not tied to the rest"},
		{w.next(board.Next{Why: board.ReadLane, Lanes: []float64{1, 6}, Passes: 2}), "read lanes 1 and 6 again, 2 more passes"},
		{w.next(board.Next{Why: board.ReadRadius, Method: reading.Arch, Frets: []int{1, 22}, Passes: 6}), "read the arch 6 more times, spread over slots 1 to 22"},
		{w.next(board.Next{Why: board.ReadLeaf, Lanes: []float64{1}, LeafMM: 0.04}), "try a 0.04 mm leaf along lane 1: if it enters nowhere, it is straight"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	avoid := []string{"stands", "bears", "anew", "so far", "so many", "cannot be told", "take again"}
	for why := board.ReadAgain; why <= board.ReadTogether; why++ {
		for _, method := range []reading.Method{reading.Arch, reading.Beam} {
			got := w.next(board.Next{Why: why, Method: method, Lanes: []float64{1}, Frets: []int{2, 3}, Passes: 1})
			if got == "" || len(got) > 170 || strings.Count(got, ". ") > 1 || slices.ContainsFunc(avoid, func(s string) bool { return strings.Contains(got, s) }) {
				t.Errorf("reason %d, %s: %q", why, method, got)
			}
		}
	}
}
