package heard

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

var throughs = flag.Int("throughs", 1, "play-throughs of recorded notes at each noise")

// played is one note of a play-through: which (below 0: -1 less a wrong one), and where it begins.
type played struct{ note, at int }

// pitchNames are the pack's notes from E2 to D5.
func pitchNames() (names []string, hz []float64) {
	letters := []string{"C", "Cs", "D", "Ds", "E", "F", "Fs", "G", "Gs", "A", "As", "B"}
	for p := 40; p <= 74; p++ {
		names = append(names, fmt.Sprintf("%s%d", letters[p%12], p/12-1))
		hz = append(hz, 440*math.Exp2(float64(p-69)/12))
	}
	return names, hz
}

// throughOf plays notes in order as a person does: uneven, cut at 0.5 to 1.5 s, a third
// without a gap, squeaks and knocks between, some left out, some twice, some wrong first.
func throughOf(r *rand.Rand, notes [][]float64, rate, noiseDB float64) (x []float64, all []played) {
	gap := func(s float64) { x = append(x, make([]float64, int(s*rate))...) }
	gap(1)
	add := func(k, told int) {
		n := notes[k][:min(len(notes[k]), int((0.5+r.Float64())*rate))]
		level := math.Pow(10, (16*r.Float64()-8)/20)
		all = append(all, played{told, len(x)})
		for i, v := range n {
			if left := len(n) - i; left < int(0.02*rate) { // damped, not cut
				v *= float64(left) / (0.02 * rate)
			}
			x = append(x, level*v)
		}
		if r.Float64() < 1.0/3 {
			return
		}
		s := 0.05 + 0.5*r.Float64()
		from := len(x)
		gap(s)
		if s > 0.25 && r.Float64() < 0.25 {
			disturb(r, x[from:], rate)
		}
	}
	for k := range notes {
		switch u := r.Float64(); {
		case u < 0.05:
			continue
		case u < 0.09:
			add(k, k)
		case u < 0.12:
			wrong := min(len(notes)-1, max(0, k+[]int{-2, -1, 1, 2}[r.IntN(4)]))
			add(wrong, -1-wrong)
		}
		add(k, k)
	}
	gap(1)
	noise := math.Pow(10, -noiseDB/20)
	for i := range x {
		x[i] += noise * (r.NormFloat64() + math.Sqrt2*math.Sin(2*math.Pi*50*float64(i)/rate))
	}
	return x, all
}

// disturb puts a squeak or a knock into a gap.
func disturb(r *rand.Rand, x []float64, rate float64) {
	from, f, long := len(x)/3, 80+80*r.Float64(), 0.02
	if r.Float64() < 0.5 {
		f, long = 1500+2000*r.Float64(), 0.08
	}
	for i := from; i < len(x); i++ {
		s := float64(i-from) / rate
		x[i] += 0.3 * math.Exp(-s/long*3) * math.Sin(2*math.Pi*(f+f*s)*s) * (1 + 0.5*r.NormFloat64())
	}
}

// tally is how a play-through was heard.
type tally struct {
	played, found, extra, right, wrong int
	offMS                              []float64 // of the moments found
}

func (s *tally) add(all []played, heard []Sounding, rate float64) {
	used := make([]bool, len(heard))
	for _, p := range all {
		s.played++
		best := -1
		for i, h := range heard {
			if d := math.Abs(float64(h.From - p.at)); !used[i] && d < 0.06*rate && (best < 0 || d < math.Abs(float64(heard[best].From-p.at))) {
				best = i
			}
		}
		if best < 0 {
			continue
		}
		used[best] = true
		s.found++
		s.offMS = append(s.offMS, 1000*math.Abs(float64(heard[best].From-p.at))/rate)
		switch name := heard[best].Name; {
		case p.note < 0: // a wrong note has no name, or that of its own pitch
			s.played--
			s.found--
			if name >= 0 && name != -1-p.note {
				s.wrong++
			}
		case name < 0:
		case name == p.note:
			s.right++
		default:
			s.wrong++
		}
	}
	for i, h := range heard {
		if !used[i] {
			s.extra++
			if h.Name >= 0 {
				s.wrong++
			}
		}
	}
}

// recordedNotes are the pack's notes at one level, from their onsets, and their pitches.
func recordedNotes(t *testing.T) (notes [][]float64, wanted []float64, rate float64) {
	t.Helper()
	names, wanted := pitchNames()
	for _, name := range names {
		s := recorded(t, name)
		rate = s.RateHz
		x := s.Samples[Onset(s.Samples, rate):]
		level := math.Sqrt(power(x[:int(0.5*rate)]))
		n := make([]float64, min(len(x), int(1.5*rate)))
		for i := range n {
			n[i] = x[i] / level
		}
		notes = append(notes, n)
	}
	return notes, wanted, rate
}

func (s *tally) String() string {
	slices.Sort(s.offMS)
	n := len(s.offMS)
	return fmt.Sprintf("%d played, %d found, %d extra, %d right, %d wrong; moment off by %.0f ms, p95 %.0f", s.played, s.found, s.extra, s.right, s.wrong, s.offMS[n/2], s.offMS[n*95/100])
}

// TestThrough_RecordedNotes names the notes of play-throughs: of those at 25 and 40 dB of
// noise 420 in 426, at 15 dB 188 in 211, and none wrong;
// half of the moments to 5 ms. More with -throughs 6.
func TestThrough_RecordedNotes(t *testing.T) {
	notes, wanted, rate := recordedNotes(t)
	var quiet, loud tally
	for _, noise := range []float64{40, 25, 15} {
		s := &quiet
		if noise == 15 {
			s = &loud
		}
		for k := range *throughs {
			r := rand.New(rand.NewPCG(uint64(noise), uint64(k)))
			x, all := throughOf(r, notes, rate, noise)
			heard, err := Through(context.Background(), x, rate, wanted, nil)
			if err != nil {
				t.Fatal(err)
			}
			s.add(all, heard, rate)
		}
	}
	t.Logf("40 and 25 dB %v, 15 dB %v", &quiet, &loud)
	if quiet.played < 60 || quiet.offMS[len(quiet.offMS)/2] > 5 || quiet.wrong+loud.wrong > 0 || quiet.played-quiet.right > max(1, quiet.played*6/426) || loud.right*211 < loud.played*188 {
		t.Errorf("at 40 and 25 dB %v, at 15 dB %v", &quiet, &loud)
	}
}

// TestFollower_RecordedNotes: a play-through handed over in stretches is named as the
// whole of it, and the note to play next follows the player.
func TestFollower_RecordedNotes(t *testing.T) {
	notes, wanted, rate := recordedNotes(t)
	r := rand.New(rand.NewPCG(7, 7))
	x, all := throughOf(r, notes[:8], rate, 40)
	f := NewFollower(rate, wanted[:8])
	if f.Next() != 0 {
		t.Errorf("begins at %d", f.Next())
	}
	reached := 0
	for from := 0; from < len(x); from += int(0.5 * rate) {
		f.Add(x[from:min(len(x), from+int(0.5*rate))])
		if f.Next() < reached-1 {
			t.Errorf("fell back from %d to %d", reached, f.Next())
		}
		reached = max(reached, f.Next())
	}
	var s tally
	s.add(all, f.Heard(), rate)
	if t.Logf("%v, next %d", &s, f.Next()); s.wrong > 0 || s.right < s.played-1 || f.Next() != 8 {
		t.Errorf("%v, next %d", &s, f.Next())
	}
}
