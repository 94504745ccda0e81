package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

func cores() int { return runtime.NumCPU() }

// growth measures frets and plan on necks of many sizes, one pass a lane.
func growth(r *run) error {
	fretCounts, laneCounts := []int{12, 24, 36, 60}, []int{6, 12, 18}
	if r.quick {
		fretCounts, laneCounts = []int{12, 24}, []int{6}
	}
	t := table{title: "frets and lanes (60 frets with 24 to the octave)", head: []string{"frets", "lanes", "readings", "estimation", "least metal, options up to three refits", "`frets`, whole process", "`plan`, whole process"}}
	var failed []error
	for _, f := range fretCounts {
		for _, l := range laneCounts {
			r.say("  %d frets, %d lanes", f, l)
			row, err := growthRow(r, f, l)
			if err != nil {
				failed = append(failed, fmt.Errorf("%d frets, %d lanes: %w", f, l, err))
				continue
			}
			t.rows = append(t.rows, row)
		}
	}
	r.growth = append(r.growth, t)
	return errors.Join(failed...)
}

func growthRow(r *run, frets, lanes int) ([]string, error) {
	neckFile, readings, err := r.writeNeck(frets, lanes, 1)
	if err != nil {
		return nil, err
	}
	in, err := readInput(neckFile, readings)
	if err != nil {
		return nil, err
	}
	var e *heights.Estimate
	estimate := r.often(func() { e, err = heights.From(in) })
	if err != nil {
		return nil, err
	}
	var of []level.Lane
	for _, l := range e.Lanes {
		of = append(of, level.Lane{Lane: l.Lane, Frets: l.Frets, X: l.X, D: l.Z})
	}
	options := r.often(func() { _, err = level.Options(r.ctx, of, 0.03, 3) })
	if err != nil {
		return nil, err
	}
	whole, err := r.timed(r.some(5, 1), false, "frets", neckFile, readings)
	if err != nil {
		return nil, err
	}
	plan, err := r.timed(r.some(5, 1), false, "plan", neckFile)
	if err != nil {
		return nil, err
	}
	return []string{fmt.Sprint(frets), fmt.Sprint(lanes), fmt.Sprint(len(in.Readings)), seconds(estimate), seconds(options), seconds(whole), seconds(plan)}, nil
}

func readInput(neckFile, readings string) (heights.Input, error) {
	text, err := os.ReadFile(neckFile)
	if err != nil {
		return heights.Input{}, err
	}
	m, err := neck.Parse(filepath.Base(neckFile), text)
	if err != nil {
		return heights.Input{}, err
	}
	l, err := geometry.New(m)
	if err != nil {
		return heights.Input{}, err
	}
	rows, err := os.ReadFile(readings)
	if err != nil {
		return heights.Input{}, err
	}
	set, err := reading.Parse(filepath.Base(readings), strings.NewReader(string(rows)), reading.Bounds{FirstFret: 1, LastFret: l.LastFret(), Strings: len(m.Strings.Set)})
	if err != nil {
		return heights.Input{}, err
	}
	return heights.Input{Layout: l, Readings: set.Readings, CrownRadiusMM: m.Wire.CrownRadius}, nil
}

// often is the median time of a call, in s, over half a second and at least
// three calls; in a quick run of one.
func (r *run) often(call func()) float64 {
	var took []float64
	for begin := time.Now(); ; {
		start := time.Now()
		call()
		took = append(took, time.Since(start).Seconds())
		if r.quick || r.ctx.Err() != nil || (len(took) >= 3 && time.Since(begin) > time.Second/2) {
			return median(took)
		}
	}
}
