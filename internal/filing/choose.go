package filing

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
)

// Ask is what moves are chosen for.
type Ask struct {
	Hand    Hand
	Scatter Scatter
	Tools   Tools
	Minutes Minutes
	Draws   int
	Seed    uint64
	// Errors are the errors of the readings in one draw, crown by crown in the
	// order of the job's lanes: crowns truly stand so much lower. nil: none.
	Errors func(draw int) [][]float64
	// Level tells whether the next reading calls the neck level in one draw, so much
	// being taken off, crown by crown, after the job of that place. It is called
	// from several goroutines.
	Level func(job, draw int, takenMM [][]float64) bool
}

// Minutes are what moves take, min.
type Minutes struct {
	Spot   float64 // a fret filed alone
	Stroke float64 // a double stroke of a beam
	Look   float64 // a look at the tells
	Ink    float64 // to mask and to ink, once
}

// hands are those of a draw: three of four move to the flat that lacks most, the
// others between the two.
func (a *Ask) hands(draw int) Scatter {
	s := a.Scatter
	s.Worst = draw%4 != 0
	return s
}

// Confidence is the chance of being called level from which moves are chosen by
// their minutes.
const Confidence = 0.95

// Choice is a way of working and what came of it in the draws.
type Choice struct {
	Moves   Moves
	Plan    int         // which of the jobs it follows
	Chance  float64     // that the next reading says level
	Minutes float64     // of work, on average
	MetalMM float64     // off all crowns together, on average
	StrayMM [][]float64 // how far they end from the plan, crown by crown in the job's order, root mean square
	drawn   int
}

// Choose tries moves for each job, the same neck planned in several ways: with none
// to four frets filed alone first, in runs that keep apart or one that goes on. Of
// those that arrive in Confidence of the draws it takes the one of fewest
// minutes, the less metal where they tie; where none does, the likeliest. All are
// tried in a few draws first, and few of them to the end. A context that ends stops
// it with its error. The same seed gives the same moves. No job, or none that few
// enough moves carry out: a choice without moves.
func Choose(ctx context.Context, jobs []Job, a Ask) (Choice, error) {
	tries := candidates(jobs, &a)
	each(tries, func(t *try) { t.rough(ctx, &a) })
	slices.SortStableFunc(tries, func(p, q *try) int { return cmp.Compare(p.wide, q.wide) })
	tries = likeliest(tries)
	each(tries, func(t *try) { t.tune(ctx, &a) })
	each(tries, func(t *try) { t.judge(ctx, &a, min(firstDraws, a.Draws), hopeless) })
	slices.SortStableFunc(tries, func(p, q *try) int { return p.choice.rank(&q.choice) })
	var best Choice
	for from := 0; from < len(tries) && best.Chance < Confidence && ctx.Err() == nil; from += tryAtOnce {
		some := tries[from:min(from+tryAtOnce, len(tries))]
		least := max(Worthwhile, min(best.Chance, Confidence))
		each(some, func(t *try) { t.judge(ctx, &a, a.Draws, least) })
		for _, t := range some {
			if best.drawn == 0 || t.choice.rank(&best) < 0 {
				best = t.choice
			}
		}
		if from+tryAtOnce >= maxTried {
			break
		}
	}
	return best, ctx.Err()
}

// likeliest are the ways, in order of what they leave, that are looked into: some
// with a beam, and all without that may do, which cost nothing to look into.
func likeliest(tries []*try) (out []*try) {
	beams := 0
	for _, t := range tries {
		if len(t.choice.Moves.Runs) == 0 {
			if t.wide <= t.job.LimitMM {
				out = append(out, t)
			}
		} else if beams++; beams <= maxTuned {
			out = append(out, t)
		}
	}
	return out
}

// Worthwhile is the chance under which nobody is told to begin.
const Worthwhile = 0.5

const (
	hopeless   = 0.2 // a way that arrives no oftener in the first draws is not drawn on
	maxTuned   = 6   // so many ways with a beam are looked into
	firstDraws = 20  // in which all ways are tried
	tryAtOnce  = 2   // so many are then drawn to the end together,
	maxTried   = 6   // and no more than these
	maxMoves   = 8
	maxFlats   = 40
)

// each does something for all, on all cores.
func each(tries []*try, do func(*try)) {
	var wait sync.WaitGroup
	queue := make(chan *try)
	for range min(runtime.GOMAXPROCS(0), 8) {
		wait.Go(func() {
			for t := range queue {
				do(t)
			}
		})
	}
	for _, t := range tries {
		queue <- t
	}
	close(queue)
	wait.Wait()
}

// rank is less than 0 where a choice is better than another.
func (c *Choice) rank(other *Choice) int {
	// Of those that are sure the chance counts no more.
	if by := cmp.Compare(min(other.Chance, Confidence), min(c.Chance, Confidence)); by != 0 {
		return by
	}
	return cmp.Or(cmp.Compare(c.Minutes, other.Minutes), cmp.Compare(c.MetalMM, other.MetalMM))
}

// try is a way of working that is looked into.
type try struct {
	job            *Job
	choice         Choice
	wide           float64 // the zone that it leaves in the worst lane, roughly
	level          int
	metal          float64
	stray          [][]float64 // squares, all draws
	strokes, looks []float64   // of each run, all draws
	touched        map[int]int // how many draws touched a fret in some lane
}

// candidates are the ways worth looking into, each once.
func candidates(jobs []Job, a *Ask) (out []*try) {
	for p := range jobs {
		j := &jobs[p]
		for _, w := range j.ways(&a.Tools) {
			m, ok := j.Moves(w, &a.Hand, &a.Tools)
			if !ok || len(m.Spots)+len(m.Runs) > maxMoves || m.flats() > maxFlats || w.Whole && len(j.spans(m.left, Way{})) < 2 {
				continue
			}
			out = append(out, &try{job: j, choice: Choice{Moves: m, Plan: p}})
		}
	}
	return out
}

// ways are how a plan may be turned into moves.
func (j *Job) ways(t *Tools) (out []Way) {
	frets, _ := j.standsOut()
	most := min(maxSpots, len(frets))
	if !t.Files {
		most = 0
	}
	first, last := j.Lanes[0].Frets[0], j.Lanes[0].Frets[len(j.Lanes[0].Frets)-1]
	bends := []float64{math.Inf(1)}
	if bend := j.bend(first, last); bend > j.LimitMM/8 {
		bends = []float64{j.LimitMM / 8, j.LimitMM / 4}
	}
	spans := []float64{math.Inf(1)}
	if j.hollow(math.Inf(1)) > j.LimitMM/8 { // only short beams get down into it
		spans = append(spans, t.BeamsMM...)
	}
	for k := 0; k <= most; k++ {
		for _, span := range spans {
			for _, bend := range bends {
				out = append(out, Way{Alone: k, BendMM: bend, SpanMM: span}, Way{Alone: k, BendMM: bend, SpanMM: span, Whole: true})
			}
		}
		if k > 0 {
			out = append(out, Way{Alone: k, Only: true})
		}
	}
	return out
}

// judge draws what comes of it, up to so many draws in all; no further than where it
// cannot arrive in the least part of them any more.
func (t *try) judge(ctx context.Context, a *Ask, draws int, least float64) {
	c := &t.choice
	for ; c.drawn < draws && ctx.Err() == nil; c.drawn++ {
		if float64(t.level+draws-c.drawn) < least*float64(draws) {
			break
		}
		var errors [][]float64
		if a.Errors != nil {
			errors = a.Errors(c.drawn)
		}
		// The same hand for every way: they differ by what they are, not by luck.
		done := t.job.Carry(&c.Moves, a.Hand, a.hands(c.drawn), errors, rand.New(rand.NewPCG(a.Seed, uint64(c.drawn))))
		if a.Level(c.Plan, c.drawn, done.TakenMM) {
			t.level++
		}
		t.count(&done)
	}
	n := float64(c.drawn)
	c.Chance, c.MetalMM = float64(t.level)/n, t.metal/n
	c.StrayMM = make([][]float64, len(t.stray))
	for a, lane := range t.stray {
		for _, sum := range lane {
			c.StrayMM[a] = append(c.StrayMM[a], math.Sqrt(sum/n))
		}
	}
	c.Minutes = a.Minutes.Spot*float64(len(c.Moves.Spots)) + a.Minutes.Ink
	for k := range c.Moves.Runs {
		r := &c.Moves.Runs[k]
		r.Strokes = t.strokes[k] / n
		r.Minutes = t.strokes[k]/n*a.Minutes.Stroke + t.looks[k]/n*a.Minutes.Look
		r.Ink = t.inkOf(r)
		c.Minutes += r.Minutes
	}
}

// count adds a draw's work up.
func (t *try) count(d *Done) {
	if t.strokes == nil {
		t.strokes, t.looks = make([]float64, len(d.Strokes)), make([]float64, len(d.Strokes))
		t.touched, t.stray = map[int]int{}, make([][]float64, len(d.TakenMM))
		for a := range d.TakenMM {
			t.stray[a] = make([]float64, len(d.TakenMM[a]))
		}
	}
	for k := range d.Strokes {
		t.strokes[k] += float64(d.Strokes[k])
		t.looks[k] += float64(d.Looks[k])
	}
	most := map[int]float64{}
	for a, lane := range d.TakenMM {
		for i, mm := range lane {
			t.metal += mm
			off := mm - t.job.RemoveMM[a][i]
			t.stray[a][i] += off * off
			f := t.job.Lanes[a].Frets[i]
			most[f] = max(most[f], mm)
		}
	}
	for f, mm := range most {
		n := t.touched[f] // a fret that is there counts, touched or not
		if mm > inkDepth {
			n++
		}
		t.touched[f] = n
	}
}

// inkOf are the frets under a run that hardly any hand touches.
func (t *try) inkOf(r *Run) (frets []int) {
	for f := r.FirstFret; f <= r.LastFret; f++ {
		if r.tells(f) || slices.Contains(t.job.Pressed, f) {
			continue
		}
		if n, there := t.touched[f]; there && n*20 <= t.choice.drawn {
			frets = append(frets, f)
		}
	}
	return frets
}

// tells reports whether a fret shows a flat that ends the run.
func (r *Run) tells(fret int) bool {
	return slices.ContainsFunc(r.Lanes, func(l LaneRun) bool {
		return slices.ContainsFunc(l.Tells, func(f Flat) bool { return f.Fret == fret })
	})
}
