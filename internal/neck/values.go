package neck

import (
	"strconv"
	"strings"
	"unicode"

	"ringtrue/internal/unit"
)

// quoted prints a node inside a message.
func (n *node) quoted() string {
	switch n.form {
	case tableForm, arrayForm:
		return n.form.String()
	case textForm:
		return unit.Quote(n.text)
	}
	return n.text
}

// size reads one size with its unit.
func (d *decoder) size(n *node, key string, q unit.Quantity, s span) (float64, bool) {
	bare := n.form == integerForm || n.form == floatForm
	switch {
	case bare && q == unit.Percent:
		return d.number(n, key, s)
	case bare:
		if _, err := unit.Number(n.text); err != nil {
			d.fault(n.line, key, "%s", err)
		} else {
			d.fault(n.line, key, "%s", q.Bare(n.text, s.holds))
		}
		return 0, false
	case n.form != textForm:
		d.fault(n.line, key, `is %s; write a %s with its unit in quotes, as "%s %s"`, n.form, q, exampleNumber(s), q.Unit())
		return 0, false
	}
	v, err := q.Parse(n.text)
	if _, number := unit.Number(n.text); err != nil && number == nil && q != unit.Percent {
		err = q.Bare(n.text, s.holds)
	}
	if err != nil {
		d.fault(n.line, key, "%s", err)
		return 0, false
	}
	if !s.holds(v) {
		d.fault(n.line, key, "%q is outside %s", n.text, s.text(q.Unit()))
		return 0, false
	}
	return v, true
}

// exampleNumber is a number that a span holds, for messages.
func exampleNumber(s span) string {
	if s.holds(1) {
		return "1"
	}
	return unit.Decimal(s.lo)
}

// pair reads one length for both ends or a list of two.
func (d *decoder) pair(n *node, key string, s span) (Pair, bool) {
	if n.form != arrayForm {
		v, ok := d.size(n, key, unit.Length, s)
		return Pair{v, v}, ok
	}
	if len(n.items) != 2 {
		d.fault(n.line, key, "has %d values; write one or two", len(n.items))
		return Pair{}, false
	}
	a, okA := d.size(n.items[0], key, unit.Length, s)
	b, okB := d.size(n.items[1], key, unit.Length, s)
	return Pair{a, b}, okA && okB
}

// lengths reads a list of lengths, no more than there can be strings; nil
// where it is longer.
func (d *decoder) lengths(n *node, key string, s span) (out []float64, ok bool) {
	return d.sizes(n, key, unit.Length, s)
}

// sizes reads a list of sizes, no more than there can be strings; nil where it
// is longer.
func (d *decoder) sizes(n *node, key string, q unit.Quantity, s span) (out []float64, ok bool) {
	if len(n.items) > MaxStrings {
		d.fault(n.line, key, "has %d values; a neck has at most %d strings", len(n.items), MaxStrings)
		return nil, false
	}
	out, ok = []float64{}, true
	for _, item := range n.items {
		v, good := d.size(item, key, q, s)
		out, ok = append(out, v), ok && good
	}
	return out, ok
}

// number reads a plain number.
func (d *decoder) number(n *node, key string, s span) (float64, bool) {
	if n.form != integerForm && n.form != floatForm {
		if _, err := unit.Number(n.text); err == nil && n.form == textForm {
			d.fault(n.line, key, "%q is a text; write %s without quotes", n.text, strings.TrimSpace(n.text))
		} else {
			d.fault(n.line, key, "%s is not a number; write it like %s", n.quoted(), unit.Decimal(s.lo+(s.hi-s.lo)/4))
		}
		return 0, false
	}
	v, err := unit.Number(n.text)
	if err != nil {
		d.fault(n.line, key, "%s", err)
		return 0, false
	}
	if !s.holds(v) {
		d.fault(n.line, key, "%s is outside %s", n.text, s.text(""))
		return 0, false
	}
	return v, true
}

// wholeNumber reads one whole number.
func (d *decoder) wholeNumber(n *node, key string, lo, hi int) (int, bool) {
	v, ok := d.number(n, key, span{-1e9, 1e9})
	if !ok {
		return 0, false
	}
	i := int(v)
	if n.form != integerForm {
		if float64(i) == v {
			d.fault(n.line, key, "%s is not a whole number; write %d", n.text, i)
		} else {
			d.fault(n.line, key, "%s is not a whole number; use %d to %d", n.text, lo, hi)
		}
		return 0, false
	}
	if i < lo || i > hi {
		d.fault(n.line, key, "%d is outside %d to %d", i, lo, hi)
		return 0, false
	}
	return i, true
}

// longestText is more than any name of a neck, a wood or an alloy needs.
const longestText = 80

// text reads a short text.
func (d *decoder) text(n *node, key string) (string, bool) {
	switch {
	case n.form != textForm:
		d.fault(n.line, key, "is %s; write a text in quotes", n.form)
	case strings.TrimSpace(n.text) == "":
		d.fault(n.line, key, "is empty; write a text, or leave the key out")
	case len([]rune(n.text)) > longestText:
		d.fault(n.line, key, "is longer than %d characters", longestText)
	case strings.ContainsFunc(n.text, unicode.IsControl):
		d.fault(n.line, key, "%s has a control character", strconv.Quote(n.text))
	default:
		return strings.TrimSpace(n.text), true
	}
	return "", false
}

// subTable reads a value that is itself a table, in braces or under its own
// header.
func subTable[T any](d *decoder, n *node, key string, fields []field[T], to *T) bool {
	if n.form != tableForm {
		d.fault(n.line, key, "is %s; write a table, as { %s = %s }", n.form, fields[0].name, firstOf(fields[0]))
		return false
	}
	before := len(d.faults)
	d.unknownKeys(key, n, names(fields))
	readFields(d, n, key, fields, to)
	return len(d.faults) == before
}

func firstOf[T any](f field[T]) string {
	if f.sample != "" {
		return f.sample
	}
	return f.def
}
