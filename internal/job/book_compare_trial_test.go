package job

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// trialNeck is a neck whose crowns are known, read at two stages.
type trialNeck struct {
	model  neck.Model
	layout *geometry.Layout
	rng    *rand.Rand
	lines  int
}

func newTrialNeck(t testing.TB, seed uint64) *trialNeck {
	t.Helper()
	toml, err := os.ReadFile(filepath.Join("..", "..", "examples", "heron.toml"))
	if err != nil {
		t.Fatal(err)
	}
	m, l, _, err := ParseFiles(book.Files{
		Neck:     book.File{Name: "heron.toml", Bytes: toml},
		Readings: book.File{Name: "r.csv", Bytes: []byte("method,lane,fret,reading,unit\nbeam,1,1,0,mm\nbeam,1,2,0,mm\nbeam,1,3,0,mm\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	return &trialNeck{model: m, layout: l, rng: rand.New(rand.NewPCG(seed, 77))}
}

// crownsAt is a neck's heights, mm, by fret and lane.
type crownsAt func(fret, lane int) float64

// seated is how the frets went in, the same at both stages: whole frets off by
// 0.01, one in six necks with a fret that sits badly.
func (n *trialNeck) seated() crownsAt {
	whole, tilt := make([]float64, 23), make([]float64, 23)
	for f := range whole {
		whole[f], tilt[f] = 0.01*n.rng.NormFloat64(), 0.008*n.rng.NormFloat64()
	}
	if n.rng.IntN(3) == 0 {
		whole[1+n.rng.IntN(22)] += 0.08 * n.rng.NormFloat64()
		tilt[1+n.rng.IntN(22)] += 0.08 * n.rng.NormFloat64()
	}
	return func(f, l int) float64 { return whole[f] + tilt[f]*(float64(l)-3.5)/5 }
}

// bowed is a hollow of a depth alike in the lanes, nut to last fret.
func (n *trialNeck) bowed(mm float64) crownsAt {
	return func(f, l int) float64 {
		s := n.layout.LaneX(f, float64(l)) / n.layout.LaneX(22, float64(l))
		return -4 * mm * s * (1 - s)
	}
}

// clustered wears half of the twenty crowns at frets 1 to 5 in lanes 1 to 4 by
// half to one and a half of a figure.
func (n *trialNeck) clustered(mm float64) crownsAt {
	deep := map[[2]int]float64{}
	for k, i := range n.rng.Perm(20) {
		if k < 10 {
			deep[[2]int{1 + i%5, 1 + i/5}] = mm * (0.5 + n.rng.Float64())
		}
	}
	return func(f, l int) float64 { return -deep[[2]int{f, l}] }
}

// alone wears three crowns that are no neighbours.
func (n *trialNeck) alone(mm float64) crownsAt {
	at := map[[2]int]bool{}
	for _, l := range n.rng.Perm(6)[:3] {
		at[[2]int{1 + n.rng.IntN(9), 1 + l}] = true
	}
	return func(f, l int) float64 {
		if at[[2]int{f, l}] {
			return -mm
		}
		return 0
	}
}

func heightsAdded(parts ...crownsAt) crownsAt {
	return func(f, l int) (z float64) {
		for _, p := range parts {
			z += p(f, l)
		}
		return z
	}
}

// gauges read a stage: a name such as "beam2" or "bridge+beam".
func (n *trialNeck) read(gauges string, z crownsAt) []reading.Reading {
	var out []reading.Reading
	for k, g := range strings.Split(gauges, "+") {
		passes := 1
		if last := g[len(g)-1]; last >= '0' && last <= '9' {
			passes, g = int(last-'0'), g[:len(g)-1]
		}
		for p := range passes {
			pass := fmt.Sprintf("%c%d", 'a'+k, p)
			for l := 1; l <= 6; l++ {
				out = append(out, n.lane(g, pass, l, z)...)
			}
		}
	}
	for i := range out {
		n.lines++
		out[i].Line, out[i].UGiven = n.lines+1, true
	}
	return out
}

func (n *trialNeck) lane(gauge, pass string, l int, z crownsAt) (out []reading.Reading) {
	x := func(f int) float64 { return n.layout.LaneX(f, float64(l)) }
	offset, tilt := 0.3+0.1*n.rng.NormFloat64(), 5e-4*n.rng.NormFloat64()
	r := reading.Reading{Lane: float64(l), Pass: pass}
	switch gauge {
	case "beam":
		r.Method, r.U = reading.Beam, 0.005
		for f := 1; f <= 22; f++ {
			r.Frets, r.Value = []int{f}, z(f, l)+offset+tilt*x(f)+r.U*n.rng.NormFloat64()
			out = append(out, r)
		}
	case "edge", "feelers":
		r.Method, r.U = reading.Edge, 0.006
		offset, tilt = 0.4, 0
		for f := 1; f <= 22; f++ {
			r.Frets, r.Value = []int{f}, offset-z(f, l)+0.006*n.rng.NormFloat64()
			if gauge == "feelers" { // leaves of 0.01
				r.U = 0.003
				r.Value = offset - z(f, l) + 0.003*n.rng.NormFloat64()
				r.Value = math.Floor(r.Value*100) / 100
				no := r.Value + 0.01
				r.NoGo = &no
			}
			out = append(out, r)
		}
	case "bridge", "wide":
		r.Method, r.U, r.Pass = reading.Bridge, 0.003, ""
		k := 1
		if gauge == "wide" {
			k = 3
		}
		for f := 1 + k; f+k <= 22; f++ {
			w := (x(f+k) - x(f)) / (x(f+k) - x(f-k))
			r.Frets = []int{f - k, f, f + k}
			r.Value = z(f, l) - w*z(f-k, l) - (1-w)*z(f+k, l) + r.U*n.rng.NormFloat64()
			out = append(out, r)
		}
	case "probe":
		for f := 1; f <= 22; f++ {
			p := n.layout.At(f, float64(l))
			for _, t := range []float64{-0.8, -0.4, 0, 0.4, 0.8} {
				const radius = 1.3
				q := reading.Reading{Method: reading.Probe, Pass: pass, U: 0.003, X: p.X + t, Y: p.Y}
				q.Z = z(f, l) + offset + tilt*x(f) - radius + math.Sqrt(radius*radius-t*t) + 0.003*n.rng.NormFloat64()
				out = append(out, q)
			}
		}
	}
	return out
}

// stage estimates a stage from its readings.
func (n *trialNeck) stage(t testing.TB, name string, number int64, readings []reading.Reading, state string) *stageRecord {
	t.Helper()
	c := &stageRecord{record: &book.Record{Stage: name, Number: number}, model: n.model, layout: n.layout, readings: readings}
	for i := range readings {
		readings[i].State = state
	}
	c.states, c.heights = statesOf(readings), heightsOf(n.model, readings)
	c.taken = time.Date(2022+int(number), 3, 1, 0, 0, 0, 0, time.UTC)
	if err := c.estimate(); err != nil {
		t.Fatal(err)
	}
	return c
}

// tally is what a class of necks gave.
type tally struct {
	necks, changed, doubt, bow    int
	worn, found, blamed, blamedAt int // blamed: necks with a sound crown called; blamedAt: crowns
	bias, squares, ratio, off     float64
	byDepth                       [8][2]int
}

func (y *tally) String() string {
	s := fmt.Sprintf("%d necks: changed %d, in doubt %d, bow %d, blamed %d (%d crowns)", y.necks, y.changed, y.doubt, y.bow, y.blamed, y.blamedAt)
	if y.worn > 0 {
		s += fmt.Sprintf("; found %d of %d = %.0f %%, bias %+.1f um, rms %.1f", y.found, y.worn, 100*float64(y.found)/float64(y.worn), 1e3*y.bias/float64(y.worn), 1e3*math.Sqrt(y.squares/float64(y.worn)))
		for d, c := range y.byDepth {
			if c[1] > 0 {
				s += fmt.Sprintf(" %d-:%d/%d", 10*d, c[0], c[1])
			}
		}
	}
	return s
}

// trial compares necks of one class.
type trialClass struct {
	from, to       string
	wear           func(*trialNeck) crownsAt
	bowMM          float64
	stateA, stateB string
	moved          func(*trialNeck) crownsAt
}

func (c trialClass) run(t testing.TB, necks int, seed uint64) *tally {
	y := &tally{}
	for i := range necks {
		n := newTrialNeck(t, seed+uint64(i))
		z := n.seated()
		wear := func(int, int) float64 { return 0 }
		if c.wear != nil {
			wear = c.wear(n)
		}
		after := heightsAdded(z, wear, n.bowed(c.bowMM*float64(1-2*(i%2))))
		if c.moved != nil {
			after = heightsAdded(after, c.moved(n))
		}
		a, err := compared(n.stage(t, "levelled", 1, n.read(c.from, z), c.stateA), n.stage(t, "serviced", 2, n.read(c.to, after), c.stateB),
			BookCompareRequest{Serial: "0412", From: "levelled", To: "serviced", Confidence: 0.95})
		if err != nil {
			t.Fatal(err)
		}
		y.add(a, wear)
	}
	return y
}

func (y *tally) add(a *BookCompareAnswer, wear crownsAt) {
	y.necks++
	if a.Verdict == "in doubt" {
		y.doubt++
	}
	if a.Bow != nil {
		y.bow++
	}
	changed, blamed := false, 0
	for _, x := range a.Crowns {
		called := x.Verdict == "worn" || x.Verdict == "moved" || x.Verdict == "raised"
		changed = changed || called
		d := wear(x.Fret, int(x.Lane))
		if d == 0 {
			if called {
				blamed++
				if os.Getenv("SHOW") != "" {
					fmt.Printf("  neck %d fret %d lane %g %s %.1f ± %.1f:", y.necks, x.Fret, x.Lane, x.Verdict, 1e3*x.ChangeMM, 1e3*x.UMM)
					for f := x.Fret - 4; f <= x.Fret+4; f++ {
						fmt.Printf(" %.0f", 1e3*wear(f, int(x.Lane)))
					}
					fmt.Println()
				}
			}
			continue
		}
		y.worn++
		k := min(7, int(-d*100))
		y.byDepth[k][1]++
		if x.Verdict == "worn" {
			y.found++
			y.byDepth[k][0]++
		}
		y.bias += x.ChangeMM - d
		y.squares += (x.ChangeMM - d) * (x.ChangeMM - d)
	}
	if changed {
		y.changed++
	}
	if blamed > 0 {
		y.blamed++
		y.blamedAt += blamed
	}
}

// TestCompareTable measures all; run by hand.
func TestCompareTable(t *testing.T) {
	only := os.Getenv("TABLE")
	if only == "" {
		t.Skip("by hand")
	}
	necks := 40
	fmt.Sscan(os.Getenv("NECKS"), &necks)
	mixes := [][2]string{{"beam", "beam"}, {"beam2", "beam2"}, {"bridge", "bridge"}, {"bridge+wide", "bridge+wide"}, {"beam+bridge", "beam+bridge"},
		{"edge", "edge"}, {"feelers", "feelers"}, {"edge2", "edge2"}, {"probe", "probe"}, {"bridge", "beam"}, {"beam2", "bridge"}, {"edge", "beam2"}, {"probe", "beam2"}, {"beam+bridge", "edge"}}
	cluster := func(mm float64) func(*trialNeck) crownsAt {
		return func(n *trialNeck) crownsAt { return n.clustered(mm) }
	}
	alone := func(mm float64) func(*trialNeck) crownsAt {
		return func(n *trialNeck) crownsAt { return n.alone(mm) }
	}
	for _, m := range mixes {
		for _, c := range []struct {
			name string
			c    trialClass
		}{
			{"still", trialClass{stateA: "slack", stateB: "slack"}},
			{"rod", trialClass{bowMM: 0.1}},
			{"rodstates", trialClass{bowMM: 0.1, stateA: "slack", stateB: "strung"}},
			{"wear20", trialClass{wear: cluster(0.02), stateA: "slack", stateB: "slack"}},
			{"wear30", trialClass{wear: cluster(0.03), stateA: "slack", stateB: "slack"}},
			{"wear50", trialClass{wear: cluster(0.05), stateA: "slack", stateB: "slack"}},
			{"wear30rod", trialClass{wear: cluster(0.03), bowMM: 0.1}},
			{"alone30", trialClass{wear: alone(0.03), stateA: "slack", stateB: "slack"}},
			{"alone50", trialClass{wear: alone(0.05), stateA: "slack", stateB: "slack"}},
		} {
			name := m[0] + "/" + m[1] + "/" + c.name
			if ok, _ := filepath.Match(only, name); !ok && only != "all" {
				continue
			}
			c.c.from, c.c.to = m[0], m[1]
			start := time.Now()
			y := c.c.run(t, necks, 4000)
			fmt.Printf("%-32s %v [%.1fs]\n", name, y, time.Since(start).Seconds())
		}
	}
}
