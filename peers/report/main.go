// Command report builds and runs every benchmark and every peer whose figure is
// asked for, ours and the peer's in the same run, and writes docs/benchmarks.md.
// Start it in the folder peers, or with `make benchmarks`:
//
//	go run ./report            everything, about ten minutes on two quiet cores
//	go run ./report -quick     the smallest sizes, to standard output
//	go run ./report -only book,page
//
// What cannot be run is named in the page with the reason; the rest is run.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"
)

// job is one part of the report.
type job struct {
	name, about string
	run         func(*run) error
}

func jobs() []job {
	return []job{
		{"levelling", "levelling beside glpk and HiGHS", levelling},
		{"contact", "contact run beside stepwise programs in Go and C++", contact},
		{"book", "the book: SQLite and PostgreSQL side by side", books},
		{"frets", "frets: whole processes and estimation", frets},
		{"play", "play, study and plan: whole processes", play},
		{"page", "the bench page over HTTP", page},
		{"growth", "growth with frets and lanes", growth},
		{"tests", "figures that tests hold", held},
		{"house", "binary and a stranger's first verdict", house},
		{"suite", "the whole test suite", suite},
	}
}

// run is what the jobs share.
type run struct {
	ctx     context.Context
	quick   bool
	root    string // of the repository
	build   string // a folder for what is built and written
	program string // ringtrue, built as it is given away
	log     io.Writer
	*report
}

func main() {
	quick := flag.Bool("quick", false, "smallest sizes, to see that all works; writes to standard output unless -out is given")
	out := flag.String("out", "", "file to write (../docs/benchmarks.md where left out)")
	only := flag.String("only", "", "parts to run, with commas: "+names())
	whole := flag.Bool("suite", false, "run the whole test suite too")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := makePage(ctx, *quick, *whole, *out, *only); err != nil {
		fmt.Fprintln(os.Stderr, "report:", err)
		os.Exit(1)
	}
}

func names() string {
	var n []string
	for _, j := range jobs() {
		n = append(n, j.name)
	}
	return strings.Join(n, ", ")
}

// chosen are the jobs to run.
func chosen(only string, whole bool) ([]job, error) {
	if only == "" {
		return slices.DeleteFunc(jobs(), func(j job) bool { return j.name == "suite" && !whole }), nil
	}
	var out []job
	for _, name := range strings.Split(only, ",") {
		i := slices.IndexFunc(jobs(), func(j job) bool { return j.name == name })
		if i < 0 {
			return nil, fmt.Errorf("no part %q; there are %s", name, names())
		}
		out = append(out, jobs()[i])
	}
	return out, nil
}

// makePage runs the jobs and writes the page.
func makePage(ctx context.Context, quick, whole bool, out, only string) error {
	list, err := chosen(only, whole)
	if err != nil {
		return err
	}
	root, err := filepath.Abs("..")
	if err != nil {
		return err
	}
	build, err := os.MkdirTemp("", "report")
	if err != nil {
		return err
	}
	defer os.RemoveAll(build)
	r := &run{ctx: ctx, quick: quick, root: root, build: build, log: os.Stderr, report: &report{hide: []string{build, root}}}
	r.program = filepath.Join(build, "ringtrue")
	r.say("building ringtrue")
	// Without symbols, as it is given away.
	if _, err := r.command(root, nil, "go", "build", "-ldflags", "-s -w", "-o", r.program, "./cmd/ringtrue"); err != nil {
		return err
	}
	r.machine = describe(r)
	begin := time.Now()
	for i, j := range list {
		start := time.Now()
		r.say("%d of %d, %s: %s", i+1, len(list), j.name, j.about)
		r.part = strings.ToUpper(j.about[:1]) + j.about[1:]
		err := j.run(r)
		if ctx.Err() != nil {
			return errors.New("interrupted; nothing written")
		}
		if err != nil {
			r.leftOut("%s: %v", j.about, err)
			r.say("LEFT OUT: %s", r.plain(err.Error()))
		}
		took := time.Since(start).Round(time.Second)
		r.took = append(r.took, fmt.Sprintf("%s %v", j.name, took))
		r.say("%s took %v", j.name, took)
	}
	if !whole && only == "" {
		r.leftOut("the whole test suite: `.ci/run tests` says how long it takes; `go run ./report -suite` adds it here")
	}
	if only != "" {
		r.leftOut("everything but %s, as asked for", only)
	}
	r.quickly, r.date, r.all = quick, begin.Format("2006-01-02"), time.Since(begin).Round(time.Second)
	if out == "" && quick {
		return r.write(os.Stdout)
	}
	if out == "" {
		out = filepath.Join(root, "docs", "benchmarks.md")
	}
	return replace(out, r.report)
}

// replace writes the page beside its place and puts it there whole.
func replace(out string, r *report) error {
	f, err := os.CreateTemp(filepath.Dir(out), ".benchmarks")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	if err := errors.Join(r.write(f), f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), out)
}

func (r *run) say(format string, args ...any) {
	fmt.Fprintf(r.log, "%s  %s\n", time.Now().Format("15:04:05"), fmt.Sprintf(format, args...))
}

// command runs a program to its end and returns what it printed. It is ended
// where the report is interrupted.
func (r *run) command(dir string, env []string, name string, args ...string) (string, error) {
	c := exec.CommandContext(r.ctx, name, args...)
	c.Cancel = func() error { return c.Process.Signal(os.Interrupt) }
	c.WaitDelay = 10 * time.Second
	c.Dir, c.Env = dir, append(os.Environ(), env...)
	var errs strings.Builder
	c.Stderr = &errs
	out, err := c.Output()
	if err != nil {
		return string(out), fmt.Errorf("%s: %w: %s", filepath.Base(name), err, lastLine(errs.String(), string(out)))
	}
	return string(out), nil
}

// lastLine is the last line of the first text that has one.
func lastLine(texts ...string) string {
	for _, t := range texts {
		if t = strings.TrimSpace(t); t != "" {
			return t[strings.LastIndexByte(t, '\n')+1:]
		}
	}
	return "said nothing"
}
