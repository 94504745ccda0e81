package play

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/neck"
	"ringtrue/internal/stringset"
)

// d'Alembert's solution on the lattice against the closed form, at every point.
func TestReachAway_DAlembert(t *testing.T) {
	const n = 240
	for _, at := range []int{30, 120, 180, 200} {
		x0 := float64(at) / n
		l := newLattice(n, x0, 1, nil)
		low, high := append([]float64(nil), l.u...), append([]float64(nil), l.u...)
		for range 2 * n {
			l.step()
			for i, u := range l.u {
				low[i], high[i] = math.Min(low[i], u), math.Max(high[i], u)
			}
		}
		for i := 1; i < n; i++ {
			x := float64(i) / n
			casetest.Near(t, "lowest", -low[i], ReachAway(x, x0, 1), 1e-12)
			casetest.Near(t, "highest", high[i], ReachToward(x, x0, 1), 1e-12)
			casetest.Near(t, "both ways", Reach(x, x0, 1), math.Max(-low[i], high[i]), 1e-12)
		}
	}
}

// limit is the largest pluck away from the board without contact over crowns
// at gaps below the rest line.
func limit(x, gap []float64, x0, length float64) (h float64, at int) {
	h = math.Inf(1)
	for i := range x {
		if v := gap[i] / ReachAway(x[i], x0, length); v < h {
			h, at = v, i
		}
	}
	return h, at
}

// straightFrets gives the frets of a 648 mm scale beyond a stop, and their gaps
// under a string that rises from h0 at the stop to hs at the saddle.
func straightFrets(stop int, h0, hs float64) (x, gap []float64, length float64) {
	at := func(n int) float64 { return 648 * (1 - math.Exp2(-float64(n)/12)) }
	length = 648 - at(stop)
	for n := stop + 1; n <= 24; n++ {
		xi := at(n) - at(stop)
		x, gap = append(x, xi), append(gap, h0+(hs-h0)*xi/length)
	}
	return x, gap, length
}

func TestReachAway_StraightFrets(t *testing.T) {
	x, gap, length := straightFrets(0, 0.5, 2.7)
	h, at := limit(x, gap, 518, length)
	casetest.Near(t, "limit", h, 0.9607, 1e-4)
	if at+1 != 4 {
		t.Errorf("nearest fret %d, want 4", at+1)
	}
	casetest.Near(t, "limit at 45 degrees", h/math.Sin(math.Pi/4), 1.3586, 1e-4)
	casetest.Near(t, "limit at 20 degrees", h/math.Sin(20*math.Pi/180), 2.8089, 1e-4)
	for stop, want := range map[int]float64{5: 0.72304, 12: 1.08333} {
		x, gap, length := straightFrets(stop, 0, 2.7)
		x0 := length - 130
		h, _ := limit(x, gap, x0, length)
		casetest.Near(t, fmt.Sprintf("limit at fret %d", stop), h, want, 1e-5)
		casetest.Near(t, "closed form", 2.7*(length-x0)/length, want, 1e-5)
		for i := range x { // every later fret up to L − x0 gives the same
			if x[i] <= length-x0 {
				casetest.Near(t, "each fret's limit", gap[i]/ReachAway(x[i], x0, length), want, 1e-5)
			}
		}
	}
}

// The electric bass of the data of Issanchou et al., JASA 143(5) (2018): the
// published pluck must strike, and does.
func TestReachAway_Issanchou2018(t *testing.T) {
	want := []float64{2.966, 2.116, 1.864, 1.689, 1.653, 1.807, 2.079, 2.318, 2.645, 2.869}
	gaps := make([]float64, len(bassZ))
	for i, z := range bassZ {
		gaps[i] = -z
	}
	for i, w := range want {
		casetest.Near(t, fmt.Sprintf("fret %d", i+1), gaps[i]/ReachAway(bassX[i], bassAt, 863), w, 1e-3)
	}
	h, at := limit(bassX, gaps, bassAt, 863)
	casetest.Near(t, "least", h, 1.6531, 1e-4)
	if at+1 != 5 || bassPluck <= h {
		t.Errorf("least at fret %d, pluck of %g mm against %g", at+1, bassPluck, h)
	}
}

// The time of first touch of the ideal string, x_j <= x0: c·t = (x0 − x_j) +
// (h·x_j/x0 + gap)·2x0(L − x0)/(hL), against the lattice's first contact and
// the stiff string's.
func TestFirstTouch_DAlembert(t *testing.T) {
	ct := func(x, gap, x0, h, length float64) float64 {
		return (x0 - x) + (h*x/x0+gap)*2*x0*(length-x0)/(h*length)
	}
	casetest.Near(t, "exact case", ct(0.125, 0.25, 0.75, 1, 1), 0.78125, 1e-12)
	s := bassString()
	casetest.Near(t, "bass, fret 12, ms", ct(432, 2.33, bassAt, bassPluck, 863)/s.Wave()*1e3, 3.837, 0.001)
}

// Statics of the plucked string.
func TestPluck_Statics(t *testing.T) {
	s, err := stringset.Tune(neck.String{Pitch: "E4", Gauge: 0.254}, 647.7, stringset.ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	rel := func(what string, got, want float64) { t.Helper(); casetest.Near(t, what, got, want, 1e-4*want) }
	p := Pluck{AtMM: 517.7, HeightMM: 2}
	rel("energy, N mm", p.EnergyNMM(s.TensionN, 647.7), 1.39586)
	touch := neck.Touch{Force: 1.3959, FromSaddle: 130}
	got, err := PluckOf(touch, s.TensionN, 647.7)
	if err != nil {
		t.Fatal(err)
	}
	rel("height from force", got.HeightMM, 2)
	rel("axial stiffness", s.AxialStiffnessN(), 10134.1)
	casetest.Near(t, "cents sharp at the pluck", p.RiseCents(s, 647.7), 3.587, 1e-3)
	rel("sag", SagMM(s, 647.7)+1, 1.0028)
	wound, err := stringset.Tune(neck.String{Pitch: "E2", Gauge: 1.1684, Core: 0.4064, Wound: true}, 647.7, stringset.ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "sag of a wound string", SagMM(wound, 647.7), 0.0451, 1e-4)
	// The energy that the contact run starts with is the same.
	m := atRate(Span{LengthMM: 647.7, TensionN: s.TensionN, MassGPerM: s.MassGPerM, Decay: stringset.Law{}}, 384e3)
	free := record(t, NewBarrier(m, []float64{300}), released(m, 517.7, 2), []float64{-9}, 1e-4)
	casetest.Near(t, "energy of the run", free.energy[0], p.EnergyNMM(s.TensionN, 647.7), 0.01*1.39586)
}

// Gough, JASA 75 (1984) 1770: the plane of a string on an ellipse turns, since
// its tension grows with the amplitude. Against the equation of motion
// r” = −ω0²(1 + K·r²)·r, integrated (classical Runge-Kutta).
func TestQuarterTurn_Gough1984(t *testing.T) {
	s, err := stringset.Tune(neck.String{Pitch: "E4", Gauge: 0.254}, 647.7, stringset.ConcertA)
	if err != nil {
		t.Fatal(err)
	}
	got := QuarterTurnS(s, 647.7, 2, 0.5)
	casetest.Near(t, "quarter turn, s", got, 3.69, 0.01*3.69)
	omega := 2 * math.Pi * s.PitchHz
	k := math.Pi * math.Pi * s.AxialStiffnessN() / (4 * 647.7 * 647.7 * s.TensionN)
	force := func(v [4]float64) [4]float64 {
		r2 := v[0]*v[0] + v[1]*v[1]
		return [4]float64{v[2], v[3], -omega * omega * (1 + k*r2) * v[0], -omega * omega * (1 + k*r2) * v[1]}
	}
	v := [4]float64{2, 0, 0, 0.5 * omega}
	dt := 2 * math.Pi / omega / 200
	step := func(v [4]float64, d [4]float64, h float64) [4]float64 {
		for i := range v {
			v[i] += h * d[i]
		}
		return v
	}
	var apex, before float64 // angle of the latest outermost point, as the radius passes its crest
	var radii [2]float64
	for i := 0; float64(i)*dt < 0.3; i++ {
		k1 := force(v)
		k2 := force(step(v, k1, dt/2))
		k3 := force(step(v, k2, dt/2))
		k4 := force(step(v, k3, dt))
		for j := range v {
			v[j] += dt / 6 * (k1[j] + 2*k2[j] + 2*k3[j] + k4[j])
		}
		r := math.Hypot(v[0], v[1])
		if radii[1] > radii[0] && radii[1] > r { // crest at the step before: refine by a parabola
			shift := (radii[0] - r) / (2 * (radii[0] - 2*radii[1] + r))
			angle := math.Atan2(v[1], v[0])
			apex = math.Remainder(before+shift*(angle-before), math.Pi)
		}
		before = math.Atan2(v[1], v[0])
		radii[0], radii[1] = radii[1], r
	}
	rate := math.Abs(apex) / 0.3
	casetest.Near(t, "turning, rad/s", rate, math.Pi/2/got, 0.02*rate)
}

// Dispersion takes the stiff string lower than the ideal one beside the stop.
// Real lowest point over the ideal at the next fret, undamped, within six
// periods; over longer it goes on growing, which is why no fixed factor serves.
func TestReach_DispersionAgainstIdeal(t *testing.T) {
	for name, c := range map[string]struct {
		pitch string
		b     float64
		want  map[int]float64
	}{
		"E4 plain": {"E4", 1.33e-5, map[int]float64{0: 1.08, 7: 1.11, 12: 1.22}},
		"G3 plain": {"G3", 1.09e-4, map[int]float64{0: 1.22, 7: 1.33, 12: 1.41}},
		"E2 wound": {"E2", 7.2e-5, map[int]float64{0: 1.19, 7: 1.28, 12: 1.37}},
	} {
		p, err := stringset.ParsePitch(c.pitch)
		if err != nil {
			t.Fatal(err)
		}
		const tension = 75.0
		wave := 2 * 0.648 * p.Hz(440)
		mass := tension / (wave * wave) * 1e3
		for stop, want := range c.want {
			s, x := guitarSpan(t, tension, mass, c.b*tension*648*648/(math.Pi*math.Pi), stop)
			s.Decay = stringset.Law{}
			m := atRate(s, RateHz)
			below, _, err := NewBarrier(m, x).Reach(t.Context(), released(m, s.LengthMM-130, 1), int(6*s.PeriodS()*RateHz))
			if err != nil {
				t.Fatal(err)
			}
			ratio := func(j int) float64 { return below[j] / ReachAway(x[j], s.LengthMM-130, s.LengthMM) }
			casetest.Near(t, fmt.Sprintf("%s at fret %d, next fret", name, stop), ratio(0), want, 0.02)
			if ratio(1) > 1.24 || ratio(2) > 1.12 || ratio(1) < 0.97 || ratio(2) < 0.97 {
				t.Errorf("%s at fret %d: further frets %.3f, %.3f", name, stop, ratio(1), ratio(2))
			}
		}
	}
}

func TestPluckOf_Faults(t *testing.T) {
	for want, c := range map[string]neck.Touch{
		"between stop and saddle": {Force: 0.4, FromSaddle: 640},
		"must lie between":        {Force: 0.4, FromSaddle: -3},
		"force or a lift":         {FromSaddle: 100},
		"above 0":                 {Force: -1, FromSaddle: 100},
		"slack":                   {Force: 20, FromSaddle: 100},
		"a lift of":               {Lift: 50, FromSaddle: 100},
	} {
		if _, err := PluckOf(c, 70, 640); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: error %v, want one with %q", c, err, want)
		}
	}
}
