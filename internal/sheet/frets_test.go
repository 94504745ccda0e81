package sheet

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
)

// testNeck is a neck of so many strings and frets; slant is how much longer the
// bass side's scale is, in mm.
func testNeck(t interface{ Fatalf(string, ...any) }, strings, frets int, slant float64) *geometry.Layout {
	m := neck.Model{
		Scale:   neck.Scale{Treble: 640, Bass: 640 + slant, Slanted: slant > 0, SquareAt: 9, Frets: frets, Divisions: 12},
		Board:   neck.Board{Radius: neck.Pair{300, 400}, Width: neck.Pair{8 + 7*float64(strings-1), 10 + 9*float64(strings-1)}},
		Strings: neck.Strings{Spread: neck.Pair{7 * float64(strings-1), 10.2 * float64(strings-1)}, Set: make([]neck.String, strings)},
	}
	if slant == 0 {
		m.Scale.SquareAt = 0
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return l
}

// heron is a neck with fret 7's treble end up, fret 14 high, fret 19 low, one
// reading to take again and two crowns not known.
func heron(l *geometry.Layout) *answer.FretsAnswer {
	s := &answer.FretsAnswer{
		Neck: "Heron 22", Verdict: "not level", ZoneLimitMM: 0.03,
		Work: &answer.Work{},
		Frets: []answer.FretFinding{
			{Fret: 7, Finding: "treble end not seated", Advice: "press and glue the treble end, let it set, read again. File only what is left"},
			{Fret: 14, Finding: "whole fret high", Advice: "press and glue it, let it set, read again. File only what is left"},
			{Fret: 19, Finding: "whole fret low", Advice: "reseat it higher or replace it. Don't chase a low fret with the file"},
		},
		Recheck:      []answer.Recheck{{Fret: 9, Lane: 4}},
		Undetermined: []answer.Undetermined{{Fret: 22, Lane: 6}, {Fret: 22, Lane: 5}},
	}
	for lane := 1; lane <= l.Strings(); lane++ {
		v := float64(lane)
		s.Lanes = append(s.Lanes, answer.LaneAnswer{Lane: v, ZoneMM: num.Some(0.090 + 0.002*v), UZoneMM: num.Some(0.004), Verdict: "not level"})
		for fret := 1; fret <= l.LastFret(); fret++ {
			c := answer.CrownAnswer{Fret: fret, Lane: v, OffMM: 0.009 * math.Sin(float64(fret)*1.3+v*0.4), Verdict: "level"}
			switch fret {
			case 7:
				c.OffMM = 0.065 - 0.012*(v-1)
			case 14:
				c.OffMM = 0.061 - 0.0004*v
			case 19:
				c.OffMM = -0.034 - 0.003*v
			}
			switch off := math.Abs(c.OffMM); {
			case off > 0.02:
				c.Verdict = map[bool]string{true: "high", false: "low"}[c.OffMM > 0]
			case off > 0.0085:
				c.Verdict = "in doubt"
			}
			known := fret != 22 || lane < 5
			if known {
				s.Crowns = append(s.Crowns, c)
			}
			if c.OffMM > 0.006 {
				remove := c.OffMM - 0.004
				s.Work.TotalRemoveMM += remove
				s.Work.MaxRemoveMM = math.Max(s.Work.MaxRemoveMM, remove)
				if known {
					s.Work.Crowns = append(s.Work.Crowns, answer.PlanCrown{Fret: fret, Lane: v, RemoveMM: remove})
				}
			}
		}
	}
	return s
}

func TestFrets_Golden(t *testing.T) {
	l := testNeck(t, 6, 22, 0)
	for name, c := range map[string]struct {
		paper Paper
		units Units
	}{
		"frets_a4.svg": {A4, Micrometres}, "frets_letter.svg": {Letter, Thousandths}, "frets_phone.svg": {Phone, Micrometres},
	} {
		t.Run(name, func(t *testing.T) {
			p, err := Frets(heron(l), l, c.paper, c.units)
			if err != nil {
				t.Fatal(err)
			}
			clean(t, p, 1)
			golden(t, p, name)
		})
	}
}

type testSize struct {
	strings, frets int
	slant          float64
}

func testSizes() []testSize {
	return []testSize{{6, 22, 0}, {4, 21, 0}, {7, 24, 25}, {12, 20, 0}, {12, 36, 0}, {1, 18, 0}, {18, 60, 0}}
}

// Whatever the heights, no text lies on another or leaves the page, in the Go
// fonts' widths and in the widest usual fallback's; and every known crown's
// number stands on the sheet.
func TestFrets_NoOverlap(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.SampledFrom(testSizes()).Draw(r, "neck")
		paper := rapid.SampledFrom([]Paper{A4, Letter, Phone}).Draw(r, "paper")
		units := rapid.SampledFrom([]Units{Micrometres, Thousandths}).Draw(r, "units")
		l := testNeck(r, n.strings, n.frets, n.slant)
		s := randomFrets(r, l)
		p, err := Frets(s, l, paper, units)
		if err != nil {
			r.Fatalf("%v", err)
		}
		clean(r, p, 1.13)
		hasNumbers(r, p, s, unitOf(units))
	})
}

// Every size of neck on every paper, with a quiet answer.
func TestFrets_EachNeck(t *testing.T) {
	for _, n := range testSizes() {
		for _, paper := range []Paper{A4, Letter, Phone} {
			t.Run(fmt.Sprintf("%dx%d paper %d", n.strings, n.frets, paper), func(t *testing.T) {
				l := testNeck(t, n.strings, n.frets, n.slant)
				p, err := Frets(heron(l), l, paper, Micrometres)
				if err != nil {
					t.Fatal(err)
				}
				clean(t, p, 1.13)
			})
		}
	}
}

func TestFrets_NoLane(t *testing.T) {
	l := testNeck(t, 6, 22, 0)
	if _, err := Frets(&answer.FretsAnswer{Neck: "bare", Verdict: "in doubt"}, l, A4, Micrometres); err == nil {
		t.Error("a sheet without a lane was drawn")
	}
	outside := &answer.FretsAnswer{Verdict: "in doubt", Undetermined: []answer.Undetermined{{Fret: 3, Lane: 9}}}
	if _, err := Frets(outside, l, A4, Micrometres); err == nil {
		t.Error("a lane beside the neck was drawn")
	}
}

// The same answer gives the same bytes, whatever the order of maps.
func TestFrets_Stable(t *testing.T) {
	l := testNeck(t, 6, 22, 0)
	s := heron(l)
	for i := range 9 {
		s.Undetermined = append(s.Undetermined, answer.Undetermined{Fret: i + 1, Lane: float64(i%6 + 1)})
	}
	var first []byte
	for range 5 {
		p, err := Frets(s, l, A4, Micrometres)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := p.WriteSVG(&b); err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = b.Bytes()
		} else if !bytes.Equal(first, b.Bytes()) {
			t.Fatal("two sheets of one answer differ")
		}
	}
}

// The neck stands to scale along its length: marks on paper are as far apart as
// frets are, in one proportion.
func TestFit_ToScale(t *testing.T) {
	for _, n := range testSizes() {
		l := testNeck(t, n.strings, n.frets, n.slant)
		for _, tall := range []bool{false, true} {
			f := &fretsSheet{l: l, frets: span2(1, n.frets), g: ground{tall: tall, along: 20, length: 230, board: 30, wide: 40}}
			f.fit()
			along := func(fret int) float64 {
				q := l.At(fret, 1)
				p := f.g.on(q.X, q.Y)
				if tall {
					return p.Y
				}
				return p.X
			}
			first, last := along(1), along(n.frets)
			for fret := 2; fret < n.frets; fret++ {
				want := (l.At(fret, 1).X - l.At(1, 1).X) / (l.At(n.frets, 1).X - l.At(1, 1).X)
				if got := (along(fret) - first) / (last - first); math.Abs(got-want) > 1e-9 {
					t.Errorf("%v fret %d stands at %.6f of the way, want %.6f", n, fret, got, want)
				}
			}
			if first < 20 || last > 250+1e-9 {
				t.Errorf("%v: frets from %.2f to %.2f leave 20 to 250", n, first, last)
			}
		}
	}
}

// Seen from above the treble side lies up when the nut is left, right when it is up.
func TestFit_Sides(t *testing.T) {
	l := testNeck(t, 6, 22, 0)
	f := &fretsSheet{l: l, frets: span2(1, 22), lanes: []float64{1, 2, 3, 4, 5, 6}, g: ground{length: 200, wide: 40, cells: 60, row: 8}}
	f.fit()
	treble, bass := l.At(5, 1), l.At(5, 6)
	if a, b := f.g.on(treble.X, treble.Y), f.g.on(bass.X, bass.Y); a.Y >= b.Y {
		t.Errorf("treble at %v, bass at %v", a, b)
	}
	if f.box(4, 0).Y >= f.box(4, 5).Y {
		t.Error("the numbers' lanes run the other way than the neck's")
	}
	f.g.tall = true
	if a, b := f.g.on(treble.X, treble.Y), f.g.on(bass.X, bass.Y); a.X <= b.X {
		t.Errorf("upright: treble at %v, bass at %v", a, b)
	}
	if f.box(4, 0).X <= f.box(4, 5).X {
		t.Error("upright: the numbers' lanes run the other way than the neck's")
	}
}

func TestRoundUp(t *testing.T) {
	for _, c := range [][2]float64{{0.0301, 0.05}, {0.05, 0.05}, {0.0649, 0.07}, {0.12, 0.15}, {0.8, 1}} {
		if got := unitOf(Micrometres).roundUp(c[0]); math.Abs(got-c[1]) > 1e-12 {
			t.Errorf("roundUp(%g) = %g, want %g", c[0], got, c[1])
		}
	}
}

func TestPlaces(t *testing.T) {
	got := places([]cellKey{{22, 6}, {22, 5}, {9, 4}, {3, 1}, {3, 2}, {3, 3}, {3, 4}})
	if want := "fret 3 in 4 lanes, fret 9 lane 4, fret 22 lanes 5 and 6"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func BenchmarkFrets(b *testing.B) {
	for _, n := range []testSize{{6, 22, 0}, {12, 36, 0}} {
		l := testNeck(b, n.strings, n.frets, n.slant)
		s := heron(l)
		b.Run(fmt.Sprintf("%dx%d", n.strings, n.frets), func(b *testing.B) {
			for b.Loop() {
				p, err := Frets(s, l, A4, Micrometres)
				if err != nil {
					b.Fatal(err)
				}
				if err := p.WriteSVG(io.Discard); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func hasNumbers(t *rapid.T, p *draw.Page, s *answer.FretsAnswer, u heightUnit) {
	shown := map[string]int{}
	for _, b := range p.TextBoxes() {
		shown[strings.TrimSuffix(b.Text, "?")]++
	}
	for _, c := range s.Crowns {
		words := u.signed(c.OffMM)
		if shown[words]--; shown[words] < 0 {
			t.Fatalf("fret %d lane %g: no %q on the sheet", c.Fret, c.Lane, words)
		}
	}
}

func randomFrets(r *rapid.T, l *geometry.Layout) *answer.FretsAnswer {
	words := func(name string) string { return rapid.StringMatching(`([a-z]{1,14} ){1,25}`).Draw(r, name) }
	verdicts := []string{"level", "high", "low", "in doubt"}
	whole := rapid.SampledFrom([]string{"level", "not level", "in doubt"})
	s := &answer.FretsAnswer{Neck: words("neck"), Verdict: whole.Draw(r, "verdict"), ZoneLimitMM: 0.03, Work: &answer.Work{}}
	size := rapid.SampledFrom([]float64{0.004, 0.03, 0.12, 1.4}).Draw(r, "size")
	seed := rapid.Uint64().Draw(r, "seed")
	next := func() float64 { // a cheap even spread in [0, 1)
		seed = seed*6364136223846793005 + 1442695040888963407
		return float64(seed>>11) / (1 << 53)
	}
	for lane := 1; lane <= l.Strings(); lane++ {
		v := float64(lane)
		s.Lanes = append(s.Lanes, answer.LaneAnswer{Lane: v, ZoneMM: num.Some(2 * size), UZoneMM: num.Some(size / 10), Verdict: []string{"level", "not level", "in doubt"}[int(3*next())]})
		for fret := l.FirstFret(); fret <= l.LastFret(); fret++ {
			switch {
			case next() < 0.1:
				s.Undetermined = append(s.Undetermined, answer.Undetermined{Fret: fret, Lane: v})
			default:
				c := answer.CrownAnswer{Fret: fret, Lane: v, OffMM: size * (2*next() - 1), Verdict: verdicts[int(4*next())]}
				if next() < 0.5 {
					s.Work.Crowns = append(s.Work.Crowns, answer.PlanCrown{Fret: fret, Lane: v, RemoveMM: size * next()})
				}
				s.Crowns = append(s.Crowns, c)
			}
			if next() < 0.02 {
				s.Recheck = append(s.Recheck, answer.Recheck{Fret: fret, Lane: v})
			}
		}
	}
	for i := range rapid.IntRange(0, l.LastFret()).Draw(r, "notes") {
		s.Frets = append(s.Frets, answer.FretFinding{Fret: i + 1, Finding: words("finding"), Advice: words("advice")})
	}
	for range rapid.IntRange(0, 3).Draw(r, "whole") {
		s.Findings = append(s.Findings, answer.NeckFinding{Finding: words("finding"), Advice: words("advice")})
	}
	for range rapid.IntRange(0, 2).Draw(r, "warnings") {
		s.Warnings = append(s.Warnings, words("warning"))
	}
	return s
}
