package main

import (
	"fmt"
	"os/exec"
	"time"
)

// timed runs ringtrue several times and returns the median time by the clock
// from its start to its end, in s. On one core it is held to one processor.
func (r *run) timed(runs int, oneCore bool, args ...string) (float64, error) {
	name := r.program
	all := args
	if oneCore {
		if _, err := exec.LookPath("taskset"); err != nil {
			return 0, fmt.Errorf("taskset is not there")
		}
		name, all = "taskset", append([]string{"-c", "0", r.program}, args...)
	}
	var took []float64
	for range runs {
		start := time.Now()
		if _, err := r.command(r.root, nil, name, all...); err != nil {
			return 0, err
		}
		took = append(took, time.Since(start).Seconds())
	}
	return median(took), nil
}

// some is full, or few in a quick run.
func (r *run) some(full, few int) int {
	if r.quick {
		return few
	}
	return full
}
