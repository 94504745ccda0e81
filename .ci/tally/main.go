// Command tally reads the events of `go test -json` and prints one line a
// package, the output of what failed, what was skipped, and as its last line
// "N passed, N failed". It exits 1 where anything failed or nothing was tested.
//
// Subtests count, since a table of published cases has one for each row. A
// package that does not build, or ends outside a test, counts as one failure.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
)

// event is a line of `go test -json`; see `go doc test2json`.
type event struct {
	Action     string
	Package    string
	ImportPath string // of a build's output
	Test       string
	Output     string
	Elapsed    float64
}

// tailLines is how much of a failure's output is shown.
const tailLines = 40

type tally struct {
	passed, failed int
	skipped        []string
	failedIn       map[string]int      // failed tests of a package
	passedIn       map[string]int      // passed tests of a package
	output         map[string][]string // of each test, "package test"
	build          []string
}

func main() {
	t := tally{failedIn: map[string]int{}, passedIn: map[string]int{}, output: map[string][]string{}}
	if err := t.read(os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "tally:", err)
		os.Exit(1)
	}
	for _, s := range t.skipped {
		fmt.Println("skipped:", s)
	}
	if t.passed == 0 {
		fmt.Println("no test passed")
	}
	fmt.Printf("%d passed, %d failed\n", t.passed, t.failed)
	if t.failed > 0 || t.passed == 0 {
		os.Exit(1)
	}
}

func (t *tally) read(in io.Reader, out io.Writer) error {
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 16<<20)
	for lines.Scan() {
		var e event
		if err := json.Unmarshal(lines.Bytes(), &e); err != nil {
			// The go command's own words, such as a missing module.
			fmt.Fprintln(out, lines.Text())
			continue
		}
		t.take(e, out)
	}
	return lines.Err()
}

func (t *tally) take(e event, out io.Writer) {
	key := e.Package + " " + e.Test
	switch e.Action {
	case "output":
		t.output[key] = append(t.output[key], e.Output)
	case "build-output":
		t.build = append(t.build, e.Output)
	case "build-fail":
		show(out, t.build)
		t.build = nil
	case "skip":
		if e.Test != "" {
			t.skipped = append(t.skipped, fmt.Sprintf("%s: %s", key, reason(t.output[key])))
		}
	case "pass":
		if e.Test != "" {
			t.passed++
			t.passedIn[e.Package]++
			break
		}
		fmt.Fprintf(out, "ok   %s %.1f s, %d tests\n", e.Package, e.Elapsed, t.passedIn[e.Package])
	case "fail":
		if e.Test != "" {
			t.failed++
			t.failedIn[e.Package]++
			show(out, t.output[key])
			break
		}
		if t.failedIn[e.Package] == 0 {
			t.failed++
			show(out, t.output[key])
		}
		fmt.Fprintf(out, "FAIL %s %.1f s\n", e.Package, e.Elapsed)
	}
	if e.Action == "pass" || e.Action == "fail" || e.Action == "skip" {
		delete(t.output, key)
	}
}

// reason finds what a skipped test said.
func reason(output []string) string {
	for _, line := range output {
		line = strings.TrimSpace(line)
		if line != "" && !strings.HasPrefix(line, "===") && !strings.HasPrefix(line, "---") {
			return line
		}
	}
	return "no reason given"
}

func show(out io.Writer, lines []string) {
	if n := len(lines) - tailLines; n > 0 {
		fmt.Fprintf(out, "    (%d lines before)\n", n)
		lines = lines[n:]
	}
	for _, line := range lines {
		fmt.Fprint(out, "    ", line)
	}
}
