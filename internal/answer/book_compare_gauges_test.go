package answer

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
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
	p, err := book.Files{
		Neck:     book.File{Name: "heron.toml", Bytes: toml},
		Readings: book.File{Name: "r.csv", Bytes: []byte("method,lane,fret,reading,unit\nbeam,1,1,0,mm\nbeam,1,2,0,mm\nbeam,1,3,0,mm\n")},
	}.Parse()
	if err != nil {
		t.Fatal(err)
	}
	return &trialNeck{model: p.Model, layout: p.Layout, rng: rand.New(rand.NewPCG(seed, 77))}
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

func summed(parts ...crownsAt) crownsAt {
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
func (n *trialNeck) stage(t testing.TB, name string, number int64, readings []reading.Reading, state string) *comparedStage {
	t.Helper()
	for i := range readings {
		readings[i].State = state
		readings[i].Date = fmt.Sprintf("%d-03-01", 2022+number)
	}
	c, err := estimated(&book.Stage{Record: &book.Record{Stage: name, Number: number}, Parsed: book.Parsed{Model: n.model, Layout: n.layout, Readings: readings}})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// compare compares a neck with itself, changed, as two gauges read it.
func (n *trialNeck) compare(t testing.TB, from, to string, change crownsAt) *BookCompareAnswer {
	t.Helper()
	z := n.seated()
	return n.compareRead(t, n.read(from, z), n.read(to, summed(z, change)))
}

func (n *trialNeck) compareRead(t testing.TB, first, second []reading.Reading) *BookCompareAnswer {
	t.Helper()
	a, err := compared(n.stage(t, "levelled", 1, first, ""), n.stage(t, "serviced", 2, second, ""),
		BookCompareRequest{Serial: "0412", From: "levelled", To: "serviced", Confidence: 0.95})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Whatever read the two stages, a neck that did not change is not called changed,
// nor in doubt, though its rod was turned by 0.1 mm between them.
func TestBookCompare_EveryGauge(t *testing.T) {
	if testing.Short() {
		t.Skip("many necks; the workers are raced in package heights")
	}
	alarms, all := 0, 0
	for _, c := range [][2]string{
		{"beam2", "beam2"}, {"bridge", "bridge"}, {"beam+bridge", "beam+bridge"}, {"edge", "edge"}, {"feelers", "feelers"},
		{"probe", "probe"}, {"bridge", "beam"}, {"probe", "beam2"},
	} {
		for seed := range uint64(2) {
			n := newTrialNeck(t, 4000+seed)
			a := n.compare(t, c[0], c[1], n.bowed(0.2*float64(seed)-0.1))
			if all++; a.Verdict != "unchanged" {
				alarms++
				t.Logf("%s, then %s, neck %d: %s %+v", c[0], c[1], seed, a.Verdict, a.Frets)
			}
			if a.SeesMM > 0.05 != strings.Contains(strings.Join(a.Warnings, "\n"), "passes of a beam along every lane") {
				t.Errorf("%s, then %s sees %.3f mm and says %q", c[0], c[1], a.SeesMM, a.Warnings)
			}
		}
	}
	if alarms > 1 {
		t.Errorf("%d of %d necks that did not change are called otherwise", alarms, all)
	}
}

// Wear in a patch, read by two passes at each stage, is found at its depth, and
// no sound crown is blamed.
func TestBookCompare_Patches(t *testing.T) {
	for _, c := range []struct{ mm, bow, least float64 }{{0.05, 0, 0.92}, {0.03, 0.1, 0.65}} {
		found, worn, blamed, bias, misfit := 0, 0, 0, 0.0, 0.0
		for seed := range uint64(4) {
			n := newTrialNeck(t, 4100+seed)
			wear := n.clustered(c.mm)
			for _, x := range n.compare(t, "beam2", "beam2", summed(wear, n.bowed(c.bow))).Crowns {
				switch d := wear(x.Fret, int(x.Lane)); {
				case d < 0:
					worn++
					bias += x.MM - d
					misfit += (x.MM - d) * (x.MM - d) / (x.UMM * x.UMM)
					if x.Verdict == "worn" {
						found++
					}
				case x.Verdict == "worn" || x.Verdict == "moved" || x.Verdict == "raised":
					blamed++
				}
			}
		}
		n := float64(worn)
		t.Logf("%.2f mm: found %d of %d, %+.1f µm off, errors %.2f of the uncertainty, %d sound crowns blamed", c.mm, found, worn, 1e3*bias/n, math.Sqrt(misfit/n), blamed)
		if float64(found) < c.least*n || math.Abs(bias/n) > 0.003 || blamed > 1 || misfit/n > 1.7 {
			t.Errorf("%.2f mm: found %d of %d, %+.4f mm off, errors %.2f of the uncertainty, %d sound crowns blamed", c.mm, found, worn, bias/n, math.Sqrt(misfit/n), blamed)
		}
	}
}

// A misreading is no change: of two passes the other decides; read once, the
// crown is to be read again, unless it was misread at the first stage.
func TestBookCompare_Misreads(t *testing.T) {
	const fret, lane = 9, 3
	for _, c := range []struct {
		gauge         string
		first, second float64 // by how much it is misread
		verdict, why  string
	}{
		{"beam2", 0, -0.12, "unchanged", ""},
		{"beam", 0, -0.06, "in doubt", text.WearReason(wear.LowAlone)},
		{"beam", 0, 0.06, "in doubt", text.WearReason(wear.HighOnce)},
		{"beam", 0.12, 0, "unchanged", text.WearReason(wear.FirstMisread)},
	} {
		n := newTrialNeck(t, 4100)
		z := n.seated()
		first, second := n.read(c.gauge, z), n.read(c.gauge, z)
		first[22*(lane-1)+fret-1].Value += c.first
		second[22*(lane-1)+fret-1].Value += c.second
		a := n.compareRead(t, first, second)
		if a.Verdict != c.verdict {
			t.Errorf("%s misread by %g and %g: %s, want %s", c.gauge, c.first, c.second, a.Verdict, c.verdict)
		}
		for _, x := range a.Crowns {
			if at := x.Fret == fret && int(x.Lane) == lane; at && x.Why != c.why || !at && x.Why != "" || x.Verdict == "worn" || x.Verdict == "raised" {
				t.Errorf("%s misread by %g and %g: fret %d, lane %g: %s, %q", c.gauge, c.first, c.second, x.Fret, x.Lane, x.Verdict, x.Why)
			}
		}
	}
}
