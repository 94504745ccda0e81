package straight

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

// glpkLanes is how many lanes of brackets are checked against the general LP
// solver.
const glpkLanes = 150

// glpkLane is a lane of brackets drawn from a seed, in µm.
func glpkLane(seed uint64) Brackets {
	r := rand.New(rand.NewPCG(seed, 8))
	return drawBrackets(r, 3+r.IntN(34))
}

// minProgram writes the least zone that the brackets allow as a linear
// program in CPLEX LP form: of all gaps within their brackets, the narrowest
// straight zone. The gaps are unknowns of their own, so nothing of the closed
// form is in it.
func minProgram(b Brackets) []byte {
	var p bytes.Buffer
	p.WriteString("Minimize\n obj: w\nSubject To\n")
	for i, x := range b.X {
		// The crown −g − shape lies between a + b·x and w above it.
		fmt.Fprintf(&p, " l%d: a + %.17g s + g%d <= %.17g\n", i, x, i, -b.shape(i))
		fmt.Fprintf(&p, " h%d: a + %.17g s + w + g%d >= %.17g\n", i, x, i, -b.shape(i))
	}
	p.WriteString("Bounds\n a free\n s free\n")
	for i := range b.X {
		fmt.Fprintf(&p, " %.17g <= g%d <= %.17g\n", b.Lo[i], i, b.Hi[i])
	}
	p.WriteString("End\n")
	return p.Bytes()
}

// glpk is the least value of a program by glpsol in exact arithmetic.
func glpk(t *testing.T, glpsol string, program []byte) float64 {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.sol")
	if err := os.WriteFile(in, program, 0o600); err != nil {
		t.Fatal(err)
	}
	if msg, err := exec.Command(glpsol, "--exact", "--lp", in, "-w", out).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, msg)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if f := strings.Fields(line); len(f) > 6 && f[0] == "s" && f[4] == "f" && f[5] == "f" {
			return casetest.Number(t, f[6])
		}
	}
	t.Fatalf("no solution:\n%s", text)
	return 0
}

const minAnswers = "testdata/bracket-least-glpsol.csv"

// The least zone of random lanes of brackets against the answers of GNU GLPK
// 5.0 (glpsol --exact), kept in testdata.
func TestBrackets_GLPKStored(t *testing.T) {
	rows := casetest.Rows(t, minAnswers)
	if len(rows) != glpkLanes {
		t.Fatalf("%d lanes, want %d", len(rows), glpkLanes)
	}
	wide := 0
	for _, row := range rows {
		seed, err := strconv.ParseUint(row["lane"], 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		got, err := glpkLane(seed).Range()
		if err != nil {
			t.Fatal(err)
		}
		want := casetest.Number(t, row["least"])
		casetest.Near(t, "lane "+row["lane"], got.LeastMM, want, 1e-8)
		if want > 0 {
			wide++
		}
	}
	if wide < 50 || wide > glpkLanes-3 {
		t.Errorf("of %d lanes %d have a least zone: too few of a kind", glpkLanes, wide)
	}
}

// The same against the solver itself where it is installed (Debian:
// glpk-utils). RINGTRUE_KEEP_GLPSOL=1 keeps its answers in testdata.
func TestBrackets_GLPK(t *testing.T) {
	glpsol, err := exec.LookPath("glpsol")
	if err != nil {
		t.Skip("glpsol is not installed; its answers in testdata stand for it")
	}
	keep := os.Getenv("RINGTRUE_KEEP_GLPSOL") != ""
	lanes := glpkLanes
	if testing.Short() && !keep {
		lanes = 10
	}
	var b strings.Builder
	b.WriteString("# Answers of GNU GLPK 5.0, glpsol --exact, to the programs of bracket_glpk_test.go, in um.\nlane,least\n")
	for seed := range uint64(lanes) {
		want := glpk(t, glpsol, minProgram(glpkLane(seed)))
		got, err := glpkLane(seed).Range()
		if err != nil {
			t.Fatal(err)
		}
		casetest.Near(t, fmt.Sprintf("lane %d", seed), got.LeastMM, want, 1e-8)
		fmt.Fprintf(&b, "%d,%.12f\n", seed, want)
	}
	if keep {
		if err := os.WriteFile(minAnswers, []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
