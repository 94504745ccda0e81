package answer

import (
	"math/rand/v2"
	"slices"
	"testing"

	"ringtrue/internal/filing"
	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/straight"
	"ringtrue/internal/trial"
)

// byHand is the truth after moves that a hand of usual scatter carries out from
// what the answer says of them alone, the frets of first pressed into line.
func byHand(n *trial.Neck, w *Work, r *rand.Rand) [][]float64 {
	pressed := *w
	pressed.Crowns = nil
	z := carriedOut(n, &pressed, 0, r)
	h := filing.Usual(n.Model.Wire.Crown(), 8)
	job := filing.Job{}
	for k, lane := range n.Truth.Lanes {
		job.Lanes = append(job.Lanes, level.Lane{Lane: lane, Frets: n.Truth.Frets, X: n.Truth.X[k], D: z[k]})
	}
	m := movesOf(n, w.Moves, h)
	done := job.Carry(&m, h, filing.UsualScatter(), nil, r)
	for k := range z {
		for i := range z[k] {
			z[k][i] -= done.TakenMM[k][i]
		}
	}
	return z
}

// movesOf reads an answer's moves as a hand does.
func movesOf(n *trial.Neck, moves []findings.Move, h filing.Hand) (out filing.Moves) {
	at := func(lane float64) int { return slices.Index(n.Truth.Lanes, lane) }
	place := func(fret int) int { return fret - n.Truth.Frets[0] }
	for _, m := range moves {
		if m.Tool == findings.File {
			s := filing.Spot{Fret: m.FromFret}
			first, last := m.Until[0], m.Until[len(m.Until)-1]
			from, to := at(first.Lane), at(last.Lane)
			for a := from; a <= to; a++ {
				width := first.FlatMM
				if to > from {
					width += (last.FlatMM - first.FlatMM) * float64(a-from) / float64(to-from)
				}
				s.Flats = append(s.Flats, filing.Flat{Fret: m.FromFret, Lane: a, WidthMM: width, DepthMM: filing.Depth(h.RadiusMM, width)})
			}
			out.Spots = append(out.Spots, s)
			continue
		}
		run := filing.Run{FirstFret: m.FromFret, LastFret: m.ToFret, PressFret: m.PressAtFret}
		for _, lane := range m.Lanes {
			x := n.Truth.X[at(lane)]
			l := filing.LaneRun{Lane: at(lane), FromMM: x[place(m.FromFret)] - 31, ToMM: x[place(m.ToFret)] + 31}
			if i := place(m.FromFret); i > 0 {
				l.FromMM = (x[i-1] + x[i]) / 2
			}
			if i := place(m.ToFret); i+1 < len(x) {
				l.ToMM = (x[i] + x[i+1]) / 2
			}
			for _, u := range m.Until {
				if u.Lane == lane {
					l.Tells = append(l.Tells, filing.Flat{Fret: u.Fret, Lane: l.Lane, WidthMM: u.FlatMM, DepthMM: filing.Depth(h.RadiusMM, u.FlatMM)})
				}
			}
			run.Lanes = append(run.Lanes, l)
		}
		out.Runs = append(out.Runs, run)
	}
	return out
}

// TestMoves_Arrive: hands that know the moves alone carry them out; read again,
// nearly all necks are called level and none that is not.
func TestMoves_Arrive(t *testing.T) {
	if testing.Short() {
		t.Skip("many necks; the workers are raced in package heights")
	}
	const u = 0.005
	filed, reached, metal, planned, most := 0, 0, 0.0, 0.0, 0
	for seed := uint64(9100); filed < 8 && seed < 9200; seed++ {
		n, r := drawn(t, []string{"humped", "odd"}[seed%2], seed, trial.Options{Passes: 2, UMM: u})
		r.Moves = true
		a := answer(t, r)
		if a.Work == nil || len(a.Work.Moves) == 0 {
			continue
		}
		flats := 0
		for _, m := range a.Work.Moves {
			flats += len(m.Until)
			if len(m.Until) == 0 || m.FromFret > m.ToFret || m.Minutes <= 0 {
				t.Errorf("seed %d: %+v", seed, m)
			}
		}
		if most = max(most, len(a.Work.Moves)); len(a.Work.Moves) > 8 || flats > 40 {
			t.Errorf("seed %d: %d moves, %d flats", seed, len(a.Work.Moves), flats)
		}
		rnd := rand.New(rand.NewPCG(seed, 17))
		z := byHand(n, a.Work, rnd)
		filed++
		planned += a.Work.TotalRemoveMM
		for k := range z {
			for i := range z[k] {
				metal += n.Truth.Z[k][i] - z[k][i]
			}
		}
		r.After = beamed(n, z, 2, u, rnd)
		switch b := answer(t, r).After; {
		case b.Verdict != string(straight.Level):
			t.Logf("seed %d: planned to %.4f, arrives %.2f: %s", seed, a.Work.PlannedToMM, a.Work.Arrives, b.Verdict)
		case !trulyLevel(t, n, z):
			t.Errorf("seed %d: called level and is not", seed)
		default:
			reached++
		}
	}
	t.Logf("%d filed, %d level, metal with pressing %.2f, planned %.2f mm, at most %d moves", filed, reached, metal, planned, most)
	if filed < 8 || reached < 7 {
		t.Errorf("%d of %d necks are level after the moves", reached, filed)
	}
}
