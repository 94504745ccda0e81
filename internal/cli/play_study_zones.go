package cli

import (
	"math"
	"strings"

	"ringtrue/internal/unit"
)

// Zones of a study where no step is given, and the most there may be.
const (
	usualZones = 8
	maxZones   = 50
)

// studyZones reads what a study varies: "zone=0.03" is one zone,
// "zone=0.01..0.08" eight from end to end, "zone=0.01..0.08/0.005" those a step
// apart. Numbers without a unit are in mm, or in the unit that the range or its
// step states last.
func studyZones(text string) ([]float64, error) {
	const like = "write zone=0.03, zone=0.01..0.08 or zone=0.01..0.08/0.005"
	what, rest, found := strings.Cut(text, "=")
	if strings.TrimSpace(what) != "zone" || !found {
		return nil, inputErrorf("--study: %s; %s", unit.Quote(text), like)
	}
	rest, stepText, stepped := strings.Cut(rest, "/")
	fromText, toText, ranged := strings.Cut(rest, "..")
	if stepped && !ranged {
		return nil, inputErrorf("--study: a step without a range; %s", like)
	}
	if !ranged {
		mm, err := studyLength(fromText, "")
		if err != nil {
			return nil, err
		}
		return []float64{mm}, nil
	}
	shared := unitOf(toText)
	if shared == "" {
		shared = unitOf(stepText)
	}
	from, err := studyLength(fromText, shared)
	if err != nil {
		return nil, err
	}
	to, err := studyLength(toText, shared)
	if err != nil {
		return nil, err
	}
	if !(from < to) {
		return nil, inputErrorf("--study: the range %g to %g mm is empty; write the smaller zone first", from, to)
	}
	step := (to - from) / (usualZones - 1)
	if stepped {
		if step, err = studyLength(stepText, shared); err != nil {
			return nil, err
		}
	}
	return zonesBetween(from, to, step)
}

// zonesBetween are the zones a step apart from one to the other.
func zonesBetween(from, to, step float64) ([]float64, error) {
	count := (to - from) / step
	if !(step > 0) || count > maxZones-1+1e-9 {
		return nil, inputErrorf("--study: a step of %g mm makes more than %d zones; use a wider one", step, maxZones)
	}
	var out []float64
	for k := range int(count+1e-9) + 1 {
		// To a picometre, so that 3 steps of 0.01 are 0.03.
		out = append(out, math.Round((from+float64(k)*step)*1e9)/1e9)
	}
	return out, nil
}

// unitOf is the unit that a length states, "" where it is bare.
func unitOf(text string) string {
	return strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(text), "+-.0123456789eE"))
}

// studyLength reads a length of a study: bare, it is in the shared unit or mm.
func studyLength(text, shared string) (float64, error) {
	text = strings.TrimSpace(text)
	if text != "" && unitOf(text) == "" {
		if shared == "" {
			shared = "mm"
		}
		text += " " + shared
	}
	mm, err := unit.Length.Parse(text)
	if err != nil {
		return 0, inputErrorf("--study: %w", err)
	}
	if mm < 0 || mm > 1 {
		return 0, inputErrorf("--study: %s must be 0 to 1 mm", text)
	}
	return mm, nil
}
