package filing

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"ringtrue/internal/straight"
)

const (
	firmDepth  = 0.003 // a flat of which the eye is not in doubt
	roughDraws = 2     // in which a way is looked at first,
	tuneDraws  = 4     // and its best tells after that
	tuneKept   = 3     // so many pairs of tells are looked at twice
)

// pair are two crowns that may be tells, places in the lane.
type pair [2]int

// rough takes the likeliest tells for each run, lane by lane, and notes how wide
// they leave the worst lane.
func (t *try) rough(ctx context.Context, a *Ask) {
	t.each(ctx, func(l *LaneRun) {
		t.best(a, l, t.job.tellings(l, t.job.likely(l), 0, &a.Hand), roughDraws)
	})
	for lane := range t.job.Lanes {
		t.wide = max(t.wide, t.job.score(&t.choice.Moves, lane, a, roughDraws))
	}
}

// tune chooses the tells by what hands make of them: the outermost crowns as a
// rule, but where the beam lies on a hump it rocks, and flats at its ends come
// before the work is done. An eye that looks often stops too early, so flats a
// step wider are tried too.
func (t *try) tune(ctx context.Context, a *Ask) {
	t.each(ctx, func(l *LaneRun) {
		good := t.best(a, l, t.job.tellings(l, t.job.pairs(l), 0, &a.Hand), roughDraws)
		frets := t.job.Lanes[l.Lane].Frets
		for _, tells := range good[:min(tuneKept, len(good))] {
			f := fretsOf(tells)
			good = append(good, t.job.tells(l.Lane, pair{at(frets, f[0]), at(frets, f[1])}, 1, &a.Hand))
		}
		t.best(a, l, slices.Concat(good[:min(tuneKept, len(good))], good[max(0, len(good)-tuneKept):]), tuneDraws)
		t.outermost(a, l)
	})
	for k := range t.choice.Moves.Runs {
		if ctx.Err() == nil {
			t.agree(a, &t.choice.Moves.Runs[k])
		}
	}
}

// outermost goes back to the outermost crowns that lose metal where that costs
// hardly anything: they tell what the whole lane looks like.
func (t *try) outermost(a *Ask, l *LaneRun) {
	outer := pair{l.told[0], l.told[len(l.told)-1]}
	frets, chosen := t.job.Lanes[l.Lane].Frets, l.Tells
	if fretsOf(chosen) == [2]int{frets[outer[0]], frets[outer[1]]} {
		return
	}
	was := t.job.score(&t.choice.Moves, l.Lane, a, tuneDraws)
	tells := [][]Flat{t.job.tells(l.Lane, outer, 0, &a.Hand), t.job.tells(l.Lane, outer, 1, &a.Hand)}
	t.best(a, l, tells, tuneDraws)
	if t.job.score(&t.choice.Moves, l.Lane, a, tuneDraws) > max(agreeWorse*was, agreeZone*t.job.LimitMM) {
		l.Tells = chosen
	}
}

// agree lets lanes of a run show their flats at the same frets where that costs
// hardly anything: a hand keeps two frets in mind, not twelve.
func (t *try) agree(a *Ask, r *Run) {
	common := r.common()
	for i := range r.Lanes {
		l := &r.Lanes[i]
		frets := t.job.Lanes[l.Lane].Frets
		p, q := at(frets, common[0]), at(frets, common[1])
		if fretsOf(l.Tells) == common || !slices.Contains(l.told, p) || !slices.Contains(l.told, q) {
			continue
		}
		kept, was := l.Tells, t.job.score(&t.choice.Moves, l.Lane, a, tuneDraws)
		now := math.Inf(1)
		for wider := range 2 {
			tells := t.job.tells(l.Lane, pair{p, q}, wider, &a.Hand)
			held := l.Tells
			l.Tells = tells
			if s := t.job.score(&t.choice.Moves, l.Lane, a, tuneDraws); s < now {
				now = s
			} else {
				l.Tells = held
			}
		}
		if now > max(agreeWorse*was, agreeZone*t.job.LimitMM) {
			l.Tells = kept
		}
	}
}

const (
	agreeWorse = 1.1 // a lane may be left so much wider,
	agreeZone  = 0.4 // or to so much of the limit
)

// common are the frets at which most lanes show their flats.
func (r *Run) common() (best [2]int) {
	count, most := map[[2]int]int{}, 0
	for i := range r.Lanes {
		k := fretsOf(r.Lanes[i].Tells)
		if count[k]++; count[k] > most || count[k] == most && k[1]-k[0] > best[1]-best[0] {
			best, most = k, count[k]
		}
	}
	return best
}

func fretsOf(tells []Flat) [2]int { return [2]int{tells[0].Fret, tells[len(tells)-1].Fret} }

func (t *try) each(ctx context.Context, do func(l *LaneRun)) {
	m := &t.choice.Moves
	for k := range m.Runs {
		for i := range m.Runs[k].Lanes {
			if ctx.Err() == nil {
				do(&m.Runs[k].Lanes[i])
			}
		}
	}
}

// best sets the best of some tells, and returns them, the best first.
func (t *try) best(a *Ask, l *LaneRun, tells [][]Flat, draws int) [][]Flat {
	score := make(map[*Flat]float64, len(tells))
	for _, f := range tells {
		l.Tells = f
		score[&f[0]] = t.job.score(&t.choice.Moves, l.Lane, a, draws)
	}
	slices.SortStableFunc(tells, func(p, q []Flat) int {
		if score[&p[0]] < score[&q[0]] {
			return -1
		} else if score[&p[0]] > score[&q[0]] {
			return 1
		}
		return 0
	})
	l.Tells = tells[0]
	return tells
}

func (j *Job) tellings(l *LaneRun, pairs []pair, wider int, h *Hand) (out [][]Flat) {
	for _, p := range pairs {
		out = append(out, j.tells(l.Lane, p, wider, h))
	}
	return out
}

// marks are a lane's crowns that make good tells, on either side of what comes off:
// the outermost, the outermost whose flats are seen for certain, those at a quarter
// of the metal, and the deepest.
func (j *Job) marks(l *LaneRun) (left, right [4]int) {
	remove, told := j.RemoveMM[l.Lane], l.told
	firm := slices.DeleteFunc(slices.Clone(told), func(i int) bool { return remove[i] < firmDepth })
	if len(firm) == 0 {
		firm = told
	}
	n, sum := len(firm), 0.0
	for _, i := range firm {
		sum += remove[i]
	}
	left = [4]int{told[0], firm[0], firm[0], most(remove, firm[:(n+1)/2])}
	right = [4]int{told[len(told)-1], firm[n-1], firm[n-1], most(remove, firm[n/2:])}
	part := 0.0
	for _, i := range firm {
		before := part
		part += remove[i]
		if before <= 0.25*sum && part > 0.25*sum {
			left[2] = i
		}
		if before <= 0.75*sum && part > 0.75*sum {
			right[2] = i
		}
	}
	return left, right
}

// likely are the pairs of marks of one kind.
func (j *Job) likely(l *LaneRun) (out []pair) {
	left, right := j.marks(l)
	for k := range left {
		out = l.with(out, left[k], right[k])
	}
	return out
}

// pairs are all pairs of marks.
func (j *Job) pairs(l *LaneRun) (out []pair) {
	left, right := j.marks(l)
	for _, p := range left {
		for _, q := range right {
			out = l.with(out, p, q)
		}
	}
	return out
}

// with adds a pair that is not there yet and is of two crowns, if there are two.
func (l *LaneRun) with(out []pair, p, q int) []pair {
	if k := (pair{p, q}); (p < q || len(l.told) == 1) && !slices.Contains(out, k) {
		return append(out, k)
	}
	if len(out) == 0 && len(l.told) > 1 && p >= q {
		return append(out, pair{l.told[0], l.told[len(l.told)-1]})
	}
	return out
}

// most is the place that loses most.
func most(remove []float64, places []int) int {
	best := places[0]
	for _, i := range places {
		if remove[i] > remove[best] {
			best = i
		}
	}
	return best
}

// score is how wide a lane is left by hands, on average, mm; more where they take
// more than planned.
func (j *Job) score(m *Moves, lane int, a *Ask, draws int) float64 {
	sum, metal, planned := 0.0, 0.0, 0.0
	for _, d := range j.RemoveMM[lane] {
		planned += d
	}
	z := make([]float64, len(j.RemoveMM[lane]))
	for draw := range draws {
		var errors [][]float64
		if a.Errors != nil {
			errors = a.Errors(draw)
		}
		r := rand.New(rand.NewPCG(a.Seed+1, uint64(draw)))
		scatter := a.hands(draw)
		spots := m.filed(a.Hand, scatter, r)
		w := j.worker(lane, a.Hand, scatter, errors, r)
		taken := w.carry(m, lane, spots, nil, nil)
		for i := range z {
			z[i] = j.Lanes[lane].D[i] - taken[i]
			if errors != nil {
				z[i] -= errors[lane][i]
			}
			metal += taken[i]
		}
		zone, err := straight.Zone(j.Lanes[lane].X, z)
		if err != nil {
			return math.Inf(1)
		}
		sum += zone.WidthMM
	}
	if planned > 0 {
		sum *= 1 + 0.3*max(0, metal/float64(draws)/planned-1)
	}
	return sum / float64(draws)
}
