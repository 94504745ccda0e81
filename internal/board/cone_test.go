package board

import (
	"math"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// TestJudgeArch_Spherometer: u(R) of a 50 mm span on a 254 mm radius read with
// u(s) = u√1.5, u 5 µm, is 1.255 mm. Derived, R = w²/8s + s/2.
func TestJudgeArch_Spherometer(t *testing.T) {
	m, l := heron(t, func(m *neck.Model) { m.Board.Radius = neck.Pair{254, 254} })
	j := &job{m: m, l: l, a: &Answer{}}
	a := j.archOf(reading.Reading{Frets: []int{5}, Span: 50, Value: 1.233309, U: 0.005 * math.Sqrt(1.5)})
	if math.Abs(casetest.Value(a.RadiusMM)-254) > 1e-3 || math.Abs(a.UMM-1.255) > 1e-3 || math.Abs(a.MiddleMM) > 1e-5 {
		t.Errorf("%+v", a)
	}
}

// TestSag_Exact: by Pythagoras, and no more than the half circle; its slope by
// differences.
func TestSag_Exact(t *testing.T) {
	if s := sag(5, 4); s != 2 { // 5 − √(25 − 16)
		t.Errorf("sag %v of radius 5 over a chord of 8, want 2", s)
	}
	if s := sag(5, 9); s != 5 {
		t.Errorf("sag %v beyond the circle, want its radius", s)
	}
	for _, r := range []float64{60, 254, 400} {
		const h = 1e-3
		if got, want := sagSlope(r, 20), (sag(r+h, 20)-sag(r-h, 20))/(2*h); math.Abs(got-want) > 1e-8 {
			t.Errorf("slope %v at radius %v, by differences %v", got, r, want)
		}
	}
}

// TestCone_Line: without noise the cone comes back as it was, wherever it lies, and
// two readings give the textbook's u at the ends of a straight line.
func TestCone_Line(t *testing.T) {
	m, l := heron(t, nil)
	for _, off := range [][2]float64{{0, 0}, {3, -4}, {40, -60}} {
		w := newWood(t, 1, m, l)
		w.off, w.bumps = off, nil
		a, err := Judge(m, l, append(w.beam(three(), 1, 1e-9, ""), w.arch(five(), 40, 1e-9)...))
		if err != nil {
			t.Fatal(err)
		}
		if c := a.Cone; c == nil || math.Abs(c.NutMM-300-off[0]) > 1e-3 || math.Abs(c.LastMM-400-off[1]) > 1e-3 {
			t.Errorf("off %v: %+v", off, a.Cone)
		}
	}
	j := &job{m: m, l: l, a: &Answer{}}
	last := l.CentreX(l.LastFret())
	reading := func(f int, u float64) ring {
		return ring{fret: f, x: l.CentreX(f), half: 20, value: sag(l.Radius(l.CentreX(f)), 20), u: u}
	}
	w := ways{rings: []ring{reading(3, 0.001), reading(15, 0.005)}}
	f, ok := j.fit(w, about{}, math.Inf(1), taken)
	if !ok {
		t.Fatal("two places give no line")
	}
	u := func(k ring) float64 { return k.u / math.Abs(sagSlope(l.Radius(k.x), 20)) }
	t3, t15 := l.CentreX(3)/last, l.CentreX(15)/last
	for _, c := range []struct{ x, want float64 }{
		{0, math.Hypot(t15*u(w.rings[0]), t3*u(w.rings[1])) / (t15 - t3)},
		{last, math.Hypot((1-t15)*u(w.rings[0]), (1-t3)*u(w.rings[1])) / (t15 - t3)},
	} {
		if v, got := f.at(c.x); math.Abs(got-c.want) > 1e-6*c.want || math.Abs(v) > 1e-9 {
			t.Errorf("at %v: %v ± %v, want 0 ± %v", c.x, v, got, c.want)
		}
	}
}

// TestJudge_NoArch: gauges that read flat or hollow on a board that should be
// round make it not ready once two agree, and no radius is made up.
func TestJudge_NoArch(t *testing.T) {
	m, l := heron(t, nil)
	for _, value := range []float64{0, -0.1, 1e-6} {
		w := newWood(t, 1, m, l)
		r := w.beam(three(), 1, 0.005, "")
		for _, f := range five() {
			r = append(r, reading.Reading{Method: reading.Arch, Frets: []int{f}, Span: 40, Value: value, U: 0.005})
		}
		a, err := Judge(m, l, r)
		if err != nil {
			t.Fatal(err)
		}
		if a.Verdict != NotReady || a.Cone != nil || a.Arches[2].Verdict != NotRound || a.Arches[2].MiddleMM >= 0 {
			t.Errorf("height %v: %s, %+v, %+v", value, a.Verdict, a.Cone, a.Arches[2])
		}
		if a.Sanding == nil || a.Sanding.MaxMM < 0.5 {
			t.Errorf("height %v: a flat board made round takes %+v", value, a.Sanding)
		}
	}
}

// TestMaxChi2_Table and TestStudentOver_Table: values of any table.
func TestMaxChi2_Table(t *testing.T) {
	for spare, want := range map[float64]float64{1: 6.635, 3: 11.345, 5: 15.086, 20: 37.566} {
		if got := maxChi2(spare); math.Abs(got-want) > 0.02*want {
			t.Errorf("%v to spare: %v, want %v", spare, got, want)
		}
	}
}

func TestStudentOver_Table(t *testing.T) {
	for spare, want := range map[float64]float64{1: 6.314, 2: 2.920, 3: 2.353, 5: 2.015, 20: 1.725} {
		if got := studentOver(spare) * 1.6449; math.Abs(got-want) > 0.03*want {
			t.Errorf("%v to spare: %v, want %v", spare, got, want)
		}
	}
}

// TestTwist_Sticks: two readings of sticks and a probe give the twist that is there,
// one reading names none.
func TestTwist_Sticks(t *testing.T) {
	m, l := heron(t, nil)
	w := newWood(t, 1, m, l)
	w.twist, w.bumps = 0.2, nil
	tilt := func(f int) float64 {
		x := l.CentreX(f)
		return w.height(f, geometry.Point{X: x, Y: 20}) - w.height(f, geometry.Point{X: x, Y: -20})
	}
	stick := reading.Reading{Method: reading.Sticks, Frets: []int{1, 22}, Span: 40, Value: tilt(22) - tilt(1), U: 0.005}
	across := l.At(22, 1).Y - l.At(22, 6).Y
	want := 0.2 * across / 46 * (1 - l.CentreX(1)/l.CentreX(22))
	named := func(r []reading.Reading) (float64, bool) {
		a, err := Judge(m, l, r)
		if err != nil || a.Twist == nil {
			t.Fatal(err, a.Twist)
		}
		for _, f := range a.Findings {
			if f.Kind == Twisted {
				return a.Twist.MM, true
			}
		}
		return a.Twist.MM, false
	}
	base := withFive(three())(w)
	if got, found := named(append(base[:len(base):len(base)], stick, stick)); !found || math.Abs(got-want) > 0.01 {
		t.Errorf("sticks: twist %v, named %t, want %v", got, found, want)
	}
	if _, found := named(append(base[:len(base):len(base)], stick)); found {
		t.Error("one reading of the sticks names a twist")
	}
	var touches []reading.Reading
	for lane := 1.0; lane <= 6; lane++ {
		for f := 1; f <= 22; f++ {
			at := l.At(f, lane)
			touches = append(touches, reading.Reading{Method: reading.Probe, X: at.X, Y: at.Y, Z: w.height(f, at) + 0.004*w.r.NormFloat64(), U: 0.004})
		}
	}
	if got, found := named(touches); !found || math.Abs(got-want) > 0.02 {
		t.Errorf("probe: twist %v, named %t, want %v", got, found, want)
	}
}
