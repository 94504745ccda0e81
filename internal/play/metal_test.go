package play

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

// randomLanes is how many lanes are checked against the general LP solver.
const randomLanes = 200

// randomLane is a lane, a setup and needs drawn from a seed: crowns scattered,
// some high, spare metal of each its own, now and then a zero fret or a capo.
func randomLane(seed uint64) (Lane, []Stop, Rest, Clearance) {
	r := rand.New(rand.NewPCG(seed, 7))
	frets := 5 + r.IntN(20)
	scale := 400 + 400*r.Float64()
	l := Lane{String: 1, ScaleMM: scale}
	first := 1
	if r.IntN(5) == 0 {
		first = 0
	}
	for n := first; n <= frets; n++ {
		z := 0.03 * r.NormFloat64()
		if r.IntN(8) == 0 {
			z += 0.15 * r.Float64()
		}
		l.Crowns = append(l.Crowns, Crown{Fret: n, XMM: scale * (1 - math.Exp2(-float64(n)/12)), ZMM: z, SpareMM: 0.2 + 0.8*r.Float64()})
	}
	s := Setup{NutMM: 0.2 + 0.3*r.Float64(), ActionMM: 0.6 + 1.5*r.Float64(), ActionFret: min(12, frets)}
	if r.IntN(5) == 0 {
		s.CapoFret = 1 + r.IntN(frets-1)
	}
	rest, err := l.Rest(s)
	if err != nil {
		panic(err)
	}
	stops := l.Stops(s, rest)
	clearance := make(Clearance, len(stops))
	h := 0.2 + 0.6*r.Float64()
	for i, st := range stops {
		for _, c := range l.Crowns[st.Beyond:] {
			clearance[i] = append(clearance[i], h*Reach(c.XMM-st.XMM, st.LengthMM*0.83, st.LengthMM)*(0.9+0.2*r.Float64()))
		}
	}
	return l, stops, rest, clearance
}

// program writes the least metal of a lane as a linear program in CPLEX LP
// form, in µm.
func program(l Lane, stops []Stop, r Rest, clearance Clearance) []byte {
	var b bytes.Buffer
	b.WriteString("Minimize\n total:")
	for j := range l.Crowns {
		fmt.Fprintf(&b, " + r%d", j)
	}
	b.WriteString("\nSubject To\n")
	for i, s := range stops {
		for k, c := range l.Crowns[s.Beyond:] {
			fmt.Fprintf(&b, " m%d_%d: r%d", i, k, s.Beyond+k)
			if s.Crown >= 0 {
				fmt.Fprintf(&b, " - %.17g r%d", 1-s.share(c), s.Crown)
			}
			fmt.Fprintf(&b, " >= %.17g\n", 1e3*(clearance[i][k]-s.Gap(c, r)))
		}
	}
	b.WriteString("Bounds\n")
	for j, c := range l.Crowns {
		fmt.Fprintf(&b, " 0 <= r%d <= %.17g\n", j, 1e3*c.SpareMM)
	}
	b.WriteString("End\n")
	return b.Bytes()
}

// solve has glpsol solve a program in exact arithmetic. It returns the crowns'
// removals in mm, or false where there is no solution.
func solve(t *testing.T, glpsol string, p []byte) ([]float64, bool) {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.sol")
	if err := os.WriteFile(in, p, 0o600); err != nil {
		t.Fatal(err)
	}
	if msg, err := exec.Command(glpsol, "--exact", "--lp", in, "-w", out).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, msg)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var remove []float64
	for line := range strings.Lines(string(text)) {
		f := strings.Fields(line)
		switch {
		case len(f) > 5 && f[0] == "s":
			if f[4] != "f" { // no feasible solution
				return nil, false
			}
		case len(f) > 3 && f[0] == "j":
			v, err := strconv.ParseFloat(f[3], 64)
			if err != nil {
				t.Fatal(err)
			}
			remove = append(remove, v/1e3)
		}
	}
	return remove, true
}

const storedAnswers = "testdata/least-metal-glpsol.csv"

// The least metal of 200 random lanes against the answers of GNU GLPK 5.0
// (glpsol --exact), kept in testdata.
func TestLeastMetal_GLPKStored(t *testing.T) {
	rows := casetest.Rows(t, storedAnswers)
	if len(rows) != randomLanes {
		t.Fatalf("%d lanes, want %d", len(rows), randomLanes)
	}
	feasible, metal := 0, 0
	for _, row := range rows {
		seed, err := strconv.ParseUint(row["lane"], 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		got := LeastMetal(randomLane(seed))
		if got.Feasible != (row["feasible"] == "yes") {
			t.Errorf("lane %d: feasible %v, glpsol %s", seed, got.Feasible, row["feasible"])
			continue
		}
		if !got.Feasible {
			continue
		}
		feasible++
		for column, v := range map[string]float64{"total_mm": got.TotalMM, "max_mm": got.MaxMM} {
			casetest.Near(t, fmt.Sprintf("lane %d, %s", seed, column), v, casetest.Number(t, row[column]), 1e-9)
		}
		if got.TotalMM > 0 {
			metal++
		}
	}
	if feasible < 50 || feasible > randomLanes-20 || metal < 50 {
		t.Errorf("of %d lanes %d are feasible and %d lose metal: too few of a kind", randomLanes, feasible, metal)
	}
}

// The same against the solver itself, crown by crown, where it is installed
// (Debian: glpk-utils). RINGTRUE_KEEP_GLPSOL=1 keeps its answers in testdata.
func TestLeastMetal_GLPK(t *testing.T) {
	casetest.OneByOne(t)
	glpsol, err := exec.LookPath("glpsol")
	if err != nil {
		t.Skip("glpsol is not installed; its answers in testdata stand for it")
	}
	keep := os.Getenv("RINGTRUE_KEEP_GLPSOL") != ""
	lanes := randomLanes
	if testing.Short() && !keep {
		lanes = 20
	}
	var b strings.Builder
	b.WriteString("# Answers of GNU GLPK 5.0, glpsol --exact, to the least-metal programs of metal_test.go.\nlane,feasible,total_mm,max_mm\n")
	for seed := range uint64(lanes) {
		l, stops, r, clearance := randomLane(seed)
		want, ok := solve(t, glpsol, program(l, stops, r, clearance))
		got := LeastMetal(l, stops, r, clearance)
		if got.Feasible != ok {
			t.Errorf("lane %d: feasible %v, glpsol %v", seed, got.Feasible, ok)
			continue
		}
		if !ok {
			fmt.Fprintf(&b, "%d,no,,\n", seed)
			continue
		}
		total, most := 0.0, 0.0
		for j, w := range want {
			casetest.Near(t, fmt.Sprintf("lane %d crown %d", seed, j), got.RemoveMM[j], w, 1e-9)
			total += w
			most = math.Max(most, w)
		}
		fmt.Fprintf(&b, "%d,yes,%.12f,%.12f\n", seed, total, most)
	}
	if keep {
		if err := os.WriteFile(storedAnswers, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// What comes off leaves no margin below 0, and none could be less: taking a
// little less off any crown breaks a margin.
func TestLeastMetal_Tight(t *testing.T) {
	for seed := range uint64(randomLanes) {
		l, stops, r, clearance := randomLane(seed)
		got := LeastMetal(l, stops, r, clearance)
		worst := func(remove []float64) float64 {
			after := l.without(remove)
			moved := append([]Stop(nil), stops...)
			for i := range moved {
				if c := moved[i].Crown; c >= 0 {
					moved[i].ZMM = after.Crowns[c].ZMM
				}
			}
			m, _ := least(marginsOf(after, moved, r, clearance))
			return m
		}
		if m := worst(got.RemoveMM); m < -1e-12 {
			t.Errorf("lane %d: margin %g with the metal off", seed, m)
		}
		for j, take := range got.RemoveMM {
			if take < 1e-6 {
				continue
			}
			less := append([]float64(nil), got.RemoveMM...)
			less[j] -= 1e-6
			if worst(less) > -1e-9 {
				t.Errorf("lane %d: crown %d could lose less", seed, j)
			}
		}
	}
}

func BenchmarkLeastMetal(b *testing.B) {
	l, stops, r, clearance := randomLane(3)
	for b.Loop() {
		LeastMetal(l, stops, r, clearance)
	}
}

// without is the lane with metal taken off its crowns.
func (l Lane) without(removeMM []float64) Lane {
	l.Crowns = slices.Clone(l.Crowns)
	for i, r := range removeMM {
		l.Crowns[i].ZMM -= r
		l.Crowns[i].SpareMM -= r
	}
	return l
}

// Margin is the least of gap minus need over the crowns beyond a stop.
type Margin struct {
	LeastMM float64
	Nearest int  // the fret where it is least
	Any     bool // false where nothing lies beyond the stop
}

// marginsOf gives each stop's margin.
func marginsOf(l Lane, stops []Stop, r Rest, clearance Clearance) []Margin {
	out := make([]Margin, len(stops))
	for i, s := range stops {
		for k, c := range l.Crowns[s.Beyond:] {
			if m := s.Gap(c, r) - clearance[i][k]; !out[i].Any || m < out[i].LeastMM {
				out[i] = Margin{LeastMM: m, Nearest: c.Fret, Any: true}
			}
		}
	}
	return out
}
