package hand

import (
	"math"

	"ringtrue/internal/neck"
)

// jobSD is the spread of the log of a job's minutes; an estimate.
const jobSD = 0.25

// quoteZ is the point of the normal distribution below which 80 of 100 lie.
const quoteZ = 0.84

// Quote is what a job of a middle number of minutes takes at most, 8 times in 10:
// exp(0.84 × 0.25) times the middle.
func Quote(minutes float64) float64 { return minutes * math.Exp(quoteZ*jobSD) }

// Counts is how often each step of a job was done, in the order of Steps.
type Counts [steps]float64

// Steps, as places in Counts.
const (
	PressOne   = iota // a fret pressed again
	ReplaceOne        // a fret replaced
	Ink               // mask and ink
	SpotFile          // a fret filed alone
	Stroking          // a double stroke of a beam
	Look              // a look at the flats
	Crowning          // a fret rounded again
	Polishing         // a fret polished
	PassSetUp         // a pass of a gauge
	ReadingOne        // a reading
	steps
)

// Each is the minutes that each step takes. reseat, where more than 0, is the neck
// file's own time to press one.
func Each(m neck.ShopMinutes, reseat float64) Counts {
	if reseat <= 0 {
		reseat = m.Reseat
	}
	if reseat <= 0 {
		reseat = m.Press
	}
	return Counts{reseat, m.Replace, m.Ink, m.Spot, m.Stroke, m.Look, m.Crown, m.Polish, m.Pass, m.Reading}
}

// Minutes is each put back into a shop's minutes.
func (c Counts) Minutes(m neck.ShopMinutes) neck.ShopMinutes {
	m.Reseat = 0
	m.Press, m.Replace, m.Ink, m.Spot, m.Stroke, m.Look = c[PressOne], c[ReplaceOne], c[Ink], c[SpotFile], c[Stroking], c[Look]
	m.Crown, m.Polish, m.Pass, m.Reading = c[Crowning], c[Polishing], c[PassSetUp], c[ReadingOne]
	return m
}

// Of is the minutes of a job.
func (c Counts) Of(each Counts) (minutes float64) {
	for k := range c {
		minutes += c[k] * each[k]
	}
	return minutes
}

// strokesALook is how often a hand looks.
const strokesALook = 3

// Counted is what was done, counted, with so many passes and readings after it.
func (all Strokes) Counted(passes, readings int) Counts {
	c := Counts{PassSetUp: float64(passes), ReadingOne: float64(readings)}
	frets, alone := map[int]bool{}, map[int]bool{}
	for _, s := range all {
		worked := s.frets()
		n := float64(len(worked))
		switch s.Tool {
		case Press:
			c[PressOne] += n
		case Replace:
			c[ReplaceOne] += n
		case File:
			for _, f := range worked {
				alone[f] = true
			}
		default:
			c[Stroking] += float64(s.Strokes)
			c[Look] += float64(s.Strokes) / strokesALook
			c[Ink] = 1
		}
		for _, f := range worked {
			if s.counts() {
				frets[f] = true
			}
		}
	}
	c[SpotFile] = float64(len(alone))
	if len(alone) > 0 {
		c[Ink] = 1
	}
	c[Crowning], c[Polishing] = float64(len(frets)), float64(len(frets))
	return c
}

// Job is a job of the book: what was done, and how long it took.
type Job struct {
	Counts  Counts
	Minutes float64
}

// Spreads of what a step takes in a shop, as parts of the minutes given: of the whole
// shop's pace, and of each step by itself. Together they are a half. Estimates.
const (
	paceSD = 0.4
	stepSD = 0.3
)

// LearnMinutes finds what each step takes from jobs: least squares with the minutes
// given as prior, its sd half of each, none below 0; a job's minutes have the spread
// of jobSD.
func LearnMinutes(prior Counts, jobs []Job) Counts {
	each := prior
	for range 6 { // a job's spread goes with its own middle
		each = newSquares(jobs, each).least(prior)
	}
	return each
}

// jobSquares are the normal equations of jobs.
type jobSquares struct {
	a [steps]Counts
	g Counts
}

// newSquares weighs jobs by what they take at so many minutes a step.
func newSquares(jobs []Job, each Counts) *jobSquares {
	var s jobSquares
	for _, j := range jobs {
		m := j.Counts.Of(each)
		if !(m > 0 && j.Minutes > 0) {
			continue
		}
		w := 1 / (jobSD * jobSD * m * m)
		for p, n := range j.Counts {
			s.g[p] += w * n * j.Minutes
			for q, k := range j.Counts {
				s.a[p][q] += w * n * k
			}
		}
	}
	return &s
}

// least is the least of the squares with the prior, by coordinate descent: a convex
// function whose bounds are each coordinate's own has one least.
func (s *jobSquares) least(prior Counts) Counts {
	each, pace := prior, 1.0
	for range 5000 {
		moved, sum, weight := 0.0, 1/(paceSD*paceSD), 1/(paceSD*paceSD)
		for k, m := range prior {
			if m <= 0 {
				continue // it was said to take nothing
			}
			sum, weight = sum+each[k]/m/(stepSD*stepSD), weight+1/(stepSD*stepSD)
		}
		pace = sum / weight
		for k, m := range prior {
			if m <= 0 {
				continue
			}
			w := 1 / (stepSD * stepSD * m * m)
			to := w*pace*m + s.g[k] + s.a[k][k]*each[k]
			for q := range each {
				to -= s.a[k][q] * each[q]
			}
			to = max(0, to/(w+s.a[k][k]))
			moved, each[k] = max(moved, math.Abs(to-each[k])/m), to
		}
		if moved < 1e-11 {
			break
		}
	}
	return each
}

// StepName is a step's word in JSON.
func StepName(step int) string {
	return [steps]string{"press", "replace", "ink", "file", "stroke", "look", "crown", "polish", "set up a pass", "read"}[step]
}
