package trial

import (
	"bytes"
	"math"
	"reflect"
	"slices"
	"testing"

	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/heights"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// exact is a class of one kind of neck, read without any error.
func exact(t *testing.T, seed uint64, faults, read func(*maker)) *Neck {
	t.Helper()
	c := Class{Name: "exact", blank: heron, falls: true, faults: faults, read: read}
	return drawn(t, c, seed, Options{Passes: 2, Noiseless: true})
}

func drawn(t *testing.T, c Class, seed uint64, o Options) *Neck {
	t.Helper()
	n, err := c.Draw(seed, o)
	if err != nil {
		t.Fatal(c.Name, seed, err)
	}
	return n
}

// everything is all that can be wrong with crowns at once.
func everything(m *maker) {
	m.sound()
	m.badFret()
	m.played()
	m.hump()
	m.twisted()
	m.wrongRadius()
	m.burrs(0.05)
}

// bends are what no line changes: each crown against those beside it.
func bends(x, z []float64) []float64 {
	out := make([]float64, 0, len(x)-2)
	for i := 1; i+1 < len(x); i++ {
		w := (x[i+1] - x[i]) / (x[i+1] - x[i-1])
		out = append(out, z[i]-w*z[i-1]-(1-w)*z[i+1])
	}
	return out
}

func most(a, b []float64) (d float64) {
	for i := range a {
		d = math.Max(d, math.Abs(a[i]-b[i]))
	}
	return d
}

// Without errors a beam reads the crowns but for a line, a bridge just what
// stands between a crown and its neighbours.
func TestDraw_BeamAndBridgeReadTheTruth(t *testing.T) {
	for seed := range uint64(5) {
		n := exact(t, seed, everything, func(m *maker) { m.beams(); m.bridges() })
		beams, bridges := map[reading.Setup][]float64{}, map[reading.Setup][]float64{}
		for _, r := range n.Readings {
			if r.Method == reading.Beam {
				beams[r.Setup()] = append(beams[r.Setup()], r.Value)
			} else {
				bridges[r.Setup()] = append(bridges[r.Setup()], r.Value)
			}
		}
		if len(beams) != 12 || len(bridges) != 12 {
			t.Fatalf("%d and %d passes, want 12 each", len(beams), len(bridges))
		}
		for k, lane := range n.Truth.Lanes {
			want := bends(n.Truth.X[k], n.Truth.Z[k])
			for _, pass := range []string{"a", "b"} {
				if d := most(want, bends(n.Truth.X[k], beams[reading.Setup{Method: reading.Beam, Lane: lane, Pass: pass}])); d > 1e-12 {
					t.Errorf("seed %d lane %g: beam %s off by %g mm", seed, lane, pass, d)
				}
				if d := most(want, bridges[reading.Setup{Method: reading.Bridge, Lane: lane, Pass: pass}]); d > 1e-12 {
					t.Errorf("seed %d lane %g: bridge %s off by %g mm", seed, lane, pass, d)
				}
			}
		}
	}
}

// A straightedge lies on the crowns: none stands above it, two touch, one each
// side of the middle, and each gap lies between the leaves that are read.
func TestDraw_EdgeRestsOnCrowns(t *testing.T) {
	for seed := range uint64(12) {
		set := leaves(int(seed) % leafSets)
		n := exact(t, seed, everything, func(m *maker) { m.edges(set) })
		read := map[Place]reading.Reading{}
		for i, r := range n.Readings {
			read[n.Truth.At[i]] = r
		}
		for k, lane := range n.Truth.Lanes {
			x, z := n.Truth.X[k], n.Truth.Z[k]
			a, b, touching := rest(x, z)
			middle := (x[0] + x[len(x)-1]) / 2
			if x[touching[0]] > middle || x[touching[1]] < middle {
				t.Errorf("seed %d lane %g: rests at %v mm and %v mm, one side of %v mm", seed, lane, x[touching[0]], x[touching[1]], middle)
			}
			for i, f := range n.Truth.Frets {
				gap := a + b*x[i] - z[i]
				if gap < -1e-12 {
					t.Errorf("seed %d lane %g fret %d stands %g mm above the edge", seed, lane, f, -gap)
				}
				if (i == touching[0] || i == touching[1]) && math.Abs(gap) > 1e-12 {
					t.Errorf("seed %d lane %g: the edge rests on fret %d and leaves %g mm", seed, lane, f, gap)
				}
				r := read[Place{f, lane}]
				if r.Value > gap+1e-9 || r.NoGo == nil || *r.NoGo < gap-1e-9 {
					t.Errorf("seed %d lane %g fret %d: gap %g, read %+v", seed, lane, f, gap, r)
				}
				if r.Value != 0 && !slices.Contains(set, r.Value) || !slices.Contains(set, *r.NoGo) {
					t.Errorf("there is no leaf of %g or %g", r.Value, *r.NoGo)
				}
			}
		}
	}
}

// By hand: over crowns 0, 3, 1, 2 at 0, 1, 2, 3 the edge's middle is at 1.5, and
// it rests on those of 3 and 2.
func TestRest_ByHand(t *testing.T) {
	a, b, touching := rest([]float64{0, 1, 2, 3}, []float64{0, 3, 1, 2})
	if a != 3.5 || b != -0.5 || touching != [2]int{1, 3} {
		t.Errorf("line %g%+g·x on %v", a, b, touching)
	}
}

// A probe's touches lie on circles of the crown's radius whose tops are the
// crowns, in a frame that is a plane off.
func TestDraw_ProbeTouchesTheCrowns(t *testing.T) {
	n := exact(t, 3, everything, func(m *maker) { m.probe("a") })
	if want := 5 * 6 * 22; len(n.Readings) != want {
		t.Fatalf("%d touches, want %d", len(n.Readings), want)
	}
	for k := range n.Truth.Lanes {
		tops := n.tops(k)
		if len(tops) != 22 {
			t.Fatalf("lane %d: %d tops", k+1, len(tops))
		}
		z := make([]float64, len(tops))
		for i, top := range tops {
			z[i] = top.e.value
		}
		// Touches up to 0.2 mm beside the lane, in a frame that leans by a few
		// thousandths, shift a top by some tenths of a micrometre.
		if d := most(bends(n.Truth.X[k], n.Truth.Z[k]), bends(n.Truth.X[k], z)); d > 4e-4 {
			t.Errorf("lane %d: tops off by %g mm", k+1, d)
		}
	}
}

// A probe in the neck's own frame, touching on its lanes, finds heights to
// rounding: the tops' arithmetic is right.
func TestTopOf_OnTheLane(t *testing.T) {
	n := exact(t, 1, everything, func(*maker) {})
	at := n.Layout.At(7, 2)
	for _, along := range []float64{-0.5, -0.2, 0.1, 0.4} {
		h := 1 + math.Sqrt(crownRadiusMM*crownRadiusMM-along*along) - crownRadiusMM
		n.Readings = append(n.Readings, reading.Reading{X: at.X + 0.07 + along, Y: at.Y, Z: h})
	}
	v, u, ok := n.topOf([]int{0, 1, 2, 3}, 7, 2)
	if !ok || math.Abs(v-1) > 1e-12 || u < probeU/2 || u > probeU {
		t.Errorf("top %v ± %v, want 1 within %v", v, u, probeU)
	}
}

// By hand: a bulge of κ·y² lowers the middle against feet at ±s/2 by κ·s²/4, a
// twist of τ·x·y turns a fret against another by τ times what lies between.
func TestDraw_ArchesAndSticks(t *testing.T) {
	const bulge, twist = 1.5e-4, 6e-6
	n := exact(t, 2, func(m *maker) { m.bulge, m.twist = bulge, twist }, func(m *maker) { m.arches(); m.sticks() })
	seen := 0
	for _, r := range n.Readings {
		x := n.Layout.CentreX(r.Frets[0])
		switch r.Method {
		case reading.Arch:
			board := n.Layout.Surface(geometry.Point{X: x}) - n.Layout.Surface(geometry.Point{X: x, Y: archSpanMM / 2})
			if want := board - bulge*archSpanMM*archSpanMM/4; math.Abs(r.Value-want) > 1e-9 {
				t.Errorf("arch at fret %d: %g, want %g", r.Frets[0], r.Value, want)
			}
		case reading.Sticks:
			if want := twist * (n.Layout.CentreX(r.Frets[1]) - x) * r.Span; math.Abs(r.Value-want) > 1e-9*r.Span {
				t.Errorf("sticks on frets %v: %g, want %g", r.Frets, r.Value, want)
			}
		}
		seen++
	}
	if seen != 6 {
		t.Errorf("%d readings, want 6", seen)
	}
}

// Every class draws the same neck again, the same crowns however they are read,
// and files that read back as the neck and the readings.
func TestDraw_EveryClass(t *testing.T) {
	for _, c := range Classes() {
		for seed := range uint64(3) {
			n := drawn(t, c, seed, Options{Passes: 2, RoundMM: 1e-3})
			if again := drawn(t, c, seed, Options{Passes: 2, RoundMM: 1e-3}); !reflect.DeepEqual(n.Readings, again.Readings) || !reflect.DeepEqual(n.Truth, again.Truth) {
				t.Errorf("%s %d: another neck the second time", c.Name, seed)
			}
			once := drawn(t, c, seed, Options{Passes: 1, Noiseless: true})
			if !reflect.DeepEqual(n.Truth.Z, once.Truth.Z) || !reflect.DeepEqual(n.Truth.Bad, once.Truth.Bad) {
				t.Errorf("%s %d: other crowns when read once", c.Name, seed)
			}
			if len(once.Readings) >= len(n.Readings) {
				t.Errorf("%s %d: %d readings in one pass, %d in two", c.Name, seed, len(once.Readings), len(n.Readings))
			}
			if len(n.Truth.At) != len(n.Readings) {
				t.Errorf("%s %d: %d places of %d readings", c.Name, seed, len(n.Truth.At), len(n.Readings))
			}
			readBack(t, n)
		}
	}
}

// readBack writes the neck and reads it as the program would.
func readBack(t *testing.T, n *Neck) {
	t.Helper()
	m, err := neck.Parse("trial.toml", []byte(n.File))
	if err != nil || !reflect.DeepEqual(m, n.Model) {
		t.Errorf("%s %d: the neck file reads back as another: %v", n.Class, n.Seed, err)
	}
	var file bytes.Buffer
	if err := n.WriteReadings(&file); err != nil {
		t.Fatal(err)
	}
	set, err := reading.Parse("trial.csv", &file, reading.Bounds{FirstFret: 1, LastFret: n.Layout.LastFret(), Strings: n.Layout.Strings()})
	if err != nil {
		t.Fatalf("%s %d: %v", n.Class, n.Seed, err)
	}
	if !reflect.DeepEqual(set.Readings, n.Readings) {
		for i, r := range set.Readings {
			if !reflect.DeepEqual(r, n.Readings[i]) {
				t.Fatalf("%s %d: row %d reads back as %+v, was %+v", n.Class, n.Seed, i, r, n.Readings[i])
			}
		}
	}
}

// A knocked pass is shifted from a fret on, a skipped crown's readings stand one
// fret early, swapped ones in each other's place.
func TestSpoil_EachFault(t *testing.T) {
	seen := map[string]bool{}
	for seed := range uint64(9) {
		n := exact(t, seed, everything, func(m *maker) { m.beams(); m.spoil() })
		f := n.Truth.Passes[0]
		k, x := n.Truth.laneOf(f.Lane), n.Truth.X[n.Truth.laneOf(f.Lane)]
		var values []float64
		for _, r := range n.Readings {
			if r.Lane == f.Lane && r.Pass == f.Pass {
				values = append(values, r.Value)
			}
		}
		from := n.Truth.place(f.FromFret)
		want := slices.Clone(n.Truth.Z[k])
		wantShifted := len(x) - from
		switch f.Finding {
		case heights.Knocked:
			for i := from; i < len(want); i++ {
				want[i] += f.StepMM
			}
		case heights.Skipped:
			if wantShifted--; len(values) != 21 {
				t.Errorf("seed %d: %d readings after a skip", seed, len(values))
			}
			// Each reading has the tilt of the crown it was taken on.
			want, x = slices.Delete(want, from, from+1), slices.Delete(slices.Clone(x), from, from+1)
		case heights.Swapped:
			wantShifted = 2
			values[from], values[from+1] = values[from+1], values[from]
		}
		if d := most(bends(x, want), bends(x, values)); d > 1e-12 {
			t.Errorf("seed %d: %s from fret %d off by %g", seed, f.Finding, f.FromFret, d)
		}
		if len(n.Truth.Shifted) != wantShifted {
			t.Errorf("seed %d: %s from fret %d shifts %d readings, want %d", seed, f.Finding, f.FromFret, len(n.Truth.Shifted), wantShifted)
		}
		seen[f.Finding] = true
	}
	if len(seen) != 3 {
		t.Errorf("only %v", seen)
	}
}

// A misread reading is off by what the truth says, and no other.
func TestMisread_IsInTheTruth(t *testing.T) {
	read := func(slips int) *Neck {
		return exact(t, 4, (*maker).sound, func(m *maker) { m.beams(); m.misread(slips) })
	}
	right, wrong := read(0), read(5)
	by := map[int]float64{}
	for _, s := range wrong.Truth.Wrong {
		by[s.Reading] = s.ByMM
		if math.Abs(s.ByMM) < 0.06 || math.Abs(s.ByMM) > 1 {
			t.Errorf("misread by %g mm", s.ByMM)
		}
	}
	if len(by) != 5 {
		t.Errorf("%d misread, want 5", len(by))
	}
	for i := range right.Readings {
		if d := wrong.Readings[i].Value - right.Readings[i].Value; math.Abs(d-by[i]) > 1e-12 {
			t.Errorf("reading %d off by %g, the truth says %g", i, d, by[i])
		}
	}
}

// A loose end gives by another amount in every pass, at most as said, less
// towards the middle.
func TestLoose_Gives(t *testing.T) {
	n := exact(t, 6, func(m *maker) { m.loose() }, func(m *maker) { m.beams() })
	for k, lane := range n.Truth.Lanes {
		var passes [2][]float64
		for _, r := range n.Readings {
			if r.Lane == lane {
				passes[r.Pass[0]-'a'] = append(passes[r.Pass[0]-'a'], r.Value)
			}
		}
		a, b := bends(n.Truth.X[k], passes[0]), bends(n.Truth.X[k], passes[1])
		loose := slices.Max(n.Truth.Gives[k])
		if d := most(a, b); (d > 1e-6) != (loose > 0) || d > loose+1e-12 {
			t.Errorf("lane %g gives up to %g mm; its passes differ by %g mm", lane, loose, d)
		}
	}
	if len(n.Truth.Bad) != 1 || n.Truth.Bad[0].Kind != findings.KindLoose {
		t.Errorf("bad frets %v, want one loose", n.Truth.Bad)
	}
}

// Rounded readings are whole steps.
func TestDraw_Rounds(t *testing.T) {
	c, err := ClassOf("new")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range drawn(t, c, 1, Options{RoundMM: 0.01}).Readings {
		if steps := r.Value / 0.01; math.Abs(steps-math.Round(steps)) > 1e-9 {
			t.Fatalf("%g mm is no whole number of 10 µm", r.Value)
		}
	}
}
