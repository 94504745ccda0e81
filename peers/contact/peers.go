package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/sys/unix"
	"ringtrue/internal/play"
)

// result is what one program said of all notes and how long it took.
type result struct {
	name    string
	seconds float64
	met     [][]strike // by note, then fret
}

// best is the shortest processor time of some rounds of one thread, in s: what
// else runs on the machine does not count.
func best(rounds int, run func()) float64 {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	least := math.Inf(1)
	for range rounds {
		start := threadTime()
		run()
		least = min(least, threadTime()-start)
	}
	return least
}

// threadTime is the processor time this thread has taken so far, in s.
func threadTime() float64 {
	var t unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_THREAD_CPUTIME_ID, &t); err != nil {
		panic(err) // Linux has it
	}
	return float64(t.Sec) + 1e-9*float64(t.Nsec)
}

// wall is the shortest time by the clock of some rounds, in s.
func wall(rounds int, run func()) float64 {
	least := math.Inf(1)
	for range rounds {
		start := time.Now()
		run()
		least = min(least, time.Since(start).Seconds())
	}
	return least
}

// plainGo runs the Go peer.
func plainGo(notes []note, rounds int) result {
	r := result{name: "Go, plain loops, stepwise"}
	for _, n := range notes {
		s := newStepwise(n)
		var met []strike
		r.seconds += best(rounds, func() { met = s.run(n) })
		r.met = append(r.met, met)
	}
	return r
}

// ours runs ringtrue's contact run on one core.
func ours(notes []note, rounds int) (result, error) {
	r := result{name: "ringtrue"}
	var failed error
	for _, n := range notes {
		var met []strike
		r.seconds += best(rounds, func() {
			m, err := n.barrier.Simulate(context.Background(), n.start, n.floor, n.steps)
			if err != nil {
				failed = err
				return
			}
			met = strikes(m)
		})
		r.met = append(r.met, met)
	}
	return r, failed
}

func strikes(m *play.Met) []strike {
	var out []strike
	for _, s := range m.Strikes {
		out = append(out, strike{s.First, s.Contacts, s.ImpulseNS})
	}
	return out
}

// onCores is the best time of the whole neck shared out over some workers, in s.
func onCores(notes []note, workers, rounds int) float64 {
	return wall(rounds, func() {
		var next atomic.Int64
		var wait sync.WaitGroup
		for range workers {
			wait.Go(func() {
				for i := int(next.Add(1)) - 1; i < len(notes); i = int(next.Add(1)) - 1 {
					n := &notes[i]
					if _, err := n.barrier.Simulate(context.Background(), n.start, n.floor, n.steps); err != nil {
						panic(err) // it was followed before
					}
				}
			})
		}
		wait.Wait()
	})
}

// cpp runs the C++ peer with one of its two inner loops.
func cpp(build, program, loop, file string, rounds int) (result, error) {
	r := result{name: "C++ " + program + ", " + loop + " inside, stepwise"}
	var out, errs bytes.Buffer
	c := exec.Command(filepath.Join(build, "stepwise-"+program), file, strconv.Itoa(rounds), loop)
	c.Stdout, c.Stderr = &out, &errs
	if err := c.Run(); err != nil {
		return r, fmt.Errorf("%s: %w %s", r.name, err, errs.String())
	}
	for line := range strings.Lines(out.String()) {
		w := strings.Fields(line)
		var v []float64
		for _, word := range w {
			x, err := strconv.ParseFloat(word, 64)
			if err != nil {
				return r, err
			}
			v = append(v, x)
		}
		if len(v) < 2 || len(v)%3 != 2 {
			return r, fmt.Errorf("%s said %q", r.name, line)
		}
		r.seconds += v[0] * 1e-6
		var met []strike
		for i := 2; i < len(v); i += 3 {
			met = append(met, strike{int(v[i]), int(v[i+1]), v[i+2]})
		}
		r.met = append(r.met, met)
	}
	return r, nil
}
