package filing

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/level"
	"ringtrue/internal/straight"
)

// neck draws a neck of six lanes and 22 frets: whole frets scattered, tilted, a
// bow, and now and then one fret or one of its ends high.
func neck(r *rand.Rand) []level.Lane {
	lanes := make([]level.Lane, 6)
	x := frets(22)
	for a := range lanes {
		lanes[a] = level.Lane{Lane: float64(a + 1), X: x, D: make([]float64, 22)}
		for f := range 22 {
			lanes[a].Frets = append(lanes[a].Frets, f+1)
		}
	}
	bow := 0.02 * r.NormFloat64()
	for f := range 22 {
		whole, tilt := 0.006*r.NormFloat64(), 0.003*r.NormFloat64()
		if r.IntN(17) == 0 {
			if high := 0.03 + 0.04*r.Float64(); r.IntN(2) == 0 {
				whole += high
			} else {
				whole += high / 2
				tilt += high / 2
			}
		}
		s := 2*float64(f)/21 - 1
		for a := range lanes {
			lanes[a].D[f] = whole + tilt*(2*float64(a)/5-1) + bow*(1-s*s) + 0.001*r.NormFloat64()
		}
	}
	return lanes
}

func zones(lanes []level.Lane, taken [][]float64) (widest float64) {
	for a, l := range lanes {
		z := make([]float64, len(l.D))
		for i := range z {
			z[i] = l.D[i]
			if taken != nil {
				z[i] -= taken[a][i]
			}
		}
		w, err := straight.Zone(l.X, z)
		if err != nil {
			panic(err)
		}
		widest = math.Max(widest, w.WidthMM)
	}
	return widest
}

// job is a neck planned to a zone.
func job(t interface {
	Helper()
	Fatal(...any)
}, lanes []level.Lane, zoneMM float64) Job {
	t.Helper()
	plan, err := level.Least(lanes, zoneMM)
	if err != nil {
		t.Fatal(err)
	}
	j := Job{Lanes: lanes, LimitMM: 0.03}
	for _, l := range plan.Lanes {
		j.RemoveMM = append(j.RemoveMM, l.RemoveMM)
	}
	return j
}

// ask is a usual hand for necks that are read without error.
func ask(lanes []level.Lane) Ask {
	return Ask{Hand: Usual(1.2, 8), Scatter: UsualScatter(), Tools: UsualTools(), Minutes: Minutes{Spot: 2.25, Stroke: 0.025, Look: 0.25, Ink: 6}, Draws: 100, Seed: 1,
		Level: func(_, _ int, taken [][]float64) bool { return zones(lanes, taken) <= 0.03 }}
}

// Necks of the kind that come to the bench: hands that scatter carry the chosen
// moves out and arrive, most of them at once, with little more metal than planned.
func TestChoose_Arrives(t *testing.T) {
	casetest.OneByOne(t)
	r := rand.New(rand.NewPCG(5, 1))
	arrived, necks, metal, planned, lines := 0.0, 0, 0.0, 0.0, 0
	for necks < 12 {
		lanes := neck(r)
		if zones(lanes, nil) < 0.03 {
			continue
		}
		necks++
		jobs := []Job{job(t, lanes, 0.015), job(t, lanes, 0.010)}
		a := ask(lanes)
		c, err := Choose(t.Context(), jobs, a)
		if err != nil {
			t.Fatal(err)
		}
		for k := range 10 { // other hands than those it was chosen by
			done := jobs[c.Plan].Carry(&c.Moves, a.Hand, a.Scatter, nil, rand.New(rand.NewPCG(77, uint64(k))))
			if a.Level(c.Plan, k, done.TakenMM) {
				arrived += 0.1
			}
		}
		metal += c.MetalMM
		for _, l := range jobs[0].RemoveMM {
			for _, v := range l {
				planned += v
			}
		}
		lines = max(lines, len(c.Moves.Spots)+len(c.Moves.Runs))
		t.Logf("zone %.0f um: %d spots, %d runs, chance %.2f, %.0f min, metal %.2f mm", 1000*zones(lanes, nil), len(c.Moves.Spots), len(c.Moves.Runs), c.Chance, c.Minutes, c.MetalMM)
	}
	t.Logf("%.1f of %d arrived, metal %.2f of %.2f mm planned, at most %d lines", arrived, necks, metal, planned, lines)
	if arrived < 0.85*float64(necks) || metal > 1.5*planned {
		t.Errorf("%.1f of %d arrived with %.2f mm, planned %.2f", arrived, necks, metal, planned)
	}
}

// A hand gives up after its strokes, also where one flat is far too wide and another
// crown is never touched.
func TestRun_GivesUp(t *testing.T) {
	x := frets(22)
	z := make([]float64, 22)
	z[5], z[16] = -0.5, 0.1
	h := Usual(1.2, 8)
	h.MaxStrokes = 300
	w := worker{lane: newLane(x, z), hand: h, scatter: Scatter{EyeMM: 1e-9}, r: rand.New(rand.NewPCG(1, 1))}
	for i := range x {
		w.frets = append(w.frets, i+1)
	}
	run := LaneRun{FromMM: 0, ToMM: 500, Tells: []Flat{{Fret: 6, WidthMM: 0.2, DepthMM: 0.004}, {Fret: 17, WidthMM: 0.1, DepthMM: 0.001}}}
	if strokes, looks := w.run(&run, 17); strokes < 300 || strokes > 320 || looks > 110 || w.lane.taken(16) < 0.03 {
		t.Errorf("%d strokes, %d looks, %g mm off", strokes, looks, w.lane.taken(16))
	}
}

func BenchmarkCarry(b *testing.B) {
	lanes := neck(rand.New(rand.NewPCG(5, 1)))
	j := job(b, lanes, 0.015)
	h := Usual(1.2, 8)
	tools := UsualTools()
	m, ok := j.Moves(Way{Alone: 2, BendMM: 1, SpanMM: math.Inf(1)}, &h, &tools)
	if !ok {
		b.Fatal("no tool")
	}
	for b.Loop() {
		j.Carry(&m, h, UsualScatter(), nil, rand.New(rand.NewPCG(1, 1)))
	}
}

// A hand whose flats end a quarter deep takes what the plan says once the plan knows it,
// and a quarter too much where it does not.
func TestMoves_KnowTheHand(t *testing.T) {
	lanes := neck(rand.New(rand.NewPCG(5, 3)))
	for a := range lanes {
		lanes[a].D[6] += 0.08
	}
	j := job(t, lanes, 0.015)
	deep := Usual(1.2, 8)
	deep.Deeper = 1.25
	taken := func(told Hand) float64 {
		tools := UsualTools()
		m, ok := j.Moves(Way{Alone: 1, Only: true}, &told, &tools)
		if !ok {
			t.Fatal("no moves")
		}
		for k := range m.Spots {
			for i := range m.Spots[k].Flats { // the hand sees widths alone
				m.Spots[k].Flats[i].DepthMM = 0
			}
		}
		return j.Carry(&m, deep, Scatter{}, nil, rand.New(rand.NewPCG(1, 1))).TakenMM[2][6]
	}
	want := j.RemoveMM[2][6]
	known, unknown := taken(deep), taken(Usual(1.2, 8))
	if math.Abs(known/want-1) > 0.1 || math.Abs(unknown/want-1.25) > 0.1 {
		t.Errorf("planned %.4f, of a hand that is known %.4f, unknown %.4f", want, known, unknown)
	}
}

// Moves of a neck of 22 frets and six lanes, three plans, 100 hands a way.
func BenchmarkChoose(b *testing.B) {
	lanes := neck(rand.New(rand.NewPCG(5, 1)))
	jobs := []Job{job(b, lanes, 0.015), job(b, lanes, 0.011), job(b, lanes, 0.0075)}
	a := ask(lanes)
	for b.Loop() {
		if _, err := Choose(b.Context(), jobs, a); err != nil {
			b.Fatal(err)
		}
	}
}
