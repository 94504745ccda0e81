package answer

import (
	"bytes"
	"encoding/json"
	"iter"
	"math"
	"strconv"

	"ringtrue/internal/drift"
)

// Signals are the points of one chart that call for a look, by index. A long
// series has hundreds of thousands: words are put to them only as they are asked for.
type Signals struct {
	found   []drift.Signal
	of      []drift.Point // what the chart's points are called; by index
	values  []float64     // the chart's points, the first of them at index first
	first   int
	grouped bool
}

// Len is how many there are.
func (s Signals) Len() int { return len(s.found) }

// At is signal i, from 0.
func (s Signals) At(i int) SignalAnswer {
	f := s.found[i]
	p := &s.of[f.Index-1]
	return SignalAnswer{
		Index: f.Index, Rule: f.Rule, Since: f.Since, Value: s.values[f.Index-s.first], Label: p.Name(s.grouped), Date: day(p.Date),
	}
}

// All goes through them, counting from 0.
func (s Signals) All() iter.Seq2[int, SignalAnswer] {
	return func(yield func(int, SignalAnswer) bool) {
		for i := range s.found {
			if !yield(i, s.At(i)) {
				return
			}
		}
	}
}

// MarshalJSON prints them as a list of SignalAnswer. It escapes no HTML: the
// encoder that called does, where it is to.
func (s Signals) MarshalJSON() ([]byte, error) {
	all := make([]SignalAnswer, s.Len())
	for i := range all {
		all[i] = s.At(i)
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(all)
	return b.Bytes(), err
}

// Numbers are values of which some may be missing: NaN prints as null.
type Numbers []float64

// MarshalJSON prints the numbers.
func (n Numbers) MarshalJSON() ([]byte, error) {
	b := append(make([]byte, 0, 16*len(n)+2), '[')
	for i, v := range n {
		if i > 0 {
			b = append(b, ',')
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			b = append(b, "null"...)
		} else {
			b = strconv.AppendFloat(b, v, 'g', -1, 64)
		}
	}
	return append(b, ']'), nil
}
