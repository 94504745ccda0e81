package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"
)

// house measures what a stranger gets: the binary, and the first verdict.
func house(r *run) error {
	info, err := os.Stat(r.program)
	if err != nil {
		return err
	}
	r.atMost("the binary, as it is given away", float64(info.Size())/1e6, 40, megabytes)
	if r.quick {
		r.leftOut("a stranger's first verdict: not in a quick run")
		return nil
	}
	clone := filepath.Join(r.build, "clone")
	empty := []string{"GOCACHE=" + filepath.Join(r.build, "gocache"), "GOMODCACHE=" + filepath.Join(r.build, "gomod"), "GOFLAGS=-modcacherw"}
	start := time.Now()
	if _, err := r.command(r.build, nil, "git", "clone", "-q", r.root, clone); err != nil {
		return err
	}
	said, err := r.command(clone, empty, "go", "run", "./cmd/ringtrue", "frets", "examples/heron.toml", "examples/heron-seated.csv")
	if err != nil {
		return fmt.Errorf("first verdict: %w", err)
	}
	if !strings.Contains(strings.ToLower(said), "not level") {
		return errors.New("first verdict: the program gave none")
	}
	r.atMost("a stranger's first verdict: clone, modules, build from nothing, `frets`", time.Since(start).Seconds(), 120, seconds)
	return nil
}

// suite runs the whole test suite.
func suite(r *run) error {
	start := time.Now()
	if _, err := r.command(r.root, nil, "go", "test", "-count=1", "./..."); err != nil {
		return err
	}
	r.atMost("`go test ./...`, nothing kept from before", time.Since(start).Seconds(), 240, seconds)
	return nil
}

// held runs the tests that hold a figure which is no time, and keeps what they say.
func held(r *run) error {
	var failed []error
	for _, h := range []struct{ what, wanted, pkg, test string }{
		{"six lanes read once: rms error, misreads found, none invented", "0.65 u; all over 10 u; 99 of 100 necks", "./internal/heights", "TestFrom_MisreadsAndScatter"},
		{"lanes at the limit: either word wrongly said", "at most 6 %", "./internal/straight", "TestLaneVerdict_AtTheLimit"},
		{"lanes at a third and twice the limit: the right word", "over 95 %", "./internal/straight", "TestLaneVerdict_FarFromTheLimit"},
		{"contact run beside the stepwise run, every path", "first step the same, impulses to 1e-8", "./internal/play", "TestNeck24_FollowsStepwise"},
		{"contact run: memory taken does not grow with time", "none in the time loop", "./internal/play", "TestRuns_TakeNoMemoryInTheLoop"},
		{"springback beside a sum over fibres", "to 1e-9 of it", "./internal/wire", "TestBend_fibreSum"},
		{"twenty benches reading at once", "no reading lost or misplaced", "./internal/bench/draft", "TestFolder_TwentyBenches"},
	} {
		args := []string{"test", "-count=1", "-v", "-run", "^" + h.test + "$", h.pkg}
		if r.quick {
			args = append(args, "-short")
		}
		out, err := r.command(r.root, nil, "go", args...)
		met := err == nil && regexp.MustCompile(`(?m)^--- PASS: `+h.test+` `).MatchString(out)
		if err == nil && !met {
			failed = append(failed, fmt.Errorf("no test %s in %s ran", h.test, h.pkg))
			continue
		}
		verdict := logged(out)
		if !met {
			verdict = "does not hold"
		}
		r.add(h.what+" (`"+h.test+"`)", verdict, "–", "–", h.wanted, &met)
		r.raw = append(r.raw, block{"go test -v -run " + h.test + " " + h.pkg, out})
	}
	return errors.Join(failed...)
}

// logged is what a test said of its figure, else that it holds.
func logged(out string) string {
	var said []string
	for _, m := range regexp.MustCompile(`(?m)^\s+\w+_test\.go:\d+: (.*)$`).FindAllStringSubmatch(out, -1) {
		said = append(said, m[1])
	}
	if len(said) == 0 || len(said) > 3 {
		return "holds"
	}
	return strings.Join(said, "; ")
}
