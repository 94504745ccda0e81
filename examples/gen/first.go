package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/trial"
)

// firstFolder has the files of docs/first-neck.md: one neck, 0413, from its bare
// board to its first service.
const firstFolder = "first"

// first is neck 0413 as it really is: each file is read off it, and what the
// program says of that file is done to it.
type first struct {
	model  neck.Model
	layout *geometry.Layout
	rng    *rand.Rand
	neck   *trial.Neck
	z      [][]float64 // crowns as they stand, [lane][fret]
}

// How neck 0413 comes out of the press, in mm, and how its dial scatters.
const (
	firstSeed   = 413
	firstHeight = 0.007  // scatter of whole frets
	firstTilt   = 0.0035 // and of their ends
	firstDial   = 0.0015
	inkMM       = 0.001 // as deep as a file goes and leaves the ink
)

// firstFiles are the tutorial's files, by name.
func firstFiles(dir string) (map[string]string, error) {
	n, err := beginFirst(filepath.Join(dir, firstFolder, "heron.toml"))
	if err != nil {
		return nil, err
	}
	files := map[string]string{}
	files["board.csv"], files["sanded.csv"] = n.boards()
	n.press()
	files["seated.csv"] = n.grid("frets pressed and glued, nothing filed", "2024-03-10", "Ines", func(fret, lane int) float64 {
		if fret == 9 && lane == 4 {
			return 0.1 // the dial's small hand
		}
		return 0
	})
	n.refit()
	files["pressed.csv"] = n.grid("frets 7 and 14 pressed again, 19 replaced, all three glued", "2024-03-11", "Ines", nil)
	if files["strokes.csv"], err = n.file(files["pressed.csv"]); err != nil {
		return nil, err
	}
	files["levelled.csv"] = n.grid("levelled by the moves, crowned, polished", "2024-03-12", "Ines", nil)
	if files["strings.csv"], err = n.strings(files["levelled.csv"]); err != nil {
		return nil, err
	}
	if files["played.wav"], files["moved.wav"], err = n.heard(); err != nil {
		return nil, err
	}
	files["heard.csv"] = n.answers()
	n.wear()
	files["serviced.csv"] = n.grid("back for service, played two years", "2026-03-09", "Ines", nil)
	return files, nil
}

func beginFirst(path string) (*first, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	n := &first{rng: rand.New(rand.NewPCG(firstSeed, 22))}
	if n.model, err = neck.Parse(path, data); err != nil {
		return nil, err
	}
	if n.layout, err = geometry.New(n.model); err != nil {
		return nil, err
	}
	n.neck = &trial.Neck{Model: n.model, Layout: n.layout}
	t := &n.neck.Truth
	for f := n.layout.FirstFret(); f <= n.layout.LastFret(); f++ {
		t.Frets = append(t.Frets, f)
	}
	for lane := 1; lane <= n.layout.Strings(); lane++ {
		t.Lanes = append(t.Lanes, float64(lane))
		var x []float64
		for _, f := range t.Frets {
			x = append(x, n.layout.LaneX(f, float64(lane)))
		}
		t.X = append(t.X, x)
		t.Shape = append(t.Shape, n.layout.Shape(float64(lane), t.Frets))
	}
	t.Z = t.Shape
	n.z = t.Crowns()
	return n, nil
}

// press puts the frets in: each as well as a press does it, and three that are not
// right.
func (n *first) press() {
	for i, f := range n.neck.Truth.Frets {
		height, tilt := firstHeight*n.rng.NormFloat64(), firstTilt*n.rng.NormFloat64()
		for k := range n.z {
			across := float64(k) / float64(len(n.z)-1) // 0 at the treble side
			n.z[k][i] += height + tilt*(2*across-1)
			for _, fault := range []fault{trebleUp(7, 0.075), high(14, 0.06), high(19, -0.05)} {
				n.z[k][i] += fault(f, float64(k+1), across)
			}
		}
	}
}

// refit presses 7 and 14 again and puts new wire in for 19: in line, as well as a hand
// does it, but for the new wire, which stands a little high.
func (n *first) refit() {
	for _, f := range []int{7, 14, 19} {
		height, tilt := refitHeight*n.rng.NormFloat64(), refitTilt*n.rng.NormFloat64()
		if f == 19 {
			height += newWire
		}
		i := f - n.layout.FirstFret()
		for k := range n.z {
			between := (n.z[k][i-1] - n.neck.Truth.Shape[k][i-1] + n.z[k][i+1] - n.neck.Truth.Shape[k][i+1]) / 2
			n.z[k][i] = n.neck.Truth.Shape[k][i] + between + height + tilt*(2*float64(k)/float64(len(n.z)-1)-1)
		}
	}
}

// file does the moves that the program gives for a set of readings, by a hand that
// knows nothing but them, and gives the table of its strokes.
func (n *first) file(rows string) (string, error) {
	a, err := n.judge(rows, 19)
	if err != nil {
		return "", err
	}
	if a.Work == nil || len(a.Work.First) > 0 || len(a.Work.Moves) == 0 {
		return "", fmt.Errorf("the pressed neck should be filed by moves: %+v", a.Work)
	}
	done := n.neck.TakeOff(n.z, a.Work.Moves, n.neck.UsualHands(), n.rng)
	b := &notes{comma: ",", point: "."}
	b.row("tool", "from_fret", "to_fret", "strokes", "ink")
	untouched := func(fret int) bool {
		return !slices.ContainsFunc(done.TakenMM, func(of []float64) bool { return of[fret-n.layout.FirstFret()] > inkMM })
	}
	run := 0
	for _, m := range a.Work.Moves {
		strokes := m.Strokes.OrNaN() // of a fret filed alone, as it is told
		if m.Tool != findings.File {
			strokes = float64(done.Strokes[run])
			run++
		}
		var ink []string
		for f := m.FromFret; f <= m.ToFret; f++ {
			if untouched(f) {
				ink = append(ink, strconv.Itoa(f))
			}
		}
		b.row(m.Tool, strconv.Itoa(m.FromFret), strconv.Itoa(m.ToFret), b.num(strokes, 1), strings.Join(ink, " "))
	}
	return b.text(), nil
}

func (n *first) judge(rows string, seated ...int) (*answer.FretsAnswer, error) {
	readings, err := n.parse(rows)
	if err != nil {
		return nil, err
	}
	return answer.Frets(context.Background(), answer.FretsRequest{Model: n.model, Layout: n.layout, Readings: readings, Moves: len(seated) > 0, Seated: seated})
}

func (n *first) parse(rows string) ([]reading.Reading, error) {
	set, err := reading.Parse("heron", bytes.NewReader([]byte(rows)), reading.Bounds{
		FirstFret: n.layout.FirstFret(), LastFret: n.layout.LastFret(), Strings: n.layout.Strings()})
	if err != nil {
		return nil, err
	}
	return set.Readings, nil
}

// grid reads every crown once, a dial on a straight beam along each lane, into the
// grid that `ringtrue sheet` makes. wrong is what a reading is misread by.
func (n *first) grid(says, date, by string, wrong func(fret, lane int) float64) string {
	b := &notes{comma: ",", point: "."}
	b.say("Heron 22, neck 0413: "+says+". Invented readings.", "method = beam", "unit = mm", "state = slack", "date = "+date, "by = "+by)
	b.row("fret", "6", "5", "4", "3", "2", "1")
	cells := make([][]string, len(n.z))
	for k := range n.z {
		offset, tilt := 0.4+0.02*n.rng.NormFloat64(), 5e-5*n.rng.NormFloat64()
		for i, f := range n.neck.Truth.Frets {
			v := offset + tilt*n.neck.Truth.X[k][i] + n.z[k][i] + firstDial*n.rng.NormFloat64()
			if wrong != nil {
				v += wrong(f, k+1)
			}
			cells[k] = append(cells[k], b.num(v, dialStep))
		}
	}
	for i, f := range n.neck.Truth.Frets {
		row := []string{strconv.Itoa(f)}
		for k := len(n.z) - 1; k >= 0; k-- {
			row = append(row, cells[k][i])
		}
		b.row(row...)
	}
	return b.text()
}

// boards are the readings of the bare board, low on the treble side over slots 9 to
// 11, and of the same board sanded.
func (n *first) boards() (bare, sanded string) {
	dip := func(slot int, across float64) float64 {
		return map[int]float64{9: -0.05, 10: -0.08, 11: -0.05}[slot] * math.Max(0, 1-1.6*across)
	}
	bare = n.board("the bare board, slots sawn", dip, 17)
	return bare, n.board("the board sanded", func(int, float64) float64 { return 0 }, 0)
}

// board reads the bare board just behind the slots, the outer lanes and the middle
// one, then its roundness; at slot misread the arch gauge is read 0.017 mm too high.
func (n *first) board(says string, off func(slot int, across float64) float64, misread int) string {
	b := &notes{comma: ",", point: "."}
	b.say("Heron 22, neck 0413: "+says+". Invented readings.",
		"0.002 mm dial on a straight beam just behind each slot; an arch gauge on two feet 40 mm apart.")
	b.row("method", "lane", "fret", "reading", "unit", "u", "span")
	for _, lane := range []float64{1, 3.5, 6} {
		across := (lane - 1) / 5
		offset, tilt := 0.4+0.02*n.rng.NormFloat64(), 5e-5*n.rng.NormFloat64()
		for f := 1; f <= n.layout.LastFret(); f++ {
			v := offset + tilt*n.layout.LaneX(f, lane) + off(f, across) + 0.004*n.rng.NormFloat64()
			b.row("beam", b.whole(lane), strconv.Itoa(f), b.num(v, dialStep), "mm", "0.005", "")
		}
	}
	for _, f := range []int{1, 5, 9, 13, 17, 21} {
		r := n.layout.Radius(n.layout.CentreX(f))
		v := r - math.Sqrt(r*r-20*20) + 0.0015*n.rng.NormFloat64()
		if f == misread {
			v += 0.017
		}
		b.row("arch", "", strconv.Itoa(f), b.num(v, 0.001), "mm", "0.002", "40")
	}
	return b.text()
}
