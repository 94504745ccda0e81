package neck

import (
	"fmt"
	"strconv"
	"strings"

	"ringtrue/internal/unit"
)

// table is one of a file's tables, read into a T.
type table[T any] struct {
	name     string
	required bool
	needs    string // of a required table: the keys it cannot do without
	fields   []field[T]
}

// field is one key of a table: its definition, and how it is read into a T.
type field[T any] struct {
	name     string
	value    string // what is written: "length", "pair of lengths"
	unit     string
	required bool
	sample   string // of a required key: a value in TOML
	def      string // the default in TOML
	none     string // the default in words where there is no such value
	bounds   string
	meaning  string
	parts    []Key // of a value that is a table, or a list of them
	read     func(d *decoder, n *node, key string, to *T)
}

// must makes a field required; sample is a value such as a maker would write.
func (f field[T]) must(sample string) field[T] {
	f.required, f.sample = true, sample
	return f
}

// or gives a field a default, in TOML.
func (f field[T]) or(def string) field[T] {
	f.def = def
	return f
}

// orElse says in words what holds where the key is not given.
func (f field[T]) orElse(words string) field[T] {
	f.none = words
	return f
}

// names lists the keys of a table.
func names[T any](fields []field[T]) []string {
	out := make([]string, len(fields))
	for i, f := range fields {
		out[i] = f.name
	}
	return out
}

// readFields reads the keys of a table, or their defaults.
func readFields[T any](d *decoder, n *node, prefix string, fields []field[T], to *T) {
	for _, f := range fields {
		key := join(prefix, f.name)
		v := n.child(f.name)
		if v == nil && f.required {
			d.bad[key] = true
			if d.whole {
				d.fault(n.line, key, "is missing; write one such as %s = %s", f.name, f.sample)
			}
			continue
		}
		if v == nil && f.def != "" {
			v = defaultNode(f.def)
			d.assumed = append(d.assumed, key)
		}
		if v != nil {
			f.read(d, v, key, to)
		}
	}
}

// span is the range of sane values of a size, both ends included.
type span struct{ lo, hi float64 }

// text prints the span with its unit: "0.1 to 30 mm".
func (s span) text(u string) string {
	t := unit.Decimal(s.lo) + " to " + unit.Decimal(s.hi)
	if u != "" {
		t += " " + u
	}
	return t
}

func (s span) holds(v float64) bool { return v >= s.lo && v <= s.hi }

// size is a field of one size.
func size[T any](name string, q unit.Quantity, s span, meaning string, at func(*T) *float64) field[T] {
	return field[T]{name: name, value: q.String(), unit: q.Unit(), bounds: s.text(q.Unit()), meaning: meaning,
		read: func(d *decoder, n *node, key string, to *T) {
			if v, ok := d.size(n, key, q, s); ok {
				*at(to) = v
			}
		}}
}

// length is a field of one length.
func length[T any](name string, s span, meaning string, at func(*T) *float64) field[T] {
	return size(name, unit.Length, s, meaning, at)
}

// pair is a field of two lengths; one value serves for both.
func pair[T any](name string, s span, meaning string, at func(*T) *Pair) field[T] {
	return field[T]{name: name, value: "length or pair of lengths", unit: "mm", bounds: s.text("mm"), meaning: meaning,
		read: func(d *decoder, n *node, key string, to *T) {
			if p, ok := d.pair(n, key, s); ok {
				*at(to) = p
			}
		}}
}

// whole is a field of a whole number.
func whole[T any](name string, lo, hi int, meaning string, at func(*T) *int) field[T] {
	return field[T]{name: name, value: "whole number", bounds: fmt.Sprintf("%d to %d", lo, hi), meaning: meaning,
		read: func(d *decoder, n *node, key string, to *T) {
			if v, ok := d.wholeNumber(n, key, lo, hi); ok {
				*at(to) = v
			}
		}}
}

// number is a field of a plain number, whose unit its meaning tells.
func number[T any](name, unitName string, s span, meaning string, at func(*T) *float64) field[T] {
	return field[T]{name: name, value: "number", unit: unitName, bounds: s.text(unitName), meaning: meaning,
		read: func(d *decoder, n *node, key string, to *T) {
			if v, ok := d.number(n, key, s); ok {
				*at(to) = v
			}
		}}
}

// yesNo is a field of true or false.
func yesNo[T any](name, meaning string, at func(*T) *bool) field[T] {
	return field[T]{name: name, value: "true or false", meaning: meaning,
		read: func(d *decoder, n *node, key string, to *T) {
			if n.form != boolForm {
				d.fault(n.line, key, "is %s; write true or false", n.form)
				return
			}
			*at(to) = n.text == "true"
		}}
}

// text is a field of a short text.
func text[T any](name, meaning string, at func(*T) *string) field[T] {
	return field[T]{name: name, value: "text", meaning: meaning,
		read: func(d *decoder, n *node, key string, to *T) {
			if v, ok := d.text(n, key); ok {
				*at(to) = v
			}
		}}
}

// oneOf is a field of one of some words.
func oneOf[T any](name string, words []string, meaning string, at func(*T) *string) field[T] {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = strconv.Quote(w)
	}
	list := strings.Join(quoted[:len(words)-1], ", ") + " or " + quoted[len(words)-1]
	return field[T]{name: name, value: list, meaning: meaning,
		read: func(d *decoder, n *node, key string, to *T) {
			if n.form != textForm || !contains(words, n.text) {
				d.fault(n.line, key, "%s is unknown here; write %s", n.quoted(), list)
				return
			}
			*at(to) = n.text
		}}
}

// choice is a field of one of two words, the second of which sets the flag.
func choice[T any](name, plain, flagged, meaning string, at func(*T) *bool) field[T] {
	return field[T]{name: name, value: fmt.Sprintf("%q or %q", plain, flagged), meaning: meaning,
		read: func(d *decoder, n *node, key string, to *T) {
			if n.form != textForm || (n.text != plain && n.text != flagged) {
				d.fault(n.line, key, "%s is unknown here; write %q or %q", n.quoted(), plain, flagged)
				return
			}
			*at(to) = n.text == flagged
		}}
}
