package answer

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/relief"
	"ringtrue/internal/trial"
)

// withStiffness is a request whose neck file says how stiff the neck is, and asks for
// strung readings to be judged by it.
func withStiffness(t *testing.T, r FretsRequest) FretsRequest {
	t.Helper()
	r.Model.Body.Wood, r.Model.Body.Thickness, r.Model.Body.Joint = "maple", neck.Pair{17, 19}, 16
	r.Model.Setup.Relief, r.Model.Setup.ReliefTo, r.Model.Level.Strung = 0.1, 16, true
	l, err := geometry.New(r.Model)
	if err != nil {
		t.Fatal(err)
	}
	r.Layout = l
	return r
}

// underLoad bows crowns as strings and rod do, by a neck that bends by a factor of the
// theory; 0.1 mm of relief.
func underLoad(t *testing.T, n *trial.Neck, r FretsRequest, z [][]float64, factor float64) [][]float64 {
	t.Helper()
	of, err := relief.Of(r.Model, r.Layout)
	if err != nil {
		t.Fatal(err)
	}
	b := of.Bowed(r.Model.Setup.Relief, r.Model.Setup.ReliefTo, relief.Factor{Mean: factor})
	out := make([][]float64, len(z))
	for k := range z {
		for i, bow := range b.Along(n.Truth.Lanes[k], n.Truth.Frets) {
			out[k] = append(out[k], z[k][i]+bow)
		}
	}
	return out
}

// TestFrets_ReadStrung: crowns read under the strings come out as those read slack, though
// the neck bends by a third more or less than the theory says; without level.strung, and
// slack, nothing changes.
func TestFrets_ReadStrung(t *testing.T) {
	const u = 0.004
	n, r := drawn(t, "humped", 300, trial.Options{})
	r = withStiffness(t, r)
	for i, factor := range []float64{0.75, 1, 1.3} {
		rnd := rand.New(rand.NewPCG(7, uint64(i)))
		z := underLoad(t, n, r, n.Truth.Z, factor)
		r.Readings = stated(beamed(n, z, 2, u, rnd), "strung")
		a := answer(t, r)
		if over, _ := errorsOver(n, a, n.Truth.Z); over < 0.7 || over > 1.25 {
			t.Errorf("factor %g: errors are %.2f of what is stated", factor, over)
		}
		if a.Strung == nil || a.Strung.ToFret != 16 || a.Strung.RodN < 100 || !strings.Contains(strings.Join(a.Warnings, "; "), a.Strung.Words) {
			t.Errorf("factor %g: %+v", factor, a.Strung)
		}
		if a.Strung != nil && (a.Strung.MovesMM <= 0 || a.Strung.MovesMM > 0.005) {
			t.Errorf("the theory's doubt moves a crown by %g mm", a.Strung.MovesMM)
		}
		plain := r
		plain.Model.Level.Strung = false
		b := answer(t, plain)
		if over, _ := errorsOver(n, b, n.Truth.Z); b.Strung != nil || over < 3 {
			t.Errorf("without level.strung: errors %.2f of what is stated, %+v", over, b.Strung)
		}
		plain.Model.Level.Strung = true
		plain.Readings = stated(r.Readings, "slack")
		if c := answer(t, plain); c.Strung != nil || math.Abs(c.Crowns[7].OffMM-b.Crowns[7].OffMM) > 1e-12 {
			t.Error("slack readings are judged as strung ones")
		}
	}
}

// TestFrets_LevelStrung: a neck that was levelled slack and strung is level; frets filed
// between a slack and a strung reading are compared off one shape.
func TestFrets_LevelStrung(t *testing.T) {
	n, r, a := filedNeck(t, "humped", 300)
	r = withStiffness(t, r)
	rnd := rand.New(rand.NewPCG(3, 1))
	z := carriedOut(n, a.Work, 0, rnd)
	r.Readings = stated(r.Readings, "slack")
	strung := r
	strung.After = stated(beamed(n, underLoad(t, n, r, z, 1.1), 2, 0.004, rnd), "strung")
	slack := r
	slack.After = stated(beamed(n, z, 2, 0.004, rnd), "slack")
	one, two := answer(t, strung).After, answer(t, slack).After
	if one.Verdict != "level" || two.Verdict != "level" || one.Strung == nil || two.Strung != nil {
		t.Errorf("strung %s, slack %s", one.Verdict, two.Verdict)
	}
	if len(one.FiledByMistake) > 0 {
		t.Errorf("%+v", one.FiledByMistake)
	}
	over, _ := errorsOver(n, &one.FretsAnswer, z)
	if over > 1.3 {
		t.Errorf("errors are %.2f of what is stated", over)
	}
}
