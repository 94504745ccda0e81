package film

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"ringtrue/internal/play"
)

// Scene is what is filmed: a string released from rest over the crowns beyond
// its stop.
type Scene struct {
	play.Released
	PluckMM  float64 // where it is plucked, from the stop
	WatchedS float64 // how long contacts are looked for
}

// Contact is one time that the string lies on one crown.
type Contact struct {
	Number    int // from 1, in the order they begin
	Crown     int // index of the crown
	Fret      int
	FromStep  int
	ToStep    int // the last step with a force
	ImpulseNS float64
}

// Moment is the string at one step of the run.
type Moment struct {
	Step  int
	TimeS float64
	Why   string    // what makes it worth a look; "" for one of many
	ZMM   []float64 // its heights above the rest line at the recording's places
	On    []Touch   // the crowns it is lying on
}

// Touch is a crown under the string and the force it gives in that step.
type Touch struct {
	Crown  int
	Fret   int
	ForceN float64
}

// Recording is one pluck followed.
type Recording struct {
	PlaceMM  []float64 // from the stop (0) to the saddle, the crowns' own and the pluck's among them
	StepS    float64
	PeriodS  float64   // the free period 2L/c of the ideal string
	Contacts []Contact // within the time watched
	Film     []Moment  // evenly through the film
	Strip    []Moment  // few, each with its reason, in order
}

// Sizes of a recording.
const (
	filmPeriods = 3   // how much is filmed, in free periods
	filmMoments = 150 // about as many of them
	places      = 48  // even places along the string, beside the crowns
	joinedS     = 1e-4
	lookEvery   = 256 // steps between looks at whether the work was called off
)

// force is what one crown gave in one step.
type force struct {
	step, crown int
	n           float64
}

// Record follows the pluck: all contacts within the time watched, the film of
// the first three free periods, and the strip of moments worth a look (see
// moments). Two forces of one crown less than 0.1 ms apart are one contact. The
// error is that of ctx. Cost: play's own run, and the bare modes twice through
// the film.
func Record(ctx context.Context, s Scene) (*Recording, error) {
	t := &Recording{StepS: s.Bed.StepS, PeriodS: s.Bed.Span.PeriodS(), PlaceMM: placesOf(s)}
	var forces []force
	_, err := s.Bed.SimulateForces(ctx, s.StartMM, s.FloorMM, int(math.Round(s.WatchedS/t.StepS)), func(step, crown int, n float64) {
		forces = append(forces, force{step, crown, n})
	})
	if err != nil {
		return nil, err
	}
	t.contacts(s, forces)
	strip, err := t.moments(ctx, s, forces)
	if err != nil {
		return nil, err
	}
	want := map[int]*Moment{}
	for i := range strip {
		want[strip[i].Step] = &strip[i]
	}
	last := t.lastStep()
	every := max(1, last/filmMoments)
	end := last
	for step := range want {
		end = max(end, step)
	}
	rows := shapes(s.Bed, t.PlaceMM)
	err = again(ctx, s, forces, end, func(step int, q []float64, on []Touch) {
		even := step <= last && step%every == 0
		m := Moment{Step: step, TimeS: float64(step) * t.StepS}
		if even || want[step] != nil {
			m.On = append(m.On, on...)
			for _, row := range rows {
				m.ZMM = append(m.ZMM, floats.Dot(row, q))
			}
		}
		if w := want[step]; w != nil {
			m.Why = w.Why
			*w = m
		}
		if even {
			m.Why = ""
			t.Film = append(t.Film, m)
		}
	})
	t.Strip = strip
	return t, err
}

// lastStep is the film's last.
func (t *Recording) lastStep() int { return int(math.Ceil(filmPeriods * t.PeriodS / t.StepS)) }

// placesOf are even places along the string, the crowns' own and the pluck's.
func placesOf(s Scene) []float64 {
	out := append([]float64{s.PluckMM}, s.XMM...)
	for i := range places + 1 {
		out = append(out, s.Bed.Span.LengthMM*float64(i)/places)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// shapes are the modes' shapes at places: row j holds sin(nπx_j/L).
func shapes(b *play.Bed, x []float64) [][]float64 {
	rows := make([][]float64, len(x))
	for j := range x {
		rows[j] = make([]float64, len(b.Omega))
		for n := range rows[j] {
			rows[j][n] = math.Sin(float64(n+1) * math.Pi * x[j] / b.Span.LengthMM)
		}
	}
	return rows
}

// contacts gathers the forces into contacts.
func (t *Recording) contacts(s Scene, forces []force) {
	open := make(map[int]int) // the latest contact of each crown
	apart := int(math.Round(joinedS / t.StepS))
	for _, f := range forces {
		i, ok := open[f.crown]
		if !ok || f.step-t.Contacts[i].ToStep > apart {
			i = len(t.Contacts)
			open[f.crown] = i
			t.Contacts = append(t.Contacts, Contact{Number: i + 1, Crown: f.crown, Fret: s.Frets[f.crown], FromStep: f.step})
		}
		t.Contacts[i].ToStep = f.step
		t.Contacts[i].ImpulseNS += f.n * t.StepS
	}
}

// again goes through a run by its forces and shows every step, the release
// included.
func again(ctx context.Context, s Scene, forces []force, steps int, see func(step int, q []float64, on []Touch)) error {
	m := s.Bed.Release(s.StartMM)
	see(0, m.Now, nil)
	var on []Touch
	for step := 1; step <= steps; step++ {
		if step%lookEvery == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		m.Step()
		on = on[:0]
		for ; len(forces) > 0 && forces[0].step == step; forces = forces[1:] {
			m.Push(forces[0].crown, forces[0].n)
			on = append(on, Touch{Crown: forces[0].crown, Fret: s.Frets[forces[0].crown], ForceN: forces[0].n})
		}
		see(step, m.Now, on)
	}
	return ctx.Err()
}
