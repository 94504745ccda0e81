package sheet

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/geometry"
	"ringtrue/internal/necktest"
	"ringtrue/internal/plan"
)

// planned plans the example neck, with words of its file replaced.
func planned(t testing.TB, pairs ...string) (sawBoard, *geometry.Layout) {
	t.Helper()
	data, err := os.ReadFile("../../examples/heron.toml")
	if err != nil {
		t.Fatal(err)
	}
	toml := string(data)
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(toml, pairs[i]) {
			t.Fatalf("%q is not in the example", pairs[i])
		}
		toml = strings.Replace(toml, pairs[i], pairs[i+1], 1)
	}
	m, l := necktest.Of(t, toml)
	a, err := answer.Plan(t.Context(), answer.PlanRequest{Model: m, Layout: l, Options: plan.Defaults()})
	if err != nil {
		t.Fatal(err)
	}
	return sawBoard{WorkPlan: a}, l
}

func TestSlots_Golden(t *testing.T) {
	b, _ := planned(t, `length = "640 mm"`, "bass = \"660 mm\"\ntreble = \"635 mm\"\nsquare_at = 7")
	p, err := Slots(b.WorkPlan, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 1)
	golden(t, p, "plan_slanted.svg")
}

func TestSlots_tilesClean(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		for _, size := range [][]string{nil, {`length = "640 mm"`, `length = "1050 mm"`}} {
			b, _ := planned(t, size...)
			pages, err := SlotTiles(b.WorkPlan, paper, Micrometres)
			if err != nil || len(pages) < 2 {
				t.Fatalf("paper %d: %d pages, %v", paper, len(pages), err)
			}
			for _, p := range pages {
				w, h := p.Size()
				if e := p.Extent(); !e.Within(draw.Box{W: w, H: h}) {
					t.Errorf("paper %d: a mark leaves the page: %+v", paper, e)
				}
			}
		}
	}
}

// TestTiles_cover: whatever the board's size, the tiles cover all of it, each
// fits its paper, neighbours share a strip, and every seam is drawn on the two
// sheets it joins at the same place of the board.
func TestTiles_cover(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length, width := rapid.Float64Range(100, 1500).Draw(t, "length"), rapid.Float64Range(30, 300).Draw(t, "width")
		b := sawBoard{WorkPlan: &answer.WorkPlan{Board: plan.Board{Outline: [4]geometry.Point{{X: 0, Y: -width / 2}, {X: length, Y: -width / 2}, {X: length, Y: width / 2}, {X: 0, Y: width / 2}}}}}
		low, high := b.bounds()
		for _, paper := range []Paper{A4, Letter} {
			wide, tall := paper.lying()
			tiles := b.tiles(wide, tall)
			seams := map[string]int{}
			reachX, reachY := low.X, low.Y
			for i, x := range tiles {
				if x.number != i+1 || x.of != len(tiles) {
					t.Fatalf("sheet %d of %d is the %dth of %d", x.number, x.of, i+1, len(tiles))
				}
				if x.high.X-x.low.X > wide-2*paperEdgeMM-sideMM+1e-9 || x.high.Y-x.low.Y > tall-2*paperEdgeMM-footMM+1e-9 {
					t.Fatalf("a tile of %g by %g on %g by %g", x.high.X-x.low.X, x.high.Y-x.low.Y, wide, tall)
				}
				if x.low.X > reachX+1e-9 && x.low.X > low.X || x.low.Y > reachY+1e-9 && x.low.Y > low.Y {
					t.Fatalf("a gap before sheet %d", x.number)
				}
				reachX, reachY = x.high.X, math.Max(reachY, x.high.Y)
				for _, s := range x.seams {
					at := s.at
					if s.upright && (at < x.low.X || at > x.high.X) || !s.upright && (at < x.low.Y || at > x.high.Y) {
						t.Fatalf("seam %s lies off sheet %d", s.name, x.number)
					}
					seams[fmt.Sprintf("%s %v %.6f", s.name, s.upright, s.at)]++
				}
			}
			last := tiles[len(tiles)-1]
			if math.Abs(last.high.X-high.X) > 1e-9 || math.Abs(last.high.Y-high.Y) > 1e-9 {
				t.Fatalf("the tiles end at %+v, the board at %+v", last.high, high)
			}
			for s, n := range seams {
				if n < 2 {
					t.Fatalf("seam %s stands on one sheet only", s)
				}
			}
		}
	})
}

func TestClip_inside(t *testing.T) {
	low, high := geometry.Point{X: 0, Y: 0}, geometry.Point{X: 10, Y: 5}
	for _, c := range []struct {
		a, b, p, q geometry.Point
		ok         bool
	}{
		{geometry.Point{X: -5, Y: 1}, geometry.Point{X: 15, Y: 1}, geometry.Point{X: 0, Y: 1}, geometry.Point{X: 10, Y: 1}, true},
		{geometry.Point{X: 2, Y: -5}, geometry.Point{X: 2, Y: 3}, geometry.Point{X: 2, Y: 0}, geometry.Point{X: 2, Y: 3}, true},
		{geometry.Point{X: 20, Y: 1}, geometry.Point{X: 30, Y: 1}, geometry.Point{}, geometry.Point{}, false},
		{geometry.Point{X: -1, Y: 4}, geometry.Point{X: 1, Y: 7}, geometry.Point{}, geometry.Point{}, false},
	} {
		p, q, ok := clip(c.a, c.b, low, high)
		if ok != c.ok || ok && (p != c.p || q != c.q) {
			t.Errorf("%v to %v: %v to %v, %v", c.a, c.b, p, q, ok)
		}
	}
}

// TestSlots_SVGisFullSize: the SVG says it is as many mm wide as its own
// numbers are, and the lines of two slots stand their distance apart.
func TestSlots_SVGisFullSize(t *testing.T) {
	b, l := planned(t)
	p, err := Slots(b.WorkPlan, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := p.WriteSVG(&out); err != nil {
		t.Fatal(err)
	}
	var svg struct {
		Width   string `xml:"width,attr"`
		ViewBox string `xml:"viewBox,attr"`
		Paths   []struct {
			D string `xml:"d,attr"`
		} `xml:"path"`
	}
	if err := xml.Unmarshal(out.Bytes(), &svg); err != nil {
		t.Fatal(err)
	}
	box := strings.Fields(svg.ViewBox)
	width, err := strconv.ParseFloat(strings.TrimSuffix(svg.Width, "mm"), 64)
	if err != nil || len(box) != 4 {
		t.Fatalf("width %q, view box %q", svg.Width, svg.ViewBox)
	}
	if across, err := strconv.ParseFloat(box[2], 64); err != nil || math.Abs(across-width) > 0.01 {
		t.Fatalf("%s wide, shown as %q", svg.Width, svg.ViewBox)
	}
	// Upright lines: x of every path that goes straight up or down.
	var xs []float64
	for _, q := range svg.Paths {
		var x, y, v float64
		if n, _ := fmt.Sscanf(q.D, "M%f %fV%f", &x, &y, &v); n == 3 {
			xs = append(xs, x)
		}
	}
	found := 0
	for fret := 2; fret <= l.LastFret(); fret++ {
		want := l.CentreX(fret) - l.CentreX(1)
		for _, x := range xs {
			if math.Abs(x-firstSlot(b)-want) < 0.0101 {
				found++
				break
			}
		}
	}
	if found != l.LastFret()-1 {
		t.Errorf("%d slots of %d stand where they should among %d upright lines", found, l.LastFret()-1, len(xs))
	}
}

// firstSlot is where fret 1 stands on the page.
func firstSlot(b sawBoard) float64 {
	low, _ := b.bounds()
	return math.Round((paperEdgeMM+sideMM+b.Frets[0].SlotEnds[0].X-low.X)*100) / 100
}

// TestTiles_PDFmeasured prints the first sheet to dots with an independent
// program and measures both check bars: 100 mm to 0.2 mm.
func TestTiles_PDFmeasured(t *testing.T) {
	pdftoppm, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("pdftoppm is not installed, so nothing measures the PDF")
	}
	b, l := planned(t)
	pages, err := SlotTiles(b.WorkPlan, A4, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := draw.WritePDFPages(&out, pages); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "slots.pdf")
	if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	const dpi = 254 // ten dots a mm
	picture, err := exec.Command(pdftoppm, "-r", fmt.Sprint(dpi), "-f", "1", "-l", "1", "-gray", "-png", file).Output()
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(picture))
	if err != nil {
		t.Fatal(err)
	}
	if w := img.Bounds().Dx(); w < 2969 || w > 2971 {
		t.Fatalf("an A4 sheet %d dots wide", w)
	}
	dark := func(x, y int) bool { r, _, _, _ := img.At(x, y).RGBA(); return r < 0x8000 }
	// The level bar's tick row: the end ticks are the outermost dark dots.
	row := 2100 - (paperEdgeMM+6)*10 - 30
	first, last := -1, -1
	for x := range 1300 {
		if dark(x, row) {
			if first < 0 {
				first = x
			}
			last = x
		}
	}
	if got := float64(last-first) / 10; math.Abs(got-checkMM) > 0.3 {
		t.Errorf("the level bar measures %.1f mm", got)
	}
	column := (paperEdgeMM+5)*10 + 25
	first, last = -1, -1
	for y := range 1300 {
		if dark(column, y) {
			if first < 0 {
				first = y
			}
			last = y
		}
	}
	if got := float64(last-first) / 10; math.Abs(got-checkMM) > 0.3 {
		t.Errorf("the upright bar measures %.1f mm", got)
	}
	// Slots 1 and 2 on a row just above the board's edge, where only their ticks
	// and the seam reach.
	_, high := b.bounds()
	y := int(10 * (paperEdgeMM + high.Y - (b.Frets[0].SlotEnds[1].Y + tickMM/2.0)))
	var marks []float64
	for x := 1; x < 2500; x++ {
		if dark(x, y) && !dark(x-1, y) {
			marks = append(marks, float64(x)/10)
		}
	}
	if len(marks) < 3 || math.Abs(marks[2]-marks[1]-(l.CentreX(2)-l.CentreX(1))) > 0.25 {
		t.Errorf("marks at %.1f mm; frets 1 and 2 should stand %.2f apart", marks, l.CentreX(2)-l.CentreX(1))
	}
}

// TestSlots_DXFreopened: an independent reader finds every slot where the
// plan has it, each kind on its layer, the outline closed.
func TestSlots_DXFreopened(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed, so no independent reader opens the DXF")
	}
	const home = "../draw/testdata/dxfreader"
	if _, err := os.Stat(filepath.Join(home, "node_modules", "dxf-parser")); err != nil {
		t.Skip("dxf-parser is not installed; run npm ci in internal/draw/testdata/dxfreader")
	}
	b, _ := planned(t, `length = "640 mm"`, "bass = \"660 mm\"\ntreble = \"635 mm\"")
	var file, out bytes.Buffer
	if err := SlotsDXF(b.WorkPlan, &file); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(node, "read.js")
	c.Dir, c.Stdin, c.Stdout = home, &file, &out
	if err := c.Run(); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Layers   []string
		Entities []struct {
			Type, Layer string
			Closed      bool
			Points      [][2]float64
		}
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if strings.Join(got.Layers, " ") != "SLOTS OUTLINE CENTRE_LINE NUMBERS" {
		t.Errorf("layers %v", got.Layers)
	}
	slots := 0
	for _, e := range got.Entities {
		switch e.Layer {
		case slotLayer:
			f := b.Frets[slots]
			slots++
			for i, p := range f.SlotEnds {
				if math.Hypot(e.Points[i][0]-p.X, e.Points[i][1]-p.Y) > 1e-6 {
					t.Errorf("fret %d: %v, want %v", f.Number, e.Points[i], p)
				}
			}
		case outlineLayer:
			if !e.Closed || len(e.Points) != 4 {
				t.Errorf("outline %+v", e)
			}
		}
	}
	if slots != 22 {
		t.Errorf("%d slots, want 22", slots)
	}
}

func TestSlots_bound(t *testing.T) {
	free, _ := planned(t)
	bound, _ := planned(t, `wood = "ebony"`, "wood = \"ebony\"\nbinding = \"1.5 mm\"")
	for i, f := range bound.Frets {
		if at, ends := free.Frets[i].SlotEnds, f.SlotEnds; math.Abs(at[1].Y-ends[1].Y-1.5) > 1e-9 || math.Abs(ends[0].Y-at[0].Y-1.5) > 1e-9 {
			t.Errorf("slot %d ends at %v", f.Number, ends)
		}
	}
}
