package main

import (
	"bufio"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"

	"ringtrue/internal/level"
)

const (
	zoneMM = 0.03
	frets  = 24
	across = 6
)

// inputs are what everyone works on.
type inputs struct {
	lanes         []level.Lane
	typical, worn [][]level.Lane
}

// drawInputs makes lanes as fretted necks have them: 24 frets on 648 mm, crowns
// scattered by 8 µm (worn: 20 µm), none to four bad frets.
func drawInputs(laneCount, neckCount int) inputs {
	r := rand.New(rand.NewPCG(24, 6))
	var in inputs
	for k := 0; len(in.lanes) < laneCount; k++ {
		in.lanes = append(in.lanes, neck(r, 0.008, k%5)...)
	}
	in.lanes = in.lanes[:laneCount]
	for k := range neckCount {
		in.typical = append(in.typical, neck(r, 0.008, k%5))
		in.worn = append(in.worn, neck(r, 0.020, k%5))
	}
	return in
}

func neck(r *rand.Rand, scatter float64, bad int) []level.Lane {
	off := make([]float64, frets)
	for range bad {
		off[r.IntN(frets)] += 0.08 * (r.Float64() - 0.3)
	}
	lanes := make([]level.Lane, across)
	for k := range lanes {
		l := level.Lane{Lane: float64(k + 1)}
		tilt := 1e-4 * r.NormFloat64()
		for f := range frets {
			x := 648 * (1 - math.Exp2(-float64(f+1)/12))
			l.Frets = append(l.Frets, f+1)
			l.X = append(l.X, x)
			l.D = append(l.D, 0.1+tilt*x+scatter*r.NormFloat64()+off[f]*(1+0.1*r.NormFloat64()))
		}
		lanes[k] = l
	}
	return lanes
}

// write puts the lanes where the peers read them; numbers keep every bit.
func (in inputs) write(dir string) error {
	return create(filepath.Join(dir, "lanes.txt"), func(w *bufio.Writer) {
		fmt.Fprintln(w, len(in.lanes), frets, zoneMM)
		for _, l := range in.lanes {
			numbers(w, l.X)
			numbers(w, l.D)
		}
	})
}

// writeNecks writes necks with how many sizes of refit each is asked for.
func writeNecks(path string, necks [][]level.Lane, sizes []int) error {
	return create(path, func(w *bufio.Writer) {
		fmt.Fprintln(w, len(necks), across, frets, zoneMM)
		for k, lanes := range necks {
			fmt.Fprintln(w, sizes[k])
			numbers(w, lanes[0].X)
			for _, l := range lanes {
				numbers(w, l.D)
			}
		}
	})
}

// writeProgram writes the search for the best `size` refits as a mixed-integer
// program in CPLEX LP format: u_f = 1 where fret f is out.
func writeProgram(path string, lanes []level.Lane, size int) error {
	const big = 0.5 // mm; no line of a best plan passes a left-out crown farther off
	return create(path, func(w *bufio.Writer) {
		fmt.Fprint(w, "Minimize\n total:")
		each(lanes, func(k, f int, _, _ float64) { fmt.Fprintf(w, " + r%d_%d\n", k, f) })
		fmt.Fprintln(w, "Subject To")
		each(lanes, func(k, f int, s, d float64) {
			fmt.Fprintf(w, " h%d_%d: a%d + %.17g b%d + r%d_%d + %g u%d >= %.17g\n", k, f, k, s, k, k, f, big, f, d)
			fmt.Fprintf(w, " l%d_%d: a%d + %.17g b%d - %g u%d <= %.17g\n", k, f, k, s, k, big, f, d+zoneMM)
		})
		fmt.Fprint(w, " out:")
		for f := range frets {
			fmt.Fprintf(w, " + u%d", f+1)
		}
		fmt.Fprintf(w, " = %d\nBounds\n", size)
		for k := range lanes {
			fmt.Fprintf(w, " a%d free\n b%d free\n", k, k)
		}
		fmt.Fprintln(w, "Binary")
		for f := range frets {
			fmt.Fprintf(w, " u%d\n", f+1)
		}
		fmt.Fprintln(w, "End")
	})
}

func each(lanes []level.Lane, do func(k, fret int, s, d float64)) {
	for k, l := range lanes {
		for i, f := range l.Frets {
			do(k, f, (l.X[i]-l.X[0])/(l.X[len(l.X)-1]-l.X[0]), l.D[i])
		}
	}
}

func numbers(w *bufio.Writer, v []float64) {
	for i, x := range v {
		if i > 0 {
			w.WriteByte(' ')
		}
		fmt.Fprintf(w, "%.17g", x)
	}
	w.WriteByte('\n')
}

func create(path string, fill func(*bufio.Writer)) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	fill(w)
	if err := w.Flush(); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
