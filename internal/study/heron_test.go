package study

import (
	"context"
	"math"
	"ringtrue/internal/casetest"
	"ringtrue/internal/necktest"
	"ringtrue/internal/play"
	"ringtrue/internal/straight"
	"testing"
)

// heron is a study of the example neck, and the neck itself.
func heron(t *testing.T, necks int, zonesMM ...float64) (*play.Neck, Request) {
	t.Helper()
	m, l := necktest.Heron(t)
	n, err := play.NewNeck(play.Request{Model: m, Layout: l}.Under(m.Setup.JudgeBy))
	if err == nil {
		err = n.Prepare()
	}
	if err != nil {
		t.Fatal(err)
	}
	lines, err := LinesOf(context.Background(), n)
	if err != nil {
		t.Fatal(err)
	}
	return n, Request{Lines: lines, ZonesMM: zonesMM, Necks: necks, Seed: 1, Errors: Usual()}
}

// The action reported for a neck is the limit by the simulation itself: a hair
// higher every note is clear, a hair lower some note touches.
func TestStudy_LimitBySimulation(t *testing.T) {
	if testing.Short() {
		t.Skip("long under the race detector; the workers are raced by the others")
	}
	p, r := heron(t, 20, 0.05)
	lines := r.Lines
	const necks = uint64(2)
	found, err := Run(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	touching := func(lanes []play.Lane, z int, k uint64, more float64) (n []int) {
		cases := append([]play.Case(nil), p.Cases...)
		for i := range cases {
			cases[i].Lane = lanes[i]
			cases[i].Setup.ActionMM = found.LowestMM[z][i][k] + more
		}
		judged, err := play.Judge(context.Background(), cases)
		if err != nil {
			t.Fatal(err)
		}
		for _, j := range judged {
			count := 0
			for _, notes := range j.Notes {
				if notes[0].Verdict != play.Clear {
					count++
				}
			}
			n = append(n, count)
		}
		return n
	}
	for z, zone := range r.ZonesMM {
		for k := range necks {
			lanes, err := neckOf(lines, Usual(), zone, r.Seed, k)
			if err != nil {
				t.Fatal(err)
			}
			above, below := touching(lanes, z, k, 1e-6), touching(lanes, z, k, -1e-3)
			for i := range lines {
				if above[i] != 0 || below[i] == 0 {
					t.Errorf("zone %g, neck %d, string %d at %g mm: %d notes touch a nanometre higher, %d a micrometre lower",
						zone, k, i+1, found.LowestMM[z][i][k], above[i], below[i])
				}
			}
		}
	}
}

// Frets that err each by itself against a slow wave along the neck of the same
// zone, half a wave to two, wherever it begins: on average the wave costs less
// than the median neck, and at worst no more than nine necks in ten need.
func TestStudy_AgainstSlowWaves(t *testing.T) {
	const zoneMM = 0.03
	_, r := heron(t, 200, zoneMM)
	lines := r.Lines
	found, err := Run(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	half, most9 := LevelOf(found.Raises(0), 0.5), LevelOf(found.Raises(0), 0.9)
	mean, most, tried := 0.0, 0.0, 0
	for waves := 0.5; waves <= 2; waves += 0.5 {
		for begin := 0.0; begin < 1; begin += 0.125 {
			rise := math.Inf(-1)
			for i, l := range lines {
				low, err := play.LowestAction(waved(t, l.Lane, waves, begin, zoneMM), l.Setup, l.Clearance)
				if err != nil {
					t.Fatal(err)
				}
				rise = math.Max(rise, low-found.PerfectMM[i])
			}
			mean, most, tried = mean+rise, math.Max(most, rise), tried+1
		}
	}
	if mean /= float64(tried); mean >= casetest.Value(half.ActionMM) || most >= casetest.Value(most9.ActionMM) || most <= 0 {
		t.Errorf("slow waves: %g mm on average, %g at most; drawn necks: %g for half, %g for nine in ten", mean, most, casetest.Value(half.ActionMM), casetest.Value(most9.ActionMM))
	}
}

// waved is a lane with so many waves along it, of a zone, over its reference line.
func waved(t *testing.T, l play.Lane, waves, begin, zoneMM float64) play.Lane {
	t.Helper()
	crowns := append([]play.Crown(nil), l.Crowns...)
	first, last := crowns[0].XMM, crowns[len(crowns)-1].XMM
	var x, z []float64
	for _, c := range crowns {
		x, z = append(x, c.XMM), append(z, math.Sin(2*math.Pi*(waves*(c.XMM-first)/(last-first)+begin)))
	}
	zone, err := straight.Zone(x, z)
	if err != nil {
		t.Fatal(err)
	}
	a, b, err := straight.ReferenceLine(x, z)
	if err != nil {
		t.Fatal(err)
	}
	for f := range crowns {
		crowns[f].ZMM += (z[f] - a - b*x[f]) * zoneMM / zone.WidthMM
	}
	l.Crowns = crowns
	return l
}

// neckOf is the k-th neck of a seed at a zone: each line's lane with its crowns
// off by what was drawn. The same seed and k give the same errors at every
// zone, scaled to it.
func neckOf(lines []Line, e Errors, zoneMM float64, seed, k uint64) ([]play.Lane, error) {
	off, err := drawn(lines, e, seed, k)
	if err != nil {
		return nil, err
	}
	lanes := make([]play.Lane, len(lines))
	for i, l := range lines {
		lanes[i] = raised(l.Lane, off[i], zoneMM)
	}
	return lanes, nil
}
