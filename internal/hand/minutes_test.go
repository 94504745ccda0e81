package hand

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/neck"
)

func usual() Counts { return Each(neck.UsualShop().Minutes, 0) }

// 1.23 times the middle is the 80 % point of a log-normal of sd 0.25: as many drawn
// jobs are done by then.
func TestQuote(t *testing.T) {
	casetest.Near(t, "quote of 100 minutes", Quote(100), 123.4, 0.05)
	r := rand.New(rand.NewPCG(5, 5))
	in := 0
	const n = 20000
	for range n {
		if 100*math.Exp(jobSD*r.NormFloat64()) <= Quote(100) {
			in++
		}
	}
	casetest.Near(t, "jobs done by then", float64(in)/n, 0.80, 0.01)
}

// One job of one step in closed form: prior 2 ± 1, a fret of 3 minutes by a job of 10
// frets whose spread is 25 % of its own middle.
func TestLearnMinutes_OneStep(t *testing.T) {
	prior := Counts{Crowning: 2}
	got := LearnMinutes(prior, []Job{{Counts{Crowning: 10}, 30}})[Crowning]
	u := jobSD * got // of a fret: u of the job over 10
	casetest.Near(t, "minutes a fret", got, (2+3/(u*u))/(1+1/(u*u)), 0.01)
	if none := LearnMinutes(prior, nil); none != prior {
		t.Errorf("of no job: %v", none)
	}
	if fast := LearnMinutes(usual(), []Job{{Counts{Crowning: 20, ReadingOne: 100}, 0.1}}); fast[Crowning] < 0 || fast[ReadingOne] < 0 {
		t.Errorf("below 0: %v", fast)
	}
}

// The least is the least: no other minutes near it have smaller squares, and none are
// below 0.
func TestLearnMinutes_IsTheLeast(t *testing.T) {
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(8, seed))
		prior := usual()
		jobs := drawnJobs(prior, 1, 6, r)
		each := LearnMinutes(prior, jobs)
		weight := make([]float64, len(jobs))
		for j := range jobs {
			m := jobs[j].Counts.Of(each)
			weight[j] = 1 / (jobSD * jobSD * m * m)
		}
		// Half of each as its sd, 0.4 of that shared: by the inverse of the covariance.
		cost := func(c Counts) (sum float64) {
			n, ratio, square := 0.0, 0.0, 0.0
			for k := range c {
				v := c[k]/prior[k] - 1
				n, ratio, square = n+1, ratio+v, square+v*v
			}
			own, shared := stepSD*stepSD, paceSD*paceSD
			sum = square/own - ratio*ratio*shared/(own*(own+n*shared))
			for j := range jobs {
				d := jobs[j].Minutes - jobs[j].Counts.Of(c)
				sum += weight[j] * d * d
			}
			return sum
		}
		least := cost(each)
		for k := range each {
			for _, step := range []float64{-0.02, 0.02} {
				other := each
				other[k] = max(0, other[k]+step*prior[k])
				if other != each && cost(other) < least-1e-4 {
					t.Errorf("seed %d: step %d could be better at %g, %g against %g", seed, k, other[k], cost(other), least)
				}
			}
		}
	}
}

func drawnJobs(truth Counts, times float64, n int, r *rand.Rand) (jobs []Job) {
	for range n {
		c := Counts{PressOne: float64(r.IntN(4)), Ink: 1, SpotFile: float64(r.IntN(4)), Stroking: float64(50 + r.IntN(300)), Crowning: float64(5 + r.IntN(18)), PassSetUp: 6, ReadingOne: 132}
		c[Look], c[Polishing] = c[Stroking]/strokesALook, c[Crowning]
		jobs = append(jobs, Job{c, times * c.Of(truth) * math.Exp(jobSD*r.NormFloat64())})
	}
	return jobs
}

// A shop that takes half as long again is known after a few jobs: by then its quotes hold.
func TestLearnMinutes_SlowShop(t *testing.T) {
	done, all := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(6, seed))
		each := LearnMinutes(usual(), drawnJobs(usual(), 1.5, 8, r))
		for _, next := range drawnJobs(usual(), 1.5, 5, r) {
			all++
			if next.Minutes <= Quote(next.Counts.Of(each)) {
				done++
			}
		}
	}
	t.Logf("done by the quote: %d of %d", done, all)
	if done < all*70/100 || done > all*90/100 {
		t.Errorf("done by the quote: %d of %d, want about 80 in 100", done, all)
	}
}

func TestCounted(t *testing.T) {
	s, err := Parse("press 3; file 7: 40; beam 10-12: 60; beam 11-14: 30")
	if err != nil {
		t.Fatal(err)
	}
	got := s.Counted(6, 132)
	want := Counts{PressOne: 1, Ink: 1, SpotFile: 1, Stroking: 90, Look: 30, Crowning: 6, Polishing: 6, PassSetUp: 6, ReadingOne: 132}
	if got != want {
		t.Errorf("counted %v, want %v", got, want)
	}
	m := neck.UsualShop().Minutes
	if back := Each(m, 0).Minutes(m); back != m {
		t.Errorf("minutes come back as %+v", back)
	}
	if Each(m, 9)[PressOne] != 9 {
		t.Error("the neck file's own time to reseat does not count")
	}
}
