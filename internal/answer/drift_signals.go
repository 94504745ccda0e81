package answer

import (
	"bytes"
	"encoding/json"
	"iter"
	"math"
	"strconv"
	"time"
	"unicode/utf8"

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
		Index: f.Index, Rule: f.Rule, Since: f.Since, Value: s.values[f.Index-s.first], Label: labelOf(p, s.grouped), Date: day(p.Date),
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

// MarshalJSON prints them as a list of SignalAnswer.
func (s Signals) MarshalJSON() ([]byte, error) {
	return append(s.AppendJSON([]byte{'['}, 0, s.Len()), ']'), nil
}

// AppendJSON prints signals from and on, as far as to, as encoding/json prints a
// SignalAnswer.
func (s Signals) AppendJSON(b []byte, from, to int) []byte {
	var date time.Time // the last one printed, and its text: neighbours share it
	var dated []byte
	for i := from; i < to; i++ {
		if i > from {
			b = append(b, ',')
		}
		f := &s.found[i]
		p := &s.of[f.Index-1]
		b = strconv.AppendInt(append(b, `{"index":`...), int64(f.Index), 10)
		b = appendText(append(b, `,"rule":`...), f.Rule)
		if f.Since != 0 {
			b = strconv.AppendInt(append(b, `,"since":`...), int64(f.Since), 10)
		}
		b = appendNumber(append(b, `,"value":`...), s.values[f.Index-s.first])
		if label := labelOf(p, s.grouped); label != "" {
			b = appendText(append(b, `,"label":`...), label)
		}
		if !p.Date.IsZero() {
			if dated == nil || !p.Date.Equal(date) {
				date, dated = p.Date, append(p.Date.AppendFormat(append(dated[:0], '"'), time.DateOnly), '"')
			}
			b = append(append(b, `,"date":`...), dated...)
		}
		b = append(b, '}')
	}
	return b
}

// labelOf is what a point is called: its own label, or its group's.
func labelOf(p *drift.Point, grouped bool) string {
	if grouped {
		return p.Group
	}
	return p.Label
}

// appendNumber prints a number as encoding/json does: shortest, with an exponent
// only where it is very small or large (ECMA-262, Number::toString); null where
// there is no number.
func appendNumber(b []byte, v float64) []byte {
	size := math.Abs(v)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return append(b, "null"...)
	}
	if size == 0 || size >= 1e-6 && size < 1e21 {
		return strconv.AppendFloat(b, v, 'f', -1, 64)
	}
	b = strconv.AppendFloat(b, v, 'e', -1, 64)
	if n := len(b); b[n-4] == 'e' && b[n-2] == '0' { // e-09 is e-9 there
		b[n-2] = b[n-1]
		b = b[:n-1]
	}
	return b
}

// appendText prints a word as encoding/json does without escaping HTML.
func appendText(b []byte, text string) []byte {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c == '"' || c == '\\' || c >= utf8.RuneSelf {
			return appendEscaped(b, text)
		}
	}
	return append(append(append(b, '"'), text...), '"')
}

func appendEscaped(b []byte, text string) []byte {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	if err := e.Encode(text); err != nil {
		return append(b, `""`...) // cannot be: any string can be printed
	}
	return append(b, bytes.TrimSuffix(out.Bytes(), []byte{'\n'})...)
}

// Numbers are values of which some may be missing: NaN prints as null.
type Numbers []float64

// Len is how many there are.
func (n Numbers) Len() int { return len(n) }

// MarshalJSON prints the numbers.
func (n Numbers) MarshalJSON() ([]byte, error) {
	return append(n.AppendJSON(append(make([]byte, 0, 16*len(n)+2), '['), 0, len(n)), ']'), nil
}

// AppendJSON prints numbers from and on, as far as to.
func (n Numbers) AppendJSON(b []byte, from, to int) []byte {
	for i, v := range n[from:to] {
		if i > 0 {
			b = append(b, ',')
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			b = append(b, "null"...)
		} else {
			b = strconv.AppendFloat(b, v, 'g', -1, 64)
		}
	}
	return b
}
