package trial

import (
	"bytes"
	"context"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"ringtrue/internal/findings"
	"ringtrue/internal/heights"
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

func class(t *testing.T, name string) Class {
	t.Helper()
	c, err := ClassOf(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Of two full passes alike, averaging is their mean, each less its own
// least-squares line.
func TestPlain_MeanOfPasses(t *testing.T) {
	n := drawn(t, class(t, "odd"), 5, Options{})
	for k, lane := range n.Truth.Lanes {
		x := n.Truth.X[k]
		mean := make([]float64, len(x))
		for _, pass := range []string{"a", "b"} {
			var v []float64
			for _, r := range n.Readings {
				if r.Lane == lane && r.Pass == pass {
					v = append(v, r.Value)
				}
			}
			a, b := stat.LinearRegression(x, v, nil, false)
			for i := range mean {
				mean[i] += (v[i] - a - b*x[i]) / 2
			}
		}
		fit, ok := n.plain(k)
		if !ok || len(fit.z) != len(x) {
			t.Fatalf("lane %g: %v %d", lane, ok, len(fit.z))
		}
		if d := most(fit.z, mean); d > 1e-9 {
			t.Errorf("lane %g: off by %g mm", lane, d)
		}
		// A mean of two, less a line of n: u²/2 times what the line leaves.
		middle, spread := stat.Mean(x, nil), stat.Variance(x, nil)*float64(len(x)-1)
		want := 0.005 * 0.005 / 2 * (1 - 1/float64(len(x)) - (x[3]-middle)*(x[3]-middle)/spread)
		if got := fit.cov.At(3, 3); math.Abs(got-want) > 1e-6*want {
			t.Errorf("lane %g: variance %g, want %g", lane, got, want)
		}
	}
}

// The yardstick's own uncertainty is true whatever the gauge, so the readings
// scatter as they state: beams, bridges and probes.
func TestPlain_StatesItsError(t *testing.T) {
	for _, name := range []string{"new", "played", "bridge", "probe", "slanted"} {
		c := class(t, name)
		c.read = map[string]func(*maker){"bridge": (*maker).bridges, "probe": (*maker).probes}[name]
		if c.read == nil {
			c.read = (*maker).beams
		}
		var over []float64
		for seed := range uint64(20) {
			n := drawn(t, c, seed, Options{})
			for k := range n.Truth.Lanes {
				fit, ok := n.plain(k)
				if !ok {
					t.Fatal(name, seed, k)
				}
				z := append([]float64(nil), n.Truth.Z[k]...)
				num.Detrend(n.Truth.X[k], z)
				for i := range z {
					over = append(over, (fit.z[i]-z[i])/math.Sqrt(fit.cov.At(i, i)))
				}
			}
		}
		if r := rms(over); r < 0.93 || r > 1.07 {
			t.Errorf("%s: errors over u have rms %.3f, want 0.93 to 1.07", name, r)
		}
	}
}

// answer is a judgement made by hand: true heights, verdicts as told.
func answer(n *Neck, lane, crown straight.Verdict) *findings.Neck {
	j := &findings.Neck{Model: n.Model, Layout: n.Layout, Estimate: &heights.Estimate{}, Verdict: lane}
	for k, l := range n.Truth.Lanes {
		z := append([]float64(nil), n.Truth.Z[k]...)
		num.Detrend(n.Truth.X[k], z)
		cov := mat.NewSymDense(len(z), nil)
		crowns := make([]straight.Verdict, len(z))
		for i := range z {
			cov.SetSym(i, i, 1e-6)
			crowns[i] = crown
		}
		j.Lanes = append(j.Lanes, findings.Lane{Lane: heights.Lane{Lane: l, Frets: n.Truth.Frets, X: n.Truth.X[k], Z: z, Cov: cov},
			Verdict: lane, Crown: crowns})
	}
	return j
}

// scored holds the parts of a score that need no words.
func scored(t *testing.T, n *Neck, j *findings.Neck) Score {
	t.Helper()
	s := Score{IsLevel: true}
	for k, l := range j.Lanes {
		truth, err := n.Truth.Lane(k)
		if err != nil {
			t.Fatal(err)
		}
		s.IsLevel = s.IsLevel && truth.ZoneMM <= n.Model.Level.Zone
		s.Errors.of(n, l, k)
		s.lane(n, l, truth)
		s.crowns(n, l, k, truth)
	}
	s.readings(n, j)
	return s
}

// Whoever calls everything level is wrong on each lane that is not, and blames
// nobody; whoever calls nothing level, the other way round.
func TestScore_SureAndWrong(t *testing.T) {
	level, not := 0, 0
	for seed := range uint64(10) {
		n := drawn(t, class(t, "kinked"), seed, Options{})
		for k, lane := range n.Truth.Lanes {
			d := make([]float64, len(n.Truth.Frets))
			for i := range d {
				d[i] = n.Truth.Z[k][i] - n.Layout.Shape(lane, n.Truth.Frets)[i]
			}
			z, err := straight.Zone(n.Truth.X[k], d)
			if err != nil {
				t.Fatal(err)
			}
			if z.WidthMM > n.Model.Level.Zone {
				not++
			} else {
				level++
			}
		}
	}
	var yes, no, doubt Score
	for seed := range uint64(10) {
		n := drawn(t, class(t, "kinked"), seed, Options{})
		yes.plus(scored(t, n, answer(n, straight.Level, straight.Level)))
		no.plus(scored(t, n, answer(n, straight.NotLevel, straight.High)))
		doubt.plus(scored(t, n, answer(n, straight.InDoubt, straight.InDoubt)))
	}
	if level == 0 || not == 0 {
		t.Fatalf("%d lanes level, %d not: the class shows nothing", level, not)
	}
	if yes.WrongLevel != not || yes.WrongNot != 0 || yes.Crowns.Found != 0 {
		t.Errorf("all level: %+v, want %d wrong", yes, not)
	}
	if no.WrongNot != level || no.WrongLevel != 0 || no.Crowns.Found != no.Crowns.Of || no.Crowns.Of == 0 {
		t.Errorf("none level: %+v, want %d wrong", no, level)
	}
	if doubt.Doubt != level+not || doubt.WrongLevel+doubt.WrongNot+doubt.Crowns.Found != 0 {
		t.Errorf("in doubt: %+v", doubt)
	}
}

// True heights have no error, raised ones what they were raised by.
func TestErrors_Of(t *testing.T) {
	n := drawn(t, class(t, "new"), 3, Options{})
	j := answer(n, straight.Level, straight.Level)
	if e := scored(t, n, j).Errors; len(e.MM) != 132 || most(e.MM, make([]float64, 132)) > 1e-12 {
		t.Errorf("%d errors, the largest %g", len(e.MM), most(e.MM, make([]float64, len(e.MM))))
	}
	j.Lanes[2].Z[11] += 0.02 // in the lane's free datum the rest takes its part
	e := scored(t, n, j).Errors
	want := make([]float64, 22)
	want[11] = 0.02
	num.Detrend(n.Truth.X[2], want)
	if d := most(want, e.MM[44:66]); d > 1e-12 {
		t.Errorf("off by %g", d)
	}
}

// What is set aside is held against what was misread; a crown with no reading
// left must not be sure.
func TestScore_SetAside(t *testing.T) {
	c := class(t, "new")
	c.read = func(m *maker) { m.beams(); m.slip(3, 0.2); m.slip(50, -0.2) }
	n := drawn(t, c, 1, Options{Passes: 1})
	j := answer(n, straight.Level, straight.Level)
	j.Estimate.Misreads = []heights.Misread{{Reading: 3}, {Reading: 7}}
	s := scored(t, n, j)
	if s.Misread != (Count{1, 2}) || s.Invented != 1 || s.AsideSure != 2 {
		t.Errorf("found %v, invented %d, sure %d; want 1 of 2, 1, 2", s.Misread, s.Invented, s.AsideSure)
	}
	j = answer(n, straight.Level, straight.InDoubt)
	j.Estimate.Misreads = []heights.Misread{{Reading: 3}}
	if s := scored(t, n, j); s.AsideSure != 0 || s.Invented != 0 {
		t.Errorf("in doubt: %+v", s)
	}
}

// Findings are held against the fret: each true one has grounds, each false one
// none.
func TestWitness_Grounds(t *testing.T) {
	n := exact(t, 3, func(m *maker) {
		for k := range m.t {
			m.curve[k][4] = 0.08                                // fret 5 high
			m.curve[k][9] = 0.1 * math.Max(0, m.t[k])           // fret 10: treble end up
			m.gives[k][14] = 0.13 * math.Max(0, -m.t[k])        // fret 15: bass end loose
			m.Truth.Groove[k][19] = 0.07 * float64((k+1)%2*k/2) // fret 20 worn in lanes 3 and 5
		}
		m.Truth.Burr[1][12] = 0.06 // fret 13
		m.bad(4, findings.KindFretHigh, 0.08)
		m.bad(9, findings.KindSeat, 0.1)
	}, (*maker).beams)
	w := witness{n: n}
	for k := range n.Truth.Lanes {
		l, err := n.Truth.Lane(k)
		if err != nil {
			t.Fatal(err)
		}
		w.lanes = append(w.lanes, l)
	}
	for _, c := range []struct {
		fret  int
		what  findings.Case
		lanes []float64
		want  bool
	}{
		{5, findings.WholeHigh, nil, true},
		{5, findings.WholeLow, nil, false},
		{6, findings.WholeHigh, nil, false},
		{10, findings.TrebleUnseated, nil, true},
		{10, findings.Pit, []float64{6}, false},
		{10, findings.Pit, []float64{3}, true}, // the curve bends there
		{13, findings.Burr, []float64{2}, true},
		{13, findings.Burr, []float64{3}, false},
		{15, findings.BassMoves, nil, true},
		{16, findings.BassMoves, nil, false},
		{20, findings.WornUnder, []float64{3, 5}, true},
		{20, findings.Pit, []float64{2}, false},
		{20, findings.TrebleLow, []float64{3}, false}, // a groove is no low end
		{20, findings.OffIn, nil, true},
		{8, findings.OffIn, nil, false},
	} {
		if got := w.grounds(findings.Finding{Fret: c.fret, Case: c.what, Lanes: c.lanes}); got != c.want {
			t.Errorf("fret %d %s %v: grounds %t, want %t", c.fret, c.what.Kind(), c.lanes, got, c.want)
		}
	}
	for f, want := range map[int]bool{5: false, 10: false, 15: false, 20: false, 8: true} {
		if w.sound(f) != want {
			t.Errorf("fret %d sound: %t", f, !want)
		}
	}
	for kind, want := range map[string]bool{findings.KindHump: true, findings.KindDip: false} {
		if got := w.wholeGrounds(findings.Whole{Kind: kind, Frets: []int{4, 5, 6}}); got != want {
			t.Errorf("%s: grounds %t", kind, got)
		}
	}
	w.found = []findings.Finding{{Fret: 5, Case: findings.WholeHigh}, {Fret: 7, Case: findings.Burr, Lanes: []float64{2}}}
	var s Score
	w.j = &findings.Neck{Model: n.Model, Layout: n.Layout, Estimate: &heights.Estimate{}}
	s.faults(w)
	s.blame(w, &Work{First: []int{5, 8}, RemoveMM: 1})
	if s.Frets != (Count{1, 2}) || s.Kinds != (Count{1, 1}) || len(s.Blamed) != 1 || s.BlamedFrets != 1 || len(s.FalseWork) != 1 {
		t.Errorf("%+v", s)
	}
	if !reflect.DeepEqual(s.Dents, Count{0, 2}) {
		t.Errorf("grooves %v, want 0 of 2", s.Dents)
	}
}

// Readings without error are judged without a wrong verdict, and every fret that
// is off is named: truth and readings tell of the same neck.
func TestRun_ExactReadings(t *testing.T) {
	c := class(t, "odd")
	c.read = (*maker).beams
	scores, err := c.Run(context.Background(), Plan{Necks: 8, Seed: 300, Options: Options{Noiseless: true, UMM: 0.001}})
	if err != nil {
		t.Fatal(err)
	}
	total := Together(c, scores)
	if s := total.Sum; s.WrongLevel+s.WrongNot != 0 || s.Frets.Found != s.Frets.Of || s.Frets.Of == 0 || s.Crowns.Found != 0 {
		t.Errorf("%+v", total)
	}
	if total.Error.RMS > 1e-3 || total.Plain.RMS > 1e-9 {
		t.Errorf("errors %v, of averaging %v", total.Error, total.Plain)
	}
}

// Two run at a time and in any order, the scores come out the same.
func TestRun_Repeats(t *testing.T) {
	c := class(t, "played")
	run := func(necks int, seed uint64) []Score {
		s, err := c.Run(context.Background(), Plan{Necks: necks, Seed: seed})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	four := run(4, 7)
	if last := run(1, 10); !reflect.DeepEqual(four[3], last[0]) {
		t.Errorf("seed 10 scores otherwise by itself:\n%+v\n%+v", four[3], last[0])
	}
}

func TestRun_EndsEarly(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := class(t, "new").Run(ctx, Plan{Necks: 3}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	broken := errors.New("broken")
	_, err := class(t, "new").Run(context.Background(), Plan{Necks: 3, Seed: 5, Judge: func(n *Neck) (*findings.Neck, *Work, error) {
		if n.Seed == 6 {
			return nil, nil, broken
		}
		return Own(n)
	}})
	if !errors.Is(err, broken) || !strings.Contains(err.Error(), "new, seed 6") {
		t.Errorf("a neck that cannot be judged: %v", err)
	}
}

// By hand: errors of 3 and 4 µm, u 4 µm each.
func TestTogether_ByHand(t *testing.T) {
	s := Score{Errors: Errors{MM: []float64{3e-3, -4e-3}, U: []float64{4e-3, 4e-3}, PlainMM: []float64{6e-3, 8e-3},
		PlainU: []float64{1e-3, 5e-3}, Dented: []bool{false, true}}, IsLevel: true, Verdict: straight.Level, Minutes: 4}
	blamed := Score{Loose: Count{1, 2}, Passes: Count{0, 1}, Blamed: []string{"fret 3: burr"}, Verdict: straight.Level, Minutes: 8}
	total := Together(Class{Name: "hand", About: "by hand"}, []Score{s, blamed})
	near := func(got, want float64) bool { return math.Abs(got-want) < 1e-12 }
	if e := total.Error; !near(e.RMS, 3.5355339059327e-3) || !near(e.Dented, 4e-3) || !near(e.Worst, 4e-3) || !near(e.OverU, 0.88388347648318) || e.Within != 1 {
		t.Errorf("%+v", e)
	}
	if total.Plain.Within != 0.5 || !near(total.RatioMedian, 0.5) || !near(total.RatioWorst, 0.5) || total.Minutes != 6 {
		t.Errorf("%+v", total)
	}
	if total.BlamedNecks != 1 || total.WrongNecks != 1 || total.LevelNecks != (Count{1, 1}) {
		t.Errorf("%+v", total)
	}
	var b bytes.Buffer
	if err := Table(&b, []Total{total}); err != nil {
		t.Fatal(err)
	}
	for _, row := range []string{
		"\n| hand | by hand | 2 | 3.54 | 4.00 | 4 | 0.88 | 1.000 | 7.07 / 8.00 / 8 | 0.500 | 0.50 | 0.50 | 6 |\n",
		"\n| hand | – | – | 1 of 3 | – | 0 | – | – | 1 | 0 | 0 | 0 | 0 | 0 | 1 of 1 | 1 |\n",
	} {
		if !strings.Contains(b.String(), row) {
			t.Errorf("%s\nlacks%s", b.String(), row)
		}
	}
	if got := Averaging([]Total{total}); !strings.Contains(got, "in 0 of 1 classes") || !strings.Contains(got, "50 to 50 %") || !strings.Contains(got, "in 1 classes") {
		t.Error(got)
	}
}

func TestClassOf_Unknown(t *testing.T) {
	if _, err := ClassOf("lute"); err == nil || !strings.Contains(err.Error(), "played") {
		t.Errorf("%v", err)
	}
	seen := map[string]bool{}
	for _, c := range Classes() {
		if seen[c.Name] || c.About == "" {
			t.Errorf("class %q twice, or without words", c.Name)
		}
		seen[c.Name] = true
	}
}
