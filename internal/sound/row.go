package sound

import "math"

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
