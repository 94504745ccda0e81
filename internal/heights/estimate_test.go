package heights

import (
	"math"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// TestFrom_PitSeenTwice: a crown that two passes agree on is real, and no
// recheck; seen by one pass it is a recheck, and no pit.
func TestFrom_PitSeenTwice(t *testing.T) {
	for _, off := range []float64{-0.05, 0.06} {
		for _, passes := range []int{1, 2} {
			s := newSimulated(t, 7, 22, 6)
			s.press()
			s.z[place{9, 4}] += off
			for _, lane := range s.lanes {
				s.beam(lane, 0.004, "a")
			}
			if passes == 2 {
				s.beam(4, 0.004, "b")
			}
			e := s.estimate(t)
			if passes == 1 {
				if len(e.Misreads) != 1 || len(e.Dents) != 0 || e.Misreads[0].Fret != 9 || e.Misreads[0].Lane != 4 {
					t.Fatalf("one pass: misreads %+v, dents %+v", e.Misreads, e.Dents)
				}
				m := e.Misreads[0]
				casetest.Near(t, "misread less expected", m.ValueMM-m.ExpectedMM, off, 0.02)
				continue
			}
			if len(e.Misreads) != 0 || len(e.Dents) != 1 || e.Dents[0].Fret != 9 || e.Dents[0].Lane != 4 {
				t.Fatalf("two passes: misreads %+v, dents %+v", e.Misreads, e.Dents)
			}
			casetest.Near(t, "dent", e.Dents[0].OffMM, off, 4*e.Dents[0].UMM)
		}
	}
}

// TestFrom_PitByBridge: a bridge shows a pit in three readings.
func TestFrom_PitByBridge(t *testing.T) {
	s := newSimulated(t, 8, 22, 6)
	s.z[place{9, 4}] -= 0.05
	for _, lane := range s.lanes {
		s.bridge(lane, 0.003)
	}
	s.beam(1, 0.004, "")
	e := s.estimate(t)
	if len(e.Misreads) != 0 || len(e.Dents) != 1 || e.Dents[0].Fret != 9 || e.Dents[0].Lane != 4 {
		t.Fatalf("misreads %+v, dents %+v", e.Misreads, e.Dents)
	}
}

// TestFrom_PitsTogether: two pits on one fret hide each other unless sought
// together.
func TestFrom_PitsTogether(t *testing.T) {
	s := newSimulated(t, 9, 22, 6)
	s.z[place{3, 3}] -= 0.05
	s.z[place{3, 4}] -= 0.05
	for _, lane := range s.lanes {
		s.beam(lane, 0.003, "a")
		s.beam(lane, 0.003, "b")
	}
	e := s.estimate(t)
	var at []float64
	for _, d := range e.Dents {
		at = append(at, d.Lane)
	}
	slices.Sort(at)
	if !slices.Equal(at, []float64{3, 4}) || len(e.Misreads) != 0 {
		t.Fatalf("dents %+v, misreads %+v", e.Dents, e.Misreads)
	}
}

// TestFrom_MiddleProud: a fret that curves more than the others is neither
// smoothed away nor taken for misreads.
func TestFrom_MiddleProud(t *testing.T) {
	s := newSimulated(t, 10, 22, 6)
	for _, lane := range s.lanes {
		y := s.layout.Fraction(lane) - 0.5
		s.z[place{12, lane}] += 0.05 * (1 - 4*y*y)
		s.beam(lane, 0.004, "")
	}
	e := s.estimate(t)
	if len(e.Misreads)+len(e.Dents) != 0 {
		t.Fatalf("misreads %+v, dents %+v", e.Misreads, e.Dents)
	}
	diff, _ := s.errors(e)
	if r := rms(diff); r > 0.004 {
		t.Errorf("rms error %.4f mm, worse than the readings", r)
	}
}

// TestFrom_Undetermined: what nothing tells is named with its reason and is not
// among the lanes.
func TestFrom_Undetermined(t *testing.T) {
	s := newSimulated(t, 11, 22, 6)
	s.beam(1, 0.004, "")
	s.beam(2, 0.004, "")
	s.beam(3, 0.004, "a") // 1 to 10
	s.beam(3, 0.004, "b") // 11 to 22, never tied
	s.beam(4, 0.004, "")  // two readings
	s.out = slices.DeleteFunc(s.out, func(r reading.Reading) bool {
		f := r.Frets[0]
		switch r.Lane {
		case 2:
			return f == 22
		case 3:
			return (f <= 10) != (r.Pass == "a")
		case 4:
			return f != 5 && f != 9
		}
		return false
	})
	e := s.estimate(t)
	why := map[place]string{}
	for _, u := range e.Undetermined {
		why[place{u.Fret, u.Lane}] = u.Why
	}
	want := map[place]string{{22, 2}: WhyNotRead, {5, 4}: whyTooFew, {1, 5}: WhyLaneNotRead, {10, 3}: whyNotTied, {1, 4}: WhyNotRead}
	for p, w := range want {
		if why[p] != w {
			t.Errorf("fret %d lane %g: %q, want %q", p.fret, p.lane, why[p], w)
		}
	}
	if len(e.Undetermined) != 1+22+22+22+10 {
		t.Errorf("%d undetermined crowns", len(e.Undetermined))
	}
	var lanes []float64
	for _, l := range e.Lanes {
		lanes = append(lanes, l.Lane)
	}
	if !slices.Equal(lanes, []float64{1, 2, 3}) || len(e.Lanes[1].Frets) != 21 || e.Lanes[2].Frets[0] != 11 {
		t.Errorf("lanes %v", lanes)
	}
}

// TestFrom_JointlyTied: bridges over every second fret tie odd and even frets
// only together with others.
func TestFrom_JointlyTied(t *testing.T) {
	s := newSimulated(t, 12, 8, 1)
	add := func(a, b, c int) {
		s.add(reading.Reading{Method: reading.Bridge, Lane: 1, Frets: []int{a, b, c}, U: 0.003})
	}
	for _, k := range [][3]int{{1, 3, 5}, {3, 5, 7}, {2, 4, 6}, {4, 6, 8}, {1, 2, 8}, {1, 4, 7}} {
		add(k[0], k[1], k[2])
	}
	if e := s.estimate(t); len(e.Undetermined) != 0 || len(e.Lanes) != 1 {
		t.Fatalf("undetermined %+v", e.Undetermined)
	}
}

// TestFrom_Contradiction: two passes over one lane that disagree at one crown
// cannot tell which is wrong: both are named, and the crown is in doubt.
func TestFrom_Contradiction(t *testing.T) {
	s := newSimulated(t, 13, 22, 1)
	s.beam(1, 0.003, "a")
	s.beam(1, 0.003, "b")
	s.out[7].Value += 0.2
	e := s.estimate(t)
	if len(e.Misreads) != 2 || e.Misreads[0].Fret != 8 || e.Misreads[1].Fret != 8 {
		t.Fatalf("misreads %+v", e.Misreads)
	}
	for i, aside := range e.Lanes[0].Aside {
		if aside != (e.Lanes[0].Frets[i] == 8) {
			t.Errorf("fret %d: all set aside is %v", e.Lanes[0].Frets[i], aside)
		}
	}
}

// TestFrom_Rocker: a zero says at least, rocks and still one side each; a
// satisfied one changes little, a violated one pulls to the other side.
func TestFrom_Rocker(t *testing.T) {
	base := newSimulated(t, 14, 12, 1)
	base.beam(1, 0.004, "")
	z := base.estimate(t).Lanes[0].Z
	e := func(r reading.Reading) []float64 {
		s := *base
		s.out = append(slices.Clone(base.out), r)
		return s.estimate(t).Lanes[0].Z
	}
	x := func(f int) float64 { return base.layout.LaneX(f, 1) }
	gap := func(z []float64) float64 {
		return z[4] + (z[5]-z[4])*(x(7)-x(5))/(x(6)-x(5)) - z[6]
	}
	zero := reading.Reading{Method: reading.Rocker, Lane: 1, Frets: []int{5, 6, 7}, U: 0.001}
	rocks := zero
	rocks.Answer = reading.Rocks
	if gap(z) > 0 {
		zero, rocks = rocks, zero
	}
	if got, was := gap(e(zero)), gap(z); got*was < 0 || math.Abs(got-was) > 0.005 {
		t.Errorf("a satisfied rocker moved the gap from %.4f to %.4f", was, got)
	}
	if got, was := gap(e(rocks)), gap(z); got*was > 0 && math.Abs(got) > 0.002 || math.Abs(got) > math.Abs(was) {
		t.Errorf("a violated rocker left a gap of %.4f of %.4f", got, was)
	}
}

// TestFrom_Turned: a beam turned end for end tells its own crooked shape from
// the neck's.
func TestFrom_Turned(t *testing.T) {
	s := newSimulated(t, 15, 22, 2)
	for _, lane := range s.lanes {
		for _, turned := range []bool{false, true} {
			from := len(s.out)
			s.beam(lane, 0.002, "")
			for i := from; i < len(s.out); i++ {
				v := 2*s.layout.LaneX(s.out[i].Frets[0], lane)/s.layout.LaneX(22, lane) - 1
				if turned {
					v = -v
				}
				s.out[i].Turned = turned
				s.out[i].Value += 0.04 * (v*v*v - v)
			}
		}
	}
	diff, _ := s.errors(s.estimate(t))
	if r := rms(diff); r > 0.005 {
		t.Errorf("rms error %.4f mm", r)
	}
}

// TestFrom_Probe: touches of circles give the crowns; one touch off its crown
// is named; two touches leave a crown open.
func TestFrom_Probe(t *testing.T) {
	s := newSimulated(t, 16, 22, 6)
	s.press()
	const u, radius = 0.002, 1.2
	for _, lane := range s.lanes {
		for f := 1; f <= 22; f++ {
			p := s.layout.At(f, lane)
			for _, d := range []float64{-0.4, 0, 0.4} {
				dd := d + 0.05*s.rnd.NormFloat64()
				top := s.z[place{f, lane}] + s.layout.Surface(p) + 0.001*p.X + 0.002*p.Y
				s.add(reading.Reading{Method: reading.Probe, X: p.X + dd, Y: p.Y, U: u,
					Z: top - radius + math.Sqrt(radius*radius-dd*dd) + u*s.rnd.NormFloat64()})
			}
		}
	}
	for _, r := range []float64{0, radius} {
		e, err := From(Input{Layout: s.layout, Readings: s.out, CrownRadiusMM: r})
		if err != nil {
			t.Fatal(err)
		}
		diff, us := s.errors(e)
		if len(diff) != 132 || len(e.Undetermined) != 0 {
			t.Fatalf("%d crowns, undetermined %v", len(diff), e.Undetermined)
		}
		for i := range diff {
			diff[i] /= us[i]
		}
		if n := rms(diff); n < 0.8 || n > 1.2 {
			t.Errorf("radius %g: errors over u have rms %.3f", r, n)
		}
	}
	s.out[1].Z += 0.1
	e, err := From(Input{Layout: s.layout, Readings: s.out[1:], CrownRadiusMM: radius})
	if err != nil {
		t.Fatal(err)
	}
	if len(e.Undetermined) != 1 || e.Undetermined[0].Why != errFewTouches.Error() {
		t.Errorf("undetermined %+v", e.Undetermined)
	}
}

// TestFrom_Scatter: readings that scatter three times what they state are
// taken so, with a warning, instead of being set aside one after the other.
func TestFrom_Scatter(t *testing.T) {
	s := newSimulated(t, 17, 22, 6)
	for _, lane := range s.lanes {
		s.beam(lane, 0.012, "a")
		s.beam(lane, 0.012, "b")
	}
	for i := range s.out {
		s.out[i].U = 0.004
	}
	e := s.estimate(t)
	if len(e.Warnings) != 1 || !strings.Contains(e.Warnings[0], "beam") || len(e.Misreads) > 1 {
		t.Fatalf("warnings %q, misreads %d", e.Warnings, len(e.Misreads))
	}
	diff, us := s.errors(e)
	for i := range diff {
		diff[i] /= us[i]
	}
	if n := rms(diff); n < 0.8 || n > 1.25 {
		t.Errorf("errors over u have rms %.3f", n)
	}
}

// TestFrom_Feelers: between go and no-go lies the middle, with the step/√12.
func TestFrom_Feelers(t *testing.T) {
	noGo := 0.05
	v, u := gap(reading.Reading{Value: 0.02, NoGo: &noGo, U: reading.DefaultU})
	casetest.Near(t, "middle", v, 0.035, 1e-12)
	casetest.Near(t, "u", u, 0.03/math.Sqrt(12), 1e-12)
	v, u = gap(reading.Reading{Value: 0.02, U: 0.006, UGiven: true})
	casetest.Near(t, "as stated", v, 0.02, 0)
	casetest.Near(t, "u as stated", u, 0.006, 0)
}

// TestFrom_BoardSurface: under strings that spread over a cylinder each lane
// follows the board's own curve, on a wide neck by hundredths of a millimetre
// more in the middle than a straight line. Lanes still inform each other.
func TestFrom_BoardSurface(t *testing.T) {
	for _, share := range []float64{0, 1} { // crowns on straight lanes, and on the board
		var normal []float64
		for seed := range uint64(20) {
			s := newSimulated(t, seed, 21, 4)
			m := model(21, 4)
			m.Board.Radius, m.Strings.Spread = neck.Pair{254, 254}, neck.Pair{57, 78}
			l, err := geometry.New(m)
			if err != nil {
				t.Fatal(err)
			}
			s.layout = l
			s.press()
			for p := range s.z {
				s.z[p] += share * l.Surface(l.At(p.fret, p.lane))
			}
			for _, lane := range s.lanes {
				s.beam(lane, 0.003, "")
			}
			e := s.estimate(t)
			if len(e.Misreads)+len(e.Dents)+len(e.Warnings) > 0 {
				t.Errorf("share %g, seed %d: %+v %+v %q", share, seed, e.Misreads, e.Dents, e.Warnings)
			}
			diff, us := s.errors(e)
			for i := range diff {
				normal = append(normal, diff[i]/us[i])
			}
		}
		if n := rms(normal); n < 0.9 || n > 1.1 {
			t.Errorf("share %g: errors over u have rms %.3f", share, n)
		}
	}
}
