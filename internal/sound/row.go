package sound

import (
	"context"
	"math"

	"ringtrue/internal/play"
)

// Row is notes one after another in two channels, with silence between them.
type Row struct {
	Left, Right []float64
}

// SecondsNow is how long the row is so far.
func (r *Row) SecondsNow() float64 { return float64(len(r.Left)) / RateHz }

// Rest adds silence.
func (r *Row) Rest(seconds float64) {
	n := int(math.Round(seconds * RateHz))
	r.Left, r.Right = append(r.Left, make([]float64, n)...), append(r.Right, make([]float64, n)...)
}

// Add adds a note: to both channels, or to the right one only.
func (r *Row) Add(s []float64, rightOnly bool) {
	r.Right = append(r.Right, s...)
	if rightOnly {
		s = make([]float64, len(s))
	}
	r.Left = append(r.Left, s...)
}

// Ticks of the row: what they sound like, and how far they stand apart.
const (
	tickHz   = 1500
	tickS    = 0.012
	tickEach = 0.05
	tickPeak = 0.2 // of full scale
)

// Ticks puts count short ticks into the last seconds of the row, both channels.
// They fill the row's end evenly and must find room there.
func (r *Row) Ticks(count int) {
	for t := range count {
		from := len(r.Left) - int(float64(count-t)*tickEach*RateHz)
		for i := range int(tickS * RateHz) {
			x := float64(i) / RateHz
			v := tickPeak * math.Sin(2*math.Pi*tickHz*x) * math.Exp(-x*300)
			r.Left[from+i] += v
			r.Right[from+i] += v
		}
	}
}

// Silences of a row, in s: between a note before and after, before every note of a
// whole neck, where the ticks stand, and before every string.
const (
	pauseS        = 0.5
	beforeNoteS   = 0.2
	beforeStringS = 0.6
)

// ticksOf is how many ticks announce a note.
func ticksOf(verdict play.Verdict) int {
	return map[play.Verdict]int{play.Grazes: 1, play.Buzzes: 2, play.Chokes: 3}[verdict]
}

// Compare is the note at a fret of a listener's neck after that of the neck it is
// compared with.
func (l *Listener) Compare(ctx context.Context, fret int) ([]float64, []Heard, error) {
	first, before, err := l.Like.Note(ctx, fret)
	if err != nil {
		return nil, nil, err
	}
	second, after, err := l.Note(ctx, fret)
	after.TimeS = before.SecondsS + pauseS
	all := append(first, make([]float64, int(pauseS*RateHz))...)
	return append(all, second...), []Heard{before, after}, err
}

// All is every note of the neck in turn, string by string: clear ones in both
// channels, all others in the right one only, announced by one tick (grazes), two
// (buzzes) or three (chokes, and is silent). Each note stands at its own full
// scale. tell, where given, is told how many are done, as by play.Each.
func (l *Listener) All(ctx context.Context, tell func(done, of int)) (*Row, []Heard, error) {
	type piece struct{ k, stop int }
	var pieces []piece
	for k, j := range l.Judged {
		for i := range j.Stops {
			pieces = append(pieces, piece{k, i})
		}
	}
	sounds, notes := make([][]float64, len(pieces)), make([]Heard, len(pieces))
	err := play.Each(ctx, len(pieces), tell, func(i int) (err error) {
		sounds[i], notes[i], err = l.hear(ctx, pieces[i].k, pieces[i].stop)
		return err
	})
	if err != nil {
		return nil, nil, err
	}
	row := &Row{}
	for i := range notes {
		n := &notes[i]
		if i > 0 && n.String != notes[i-1].String {
			row.Rest(beforeStringS)
		}
		row.Rest(beforeNoteS)
		n.Ticks = ticksOf(n.Verdict)
		row.Ticks(n.Ticks)
		n.TimeS = row.SecondsNow()
		row.Add(sounds[i], n.Ticks > 0)
	}
	return row, notes, nil
}
