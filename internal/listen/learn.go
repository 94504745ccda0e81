package listen

import (
	"fmt"
	"strconv"
	"strings"

	"ringtrue/internal/neck"
)

// Learn writes a [strings] table with what was heard of each string: stiffness, and
// damping's base and square; the rest as the neck file has it. It is read by
// neck.ParseSet. Error: nothing could be told of any string.
func (out *Report) Learn(m neck.Model) (string, error) {
	told := map[int]String{}
	for _, s := range out.Strings {
		if s.Learned() {
			told[s.String] = s
		}
	}
	if len(told) == 0 {
		return "", errNothing
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# Strings as heard on %s: %d of %d notes. For play --set; or copy set into the neck file.\n", oneLine(m.Name), out.Heard, out.Expected)
	fmt.Fprintf(&b, "# damping: each partial dies away by base + square f^2, in 1/s, f in Hz.\n[strings]\nset = [\n")
	for i, of := range m.Strings.Set {
		fmt.Fprintf(&b, "  { %s },", strings.Join(entry(of, told[i+1]), ", "))
		if s, ok := told[i+1]; ok {
			fmt.Fprintf(&b, " # heard: %d notes", s.Heard)
		} else {
			b.WriteString(" # not heard")
		}
		b.WriteString("\n")
	}
	b.WriteString("]\n")
	return b.String(), nil
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// entry is a string's keys.
func entry(of neck.String, s String) (keys []string) {
	add := func(key, value string) { keys = append(keys, key+" = "+value) }
	sized := func(key string, v float64, unit string) {
		if v > 0 {
			add(key, strconv.Quote(plain(v)+" "+unit))
		}
	}
	add("pitch", strconv.Quote(of.Pitch))
	sized("gauge", of.Gauge, "mm")
	if of.Wound {
		add("kind", `"wound"`)
		sized("core", of.Core, "mm")
		if of.Wrap != "" {
			add("wrap", strconv.Quote(of.Wrap))
		}
	}
	sized("tension", of.Tension, "N")
	sized("mass", of.Mass, "g/m")
	stiffness := of.Stiffness
	if v, ok := s.StiffnessNMM2.Get(); ok {
		stiffness = v
	}
	sized("stiffness", stiffness, "N mm2")
	switch {
	case s.Damping != nil:
		add("damping", fmt.Sprintf("{ base = %s, square = %s }", exact(s.Damping.Base), exact(s.Damping.Square)))
	case of.Damping != nil:
		add("damping", given(*of.Damping))
	}
	sized("force", of.Force, "N")
	return keys
}

// given is a damping as a neck file has it.
func given(d neck.Damping) string {
	parts := []string{"base = " + exact(d.Base), "square = " + exact(d.Square)}
	if d.Q > 0 {
		parts = append(parts, "q = "+exact(d.Q))
	}
	if d.Finger > 0 {
		parts = append(parts, "finger = "+exact(d.Finger))
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

func plain(v float64) string { return strconv.FormatFloat(v, 'g', 5, 64) }

// exact writes a number as TOML takes it: 5e-08, and 1.0 for 1.
func exact(v float64) string {
	s := strconv.FormatFloat(v, 'g', 3, 64)
	if !strings.ContainsAny(s, ".e") {
		s += ".0"
	}
	return s
}
