package drift

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"unicode/utf8"
)

// SignalList is what rules found, by index.
type SignalList []Signal

// AppendJSON prints the signals to the end of b, as encoding/json does, a third as
// slow: where every point of 100,000 necks is a signal they are most of an answer.
func (l SignalList) AppendJSON(b []byte) []byte {
	b = append(b, '[')
	for i := range l {
		s := &l[i]
		if i > 0 {
			b = append(b, ',')
		}
		b = strconv.AppendInt(append(b, `{"index":`...), int64(s.Index), 10)
		b = appendText(append(b, `,"rule":`...), s.Rule)
		if s.Since != 0 {
			b = strconv.AppendInt(append(b, `,"since":`...), int64(s.Since), 10)
		}
		if size := math.Abs(s.Value); size == 0 || size >= 1e-6 && size < 1e21 {
			b = strconv.AppendFloat(append(b, `,"value":`...), s.Value, 'f', -1, 64)
		} else {
			b = appendAny(append(b, `,"value":`...), s.Value)
		}
		if s.Label != "" {
			b = appendText(append(b, `,"label":`...), s.Label)
		}
		if s.Date != "" {
			b = appendText(append(b, `,"date":`...), s.Date)
		}
		b = append(b, '}')
	}
	return append(b, ']')
}

// appendText prints a word: plain ones as they are.
func appendText(b []byte, text string) []byte {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c == '"' || c == '\\' || c >= utf8.RuneSelf {
			return appendAny(b, text)
		}
	}
	return append(append(append(b, '"'), text...), '"')
}

// appendAny prints what encoding/json can print without escaping HTML.
func appendAny(b []byte, v any) []byte {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return append(b, "null"...) // a value that is no number
	}
	return append(b, bytes.TrimSuffix(out.Bytes(), []byte{'\n'})...)
}
