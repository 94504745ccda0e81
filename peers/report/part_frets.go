package main

import (
	"errors"
	"fmt"
)

// frets times ringtrue frets as a whole and the estimation alone.
func frets(r *run) error {
	return errors.Join(fretsProcess(r, 24, 6, 0.060), fretsProcess(r, 36, 12, 1.5), estimation(r))
}

func fretsProcess(r *run, frets, lanes int, limitS float64) error {
	neck, readings, err := r.writeNeck(frets, lanes, 1)
	if err != nil {
		return err
	}
	took, err := r.timed(r.some(15, 3), true, "frets", neck, readings)
	if err != nil {
		return err
	}
	r.atMost(fmt.Sprintf("`frets`, %d frets × %d lanes, options up to three refits, whole process, one core", frets, lanes), took, limitS, seconds)
	return nil
}

func estimation(r *run) error {
	b, err := r.goBench("./internal/heights", "^BenchmarkFrom$", 1, r.some(5, 1), r.span())
	if err != nil {
		return err
	}
	ns, err1 := of(b, "From", "ns/op")
	bytes, err2 := of(b, "From", "B/op")
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	r.atMost("estimation, 24 × 6 crowns from 288 readings, one core", ns*1e-9, 0.005, seconds)
	r.atMost("estimation, memory allocated", bytes/1e6, 2, megabytes)
	zone, err := r.goBench("./internal/straight", "^BenchmarkZone$", 1, r.some(5, 1), r.span())
	if err != nil {
		return err
	}
	rate, err := of(zone, "Zone", "lanes/s")
	if err != nil {
		return err
	}
	r.atLeast("minimum zone, lanes of 24 crowns, one core", rate, 1e6, perSecond("lanes"))
	return nil
}

// span is how long a benchmark runs.
func (r *run) span() string {
	if r.quick {
		return "10ms"
	}
	return "1s"
}

// play times ringtrue play, its study and plan as a whole.
func play(r *run) error {
	one := func(what string, limitS float64, runs int, args ...string) error {
		took, err := r.timed(runs, false, args...)
		if err == nil {
			r.atMost(what, took, limitS, seconds)
		}
		return err
	}
	neck24, _, err := r.writeNeck(24, 6, 1)
	if err != nil {
		return err
	}
	study, about := []string{"play", "examples/heron.toml", "--study", "zone=0.01..0.08"}, "1,000"
	if r.quick {
		study, about = append(study, "--necks", "50"), "50"
	}
	return errors.Join(
		one("`play` of the Heron neck, all touches, lowest clear actions, whole process", 0.4, r.some(9, 3), "play", "examples/heron.toml", "examples/heron-seated.csv"),
		one("`play --study`, 8 zones × "+about+" necks, whole process", 20, r.some(3, 1), study...),
		one("`plan` of 24 frets, springback range included, whole process", 0.050, r.some(15, 3), "plan", neck24),
	)
}
