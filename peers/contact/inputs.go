package main

import (
	"bufio"
	"fmt"
	"math"
	"os"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
)

// seconds is how long each note is followed.
const seconds = 0.25

// note is one note under one touch: what everyone works on.
type note struct {
	name     string
	span     play.Span
	damping  stringset.Law
	pluck    play.Pluck
	x, floor []float64 // of the crowns beyond the stop, from the stop and above the rest line
	rateHz   float64
	steps    int
	start    []float64 // the modes of the triangle
	barrier  *play.Barrier
}

// readNotes lays out every note of a neck file under a touch: perfect crowns,
// released from the triangle taken away from the board.
func readNotes(file, touch string) ([]note, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	model, err := neck.Parse(file, text)
	if err != nil {
		return nil, err
	}
	layout, err := geometry.New(model)
	if err != nil {
		return nil, err
	}
	var notes []note
	for _, t := range model.Setup.Touch {
		if t.Name != touch {
			continue
		}
		for i := range model.Strings.Set {
			more, err := stringNotes(model, layout, i, t)
			if err != nil {
				return nil, err
			}
			notes = append(notes, more...)
		}
	}
	if len(notes) == 0 {
		return nil, fmt.Errorf("%s: no note under the touch %q", file, touch)
	}
	return notes, nil
}

func stringNotes(m neck.Model, l *geometry.Layout, i int, touch neck.Touch) ([]note, error) {
	lane := float64(i + 1)
	s, err := stringset.Tune(m.Strings.Set[i], l.LaneScale(lane), stringset.ConcertA)
	if err != nil {
		return nil, err
	}
	under := play.Lane{String: i + 1, ScaleMM: l.LaneScale(lane)}
	for f := 1; f <= l.LastFret(); f++ {
		under.Crowns = append(under.Crowns, play.Crown{Fret: f, XMM: l.LaneX(f, lane), ZMM: m.Setup.Relief * l.Bow(f, m.Setup.ReliefTo, lane)})
	}
	setup := play.Setup{NutMM: m.Setup.Nut[i], ActionMM: m.Setup.Action[i], ActionFret: 12}
	rest, err := under.Rest(setup)
	if err != nil {
		return nil, err
	}
	var notes []note
	for _, stop := range under.Stops(setup, rest)[:l.LastFret()] {
		n := note{name: fmt.Sprintf("string %d, fret %d", i+1, stop.Fret), damping: stringset.Law{Base: m.Strings.Damping.Base, Square: m.Strings.Damping.Square}}
		n.span = play.Span{LengthMM: stop.LengthMM, TensionN: s.TensionN, MassGPerM: s.MassGPerM, StiffnessNMM2: s.StiffnessNMM2, Decay: n.damping}
		for _, c := range under.Crowns[stop.Beyond:] {
			n.x, n.floor = append(n.x, c.XMM-stop.XMM), append(n.floor, -stop.Gap(c, rest))
		}
		if n.pluck, err = play.PluckOf(touch, s.TensionN, stop.LengthMM); err != nil {
			return nil, err
		}
		modes, err := play.NewModes(n.span)
		if err != nil {
			return nil, err
		}
		n.rateHz, n.steps = math.Round(1/modes.StepS), int(math.Round(seconds/modes.StepS))
		n.barrier = play.NewBarrier(modes, n.x)
		n.start = n.triangle(len(modes.Omega))
		notes = append(notes, n)
	}
	return notes, nil
}

// triangle gives m modes of the plucked triangle.
func (n note) triangle(m int) []float64 {
	l, x0 := n.span.LengthMM, n.pluck.AtMM
	q := make([]float64, m)
	for i := range q {
		k := float64(i + 1)
		q[i] = n.pluck.HeightMM * 2 * l * l / (math.Pi * math.Pi * k * k * x0 * (l - x0)) * math.Sin(k*math.Pi*x0/l)
	}
	return q
}

// writeNotes puts the notes where the peers read them; numbers keep every bit.
func writeNotes(path string, notes []note) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	fmt.Fprintln(w, len(notes))
	for _, n := range notes {
		for _, v := range []float64{n.span.LengthMM, n.span.TensionN, n.span.MassGPerM, n.span.StiffnessNMM2, n.damping.Base, n.damping.Square,
			n.pluck.AtMM, n.pluck.HeightMM, n.rateHz} {
			fmt.Fprintf(w, "%.17g ", v)
		}
		fmt.Fprintln(w, n.steps, len(n.x))
		for _, row := range [][]float64{n.x, n.floor} {
			for _, v := range row {
				fmt.Fprintf(w, "%.17g ", v)
			}
			fmt.Fprintln(w)
		}
	}
	if err := w.Flush(); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
