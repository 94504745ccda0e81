package main

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"ringtrue/internal/level"
	"ringtrue/internal/straight"
)

// sameMM is how near two answers must lie.
const sameMM = 1e-9

// integerSameMM is the same for mixed-integer solvers: a whole number may be off
// by 1e-5, times half a millimetre.
const integerSameMM = 2e-5

// lanes compares what is done lane by lane.
func (t *report) lanes(in inputs, build, python string) {
	file := filepath.Join(build, "lanes.txt")
	script := "levelling/programs/scipy_peers.py"

	ours := make([]float64, len(in.lanes))
	var s level.Solver
	us := best(len(in.lanes), func() {
		for i := range in.lanes {
			_, ours[i] = s.Target(in.lanes[i].X, in.lanes[i].D, zoneMM)
		}
	})
	glpk := filepath.Join(build, "removal_glpk")
	t.compare("least removal of a lane", "glpk in process", us, ours, 100, ask(glpk, file))
	t.compare("least removal of a lane", "glpk in process, dual", us, ours, 100, ask(glpk, file, "dual"))
	t.compare("least removal of a lane", "scipy linprog (HiGHS)", us, ours, 500,
		ask(python, script, "removal", file, "200"))

	us = best(len(in.lanes), func() {
		for i := range in.lanes {
			r, err := straight.Zone(in.lanes[i].X, in.lanes[i].D)
			if err != nil {
				panic(err) // our own input
			}
			ours[i] = r.WidthMM
		}
	})
	t.notes = append(t.notes, fmt.Sprintf("minimum zone: %.2f million lanes of %d crowns a second on one core", 1/us, frets))
	t.compare("minimum zone of a lane", "scipy ConvexHull", us, ours, 100,
		ask(python, script, "hull", file, "1000"))
	t.compare("minimum zone of a lane", "scipy linprog (HiGHS)", us, ours, 0,
		ask(python, script, "zone", file, "200"))
}

// refits compares the search for the best 1, 2 and 3 frets to refit.
func (t *report) refits(in inputs, build, python string) {
	for _, kind := range []struct {
		name  string
		necks [][]level.Lane
	}{{"typical", in.typical}, {"worn", in.worn}} {
		what := "refit 0 to 3, neck, " + kind.name
		options := make([][]level.Option, len(kind.necks))
		us := best(len(kind.necks), func() {
			for k, lanes := range kind.necks {
				var err error
				if options[k], err = level.Options(ctx(), lanes, zoneMM, 3); err != nil {
					panic(err)
				}
			}
		})
		sizes := make([]int, len(options))
		var ours []found
		for k, os := range options {
			sizes[k] = len(os) - 1
			for _, o := range os[1:] {
				ours = append(ours, found{o.Refit, o.Plan.TotalMM, k})
			}
		}
		theirs, err := glpsol(build, kind.necks, sizes)
		t.compareSets(what, "glpsol, a run a size", us, 50, kind.necks, ours, theirs, err)

		file := filepath.Join(build, "necks-"+kind.name+".txt")
		if err := writeNecks(file, kind.necks, sizes); err != nil {
			t.fault("%v", err)
			return
		}
		theirs, err = milpBySciPy(python, file)
		t.compareSets(what, "scipy milp (HiGHS)", us, 0, kind.necks, ours, theirs, err)
	}
}

// found is a set of refits with its total, as a solver has it.
type found struct {
	refit []int
	total float64
	neck  int
}

// answer is what a peer said and how long it took a piece.
type answer struct {
	us     float64
	values []float64
	sets   []found
}

// best is the shortest time a piece, in µs, of many rounds over two seconds. A
// round of ours takes less than a millisecond or two, so that other work on the
// machine seldom falls into the shortest; the peers are timed in such slices too.
func best(pieces int, round func()) float64 {
	least := math.Inf(1)
	for begin := time.Now(); time.Since(begin) < 2*time.Second; {
		start := time.Now()
		round()
		least = min(least, time.Since(start).Seconds()*1e6/float64(pieces))
	}
	return least
}

// ask runs a peer that answers with one number a line.
func ask(name string, args ...string) func() (answer, error) {
	return func() (answer, error) {
		var a answer
		out, errs, err := call(name, args...)
		if err != nil {
			return a, err
		}
		if a.us, err = timeOf(errs); err != nil {
			return a, err
		}
		for _, line := range strings.Fields(out) {
			v, err := strconv.ParseFloat(line, 64)
			if err != nil {
				return a, err
			}
			a.values = append(a.values, v)
		}
		return a, nil
	}
}

func call(name string, args ...string) (out, errs string, err error) {
	var o, e bytes.Buffer
	c := exec.Command(name, args...)
	c.Stdout, c.Stderr = &o, &e
	// One thread, as for us.
	c.Env = append(os.Environ(), "OMP_NUM_THREADS=1", "OPENBLAS_NUM_THREADS=1")
	if err = c.Run(); err != nil {
		err = fmt.Errorf("%s: %w %s", filepath.Base(name), err, strings.TrimSpace(e.String()))
	}
	return o.String(), e.String(), err
}

// timeOf reads the line "time_us T …".
func timeOf(text string) (float64, error) {
	for line := range strings.Lines(text) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "time_us" {
			return strconv.ParseFloat(f[1], 64)
		}
	}
	return 0, fmt.Errorf("no time in %q", text)
}

// glpsol solves one program file a neck and size; the time is that of the runs.
func glpsol(build string, necks [][]level.Lane, sizes []int) (answer, error) {
	var a answer
	program, solution := filepath.Join(build, "refit.lp"), filepath.Join(build, "refit.sol")
	spent := 0.0
	for k, lanes := range necks {
		for size := 1; size <= sizes[k]; size++ {
			if err := writeProgram(program, lanes, size); err != nil {
				return a, err
			}
			least := math.Inf(1)
			for range 2 {
				start := time.Now()
				if _, _, err := call("glpsol", "--lp", program, "-o", solution); err != nil {
					return a, err
				}
				least = min(least, time.Since(start).Seconds()*1e6)
			}
			spent += least
			f, err := readSolution(solution)
			if err != nil {
				return a, err
			}
			f.neck = k
			a.sets = append(a.sets, f)
		}
	}
	a.us = spent / float64(len(necks))
	return a, nil
}

// readSolution reads glpsol's printed solution.
func readSolution(path string) (found, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return found{}, err
	}
	f := found{total: math.NaN()}
	optimal := false
	for line := range strings.Lines(string(text)) {
		w := strings.Fields(line)
		switch {
		case len(w) > 2 && w[0] == "Status:":
			optimal = strings.Contains(line, "INTEGER OPTIMAL")
		case len(w) > 3 && w[0] == "Objective:":
			f.total, err = strconv.ParseFloat(w[3], 64)
			if err != nil {
				return f, err
			}
		case len(w) > 3 && w[1][0] == 'u' && w[2] == "*" && w[3] == "1":
			fret, err := strconv.Atoi(w[1][1:])
			if err != nil {
				return f, err
			}
			f.refit = append(f.refit, fret)
		}
	}
	if !optimal {
		return f, fmt.Errorf("glpsol found no optimum")
	}
	slices.Sort(f.refit)
	return f, nil
}

func milpBySciPy(python, file string) (answer, error) {
	var a answer
	out, errs, err := call(python, "levelling/programs/scipy_peers.py", "refit", file)
	if err != nil {
		return a, err
	}
	for line := range strings.Lines(out) {
		w := strings.Fields(line)
		var f found
		if f.total, err = strconv.ParseFloat(w[0], 64); err != nil {
			return a, err
		}
		for _, s := range w[1:] {
			fret, err := strconv.Atoi(s)
			if err != nil {
				return a, err
			}
			f.refit = append(f.refit, fret)
		}
		a.sets = append(a.sets, f)
	}
	a.us, err = timeOf(errs)
	return a, err
}

// describe names the machine and the programs.
func describe(python string) string {
	var b strings.Builder
	cpu := runtime.GOARCH
	if f, err := os.Open("/proc/cpuinfo"); err == nil {
		for s := bufio.NewScanner(f); s.Scan(); {
			if name, value, ok := strings.Cut(s.Text(), ":"); ok && strings.TrimSpace(name) == "model name" {
				cpu = strings.TrimSpace(value)
				break
			}
		}
		f.Close()
	}
	fmt.Fprintf(&b, "machine: %s, %d cores, %s; one core each, the best of many rounds (refit: of two runs)\n", cpu, runtime.NumCPU(), runtime.Version())
	for _, c := range [][]string{{"glpsol", "--version"}, {python, "-c", "import scipy, numpy; print('scipy', scipy.__version__, 'numpy', numpy.__version__)"}} {
		out, _, err := call(c[0], c[1:]...)
		if err != nil {
			out = c[0] + ": not there"
		}
		line, _, _ := strings.Cut(out, "\n")
		fmt.Fprintln(&b, "peer:", line)
	}
	return b.String()
}
