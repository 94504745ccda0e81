package sheet

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/findings"
	"ringtrue/internal/text"
)

func someMoves(lanes, runs int) []findings.Move {
	moves := []findings.Move{{Tool: findings.File, Lanes: []float64{1, 5}, FromFret: 7, ToFret: 7,
		Until: []findings.MoveFlat{{Fret: 7, Lane: 1, FlatMM: 0.7}, {Fret: 7, Lane: 5, FlatMM: 0.25}}}}
	for r := range runs {
		m := findings.Move{Tool: findings.Beam, FromFret: 10, ToFret: 22, PressAtFret: 16, KeepInk: []int{19}}
		for lane := 1; lane <= lanes; lane++ {
			m.Lanes = append(m.Lanes, float64(lane))
			m.Until = append(m.Until, findings.MoveFlat{Fret: 10 + r, Lane: float64(lane), FlatMM: 0.1 * float64(lane%5+1)},
				findings.MoveFlat{Fret: 21, Lane: float64(lane), FlatMM: 0.45})
		}
		moves = append(moves, m)
	}
	return moves
}

// Every flat stands on the card once with its crown, at its true width, nothing over
// the paper's edge and no text on another.
func TestMovesCard_EveryFlatAtTrueSize(t *testing.T) {
	for _, size := range []struct{ lanes, runs, pages int }{{6, 1, 1}, {6, 0, 1}, {12, 2, 1}, {18, 5, 2}} {
		moves := someMoves(size.lanes, size.runs)
		for _, paper := range []Paper{A4, Letter} {
			pages, err := MovesCard("Heron 22 no. 0412", "not level", []string{text.MovesFlats(false)}, nil, nil, []string{text.FilingCare}, moves, 2.3, paper, Micrometres)
			if err != nil || len(pages) < size.pages {
				t.Fatalf("%v: %d pages, %v", size, len(pages), err)
			}
			seen, svg := map[string]int{}, strings.Builder{}
			for _, p := range pages {
				clean(t, p, 1.13)
				for _, words := range textsOf(p) {
					seen[words]++
				}
				if err := p.WriteSVG(&svg); err != nil {
					t.Fatal(err)
				}
			}
			want, wide := map[string]int{}, map[string]int{}
			for _, m := range moves {
				for _, u := range m.Until {
					place := text.FlatPlace(u)
					want[place[0]]++
					want[place[1]]++
					wide[fmt.Sprintf("%.2f", u.FlatMM)]++
				}
			}
			for place, n := range want {
				if seen[place] != n {
					t.Errorf("%v: %q stands there %d times, want %d", size, place, seen[place], n)
				}
			}
			if got := stripWidths(t, svg.String()); !maps.Equal(got, wide) {
				t.Errorf("%v: strips of these widths are drawn: %v, want %v", size, got, wide)
			}
		}
	}
}

func TestMovesCard_Golden(t *testing.T) {
	pages, err := MovesCard("Heron 22 no. 0412", "not level", []string{"From the readings of the stage seated: not level. 2026-03-04", text.MovesFlats(false)},
		nil, nil, []string{text.FilingCare}, someMoves(6, 1), 2.3, A4, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, pages[0], "moves.svg")
	if w, h := pages[0].Size(); math.Abs(w-210) > 1e-9 || math.Abs(h-297) > 1e-9 {
		t.Errorf("%g by %g mm", w, h)
	}
}

// stripWidths counts the dark strips as long as a piece of wire by their widths, mm.
func stripWidths(t *testing.T, svg string) map[string]int {
	t.Helper()
	strip := regexp.MustCompile(`<path d="M([\d.]+) ([\d.]+)H([\d.]+)V([\d.]+)H[\d.]+z" fill="#1f2226"/>`)
	out := map[string]int{}
	for _, m := range strip.FindAllStringSubmatch(svg, -1) {
		var v [4]float64
		for i := range v {
			var err error
			if v[i], err = strconv.ParseFloat(m[i+1], 64); err != nil {
				t.Fatal(err)
			}
		}
		if math.Abs(v[3]-v[1]-wireLong) < 0.011 {
			out[fmt.Sprintf("%.2f", math.Round((v[2]-v[0])/0.05)*0.05)]++ // places are written to 0.01 mm
		}
	}
	return out
}
