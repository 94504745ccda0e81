package heard

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"ringtrue/internal/recording"
)

// packVariable names the folder of the recorded notes where it is not the tests' own.
const packVariable = "RINGTRUE_TEST_NOTES"

// recorded reads a note of the pack: University of Iowa, CC BY 3.0, edited by the
// tonejs-instruments project. It skips where they are not installed, but in CI.
func recorded(t testing.TB, name string) recording.Sound {
	t.Helper()
	home := os.Getenv(packVariable)
	if home == "" {
		home = filepath.Join("testdata", "recordings", "node_modules", "tonejs-instrument-guitar-acoustic-wav")
	}
	data, err := os.ReadFile(filepath.Join(home, name+".wav"))
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skipf("no recorded notes: run npm ci in internal/heard/testdata/recordings, or set %s to their folder", packVariable)
	}
	all, err := recording.Channels(data)
	if err != nil {
		t.Fatal(err)
	}
	return all[0]
}

// TestListen_UniversityOfIowa: the notes by a second program (numpy and scipy) on the same
// methods: 1 cent, B to 6 %, ring to 0.1 s.
func TestListen_UniversityOfIowa(t *testing.T) {
	for _, c := range []struct {
		name        string
		hz, b, ring float64
	}{
		{"E2", 82.25, 3.06e-5, 4.40}, {"B2", 123.29, 3.61e-5, 5.30}, {"F3", 174.40, 5.57e-5, 3.60}, {"G3", 195.43, 1.53e-4, 1.50},
		{"B3", 246.66, 8.44e-5, 1.25}, {"E4", 330.29, 4.48e-5, 1.35}, {"A4", 440.39, 7.74e-5, 1.15}, {"D5", 587.73, 1.41e-4, 0.90},
	} {
		s := recorded(t, c.name)
		x := s.Samples[Onset(s.Samples, s.RateHz):]
		near, ok := Pitch(x, s.RateHz)
		n, found := Listen(x, s.RateHz, near, 0)
		if !ok || !found {
			t.Errorf("%s: not heard (%v)", c.name, near)
			continue
		}
		cents, b := 1200*math.Log2(n.Hz/c.hz), n.Inharmonicity.OrNaN()
		law, _ := LawOf(n.Decays)
		t.Logf("%s %.2f Hz %+.2f cents (u %.2f) glide %.1f B %.3g (%+.1f %%, u %.1f %%) ring %.2f %d partials law %.2g %.2g", c.name, n.Hz, cents, n.UCents, n.GlideCents.OrNaN(), b, 100*(b/c.b-1), 100*n.UB.OrNaN()/b, n.RingS.OrNaN(), n.Partials, law.Base, law.Square)
		if !(math.Abs(cents) <= 1) || !(math.Abs(b/c.b-1) <= 0.06) || !(math.Abs(n.RingS.OrNaN()-c.ring) <= 0.1001) {
			t.Errorf("%s: %.2f Hz, B %.3g, ring %.2f; want %.2f, %.3g, %.2f", c.name, n.Hz, b, n.RingS.OrNaN(), c.hz, c.b, c.ring)
		}
	}
}

func BenchmarkListen(b *testing.B) {
	s := recorded(b, "E2")
	x := s.Samples[Onset(s.Samples, s.RateHz):]
	w := newWorker(s.RateHz)
	for b.Loop() {
		if _, ok := w.listen(x, 82.25, 0); !ok {
			b.Fatal("not heard")
		}
	}
}

// TestDemodulator_PlainSum: the three sums a hop give what a Hann window over all samples gives.
func TestDemodulator_PlainSum(t *testing.T) {
	const f, hop, hops = 0.0123, 441, 5
	x := make([]float64, 20*hop)
	for i := range x {
		x[i] = math.Exp(-float64(i)/3000)*math.Sin(2*math.Pi*f*float64(i)) + 0.3*math.Sin(0.11*float64(i))
	}
	d, window := demodulator{f: f, hop: hop, hops: hops}, hann(hop*hops)
	compared := 0
	for k := 0; (k+1)*hop <= len(x); k++ {
		got, ok := d.next(x[k*hop : (k+1)*hop])
		if from := (k + 1 - hops) * hop; ok {
			want := amplitude(x[from:from+hop*hops], window, f)
			if compared++; math.Abs(got/want-1) > 2e-3 {
				t.Errorf("hop %d: %v, want %v", k, got, want)
			}
		}
	}
	if compared != 16 {
		t.Errorf("compared %d windows", compared)
	}
}
