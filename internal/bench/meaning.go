package bench

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// meaning is what the readings say so far.
type meaning struct {
	Verdict string // in the maker's words
	Kind    string // level, not-level, in-doubt, none: a form, beside the colour
	Sure    string // how much of the neck it stands for
	Deed    advice // what comes first, in one sentence
	Advice  []advice
	Lanes   []answer.LaneAnswer
	Height  heightUnit
	Limit   string
	Mind    []string
}

// advice is one thing to do next.
type advice struct {
	Label, Words, How string
	Href              string
}

// maxAdvice is how many things a maker is told at once.
const maxAdvice = 8

func (l *renderer) meaning(st *draft.State, p *draft.Pass, n *analysis, asked []question) meaning {
	say := l.words.Say
	if n == nil || n.frets == nil || n.stage != st.Stage() {
		m := meaning{Verdict: say("meaning.none"), Kind: "none"}
		if n != nil && n.err != nil {
			m.Mind = []string{n.err.Error()}
		}
		return m
	}
	a, u := n.frets, l.heightsIn(p)
	m := meaning{Limit: u.Plain(a.ZoneLimitMM), Mind: a.Warnings, Lanes: a.Lanes, Height: u}
	all := len(a.Crowns) + len(a.Undetermined)
	m.Sure = say("meaning.sure", len(a.Crowns), all)
	m.Verdict, m.Kind = l.verdictOf(a.Verdict, len(a.Crowns), len(a.Undetermined))
	m.Advice = l.advice(st, n, u, asked)
	m.Deed = l.deed(m.Advice, len(a.Undetermined) > 0)
	return m
}

// verdictOf is a verdict in the maker's words, and its form: what is level as far
// as it was read is in doubt.
func (l *renderer) verdictOf(verdict string, crowns, open int) (words, kind string) {
	switch {
	case verdict == string(straight.Level) && open > 0:
		return l.words.Say("meaning.sofar"), kindOf(string(straight.InDoubt))
	case crowns == 0:
		return l.words.Say("meaning.open"), "none"
	}
	return l.words.Say("verdict." + kindOf(verdict)), kindOf(verdict)
}

func kindOf(verdict string) string { return strings.ReplaceAll(verdict, " ", "-") }

// advice lists what to do next, in the order in which it matters: readings to
// take again, crowns still to read, the neck as a whole, its frets, the file.
func (l *renderer) advice(st *draft.State, n *analysis, u heightUnit, asked []question) []advice {
	say, a := l.words.Say, n.frets
	var out []advice
	for _, q := range asked {
		if !n.rechecks(q) {
			out = append(out, advice{Label: say("advice.again"), Words: q.Short, Href: q.Href})
		}
	}
	for _, r := range a.Recheck {
		t := advice{Label: say("advice.again"), Words: say("advice.againat", r.Fret, unit.Decimal(r.Lane), mm(r.ReadingMM), mm(r.ExpectedMM))}
		if from, ok := n.place(r.Line); ok && from.Pass > 0 {
			t.Href = readHref(st.ID, from.Pass, from.Site)
		}
		out = append(out, t)
	}
	if open := len(a.Undetermined); open > 0 {
		out = append(out, advice{Label: say("advice.read"), Words: say("advice.readon", open, l.lanesLeft(a))})
	}
	for _, f := range a.Findings {
		out = append(out, advice{Label: say("advice.whole"), Words: f.Finding, How: f.Advice})
	}
	for _, f := range a.Frets {
		out = append(out, advice{Label: say("advice.fret", f.Fret), Words: f.Finding, How: f.Advice})
	}
	switch k := a.Work; {
	case k != nil && len(k.Crowns) > 0:
		out = append(out, advice{Label: say("advice.file"), Words: say("advice.filewhat", len(k.Crowns), u.Plain(k.MaxRemoveMM)), How: text.AfterFiling})
	case a.WhyNot != "" && len(a.Undetermined) == 0:
		out = append(out, advice{Label: say("advice.notyet"), Words: a.WhyNot})
	}
	if a.Verdict == "level" && len(out) == 0 {
		out = append(out, advice{Label: say("advice.done"), Words: say("advice.donewhat")})
	}
	for _, x := range a.NextReadings {
		if len(a.Undetermined) == 0 && len(a.Recheck) == 0 {
			out = append(out, advice{Label: say("advice.settle"), Words: l.nextReading(x), How: x.Why})
		}
	}
	if left := len(out) - maxAdvice; left > 0 {
		out = append(out[:maxAdvice], advice{Label: say("advice.more"), Words: say("advice.morehow", left)})
	}
	return out
}

// deed is the first thing to do. While crowns are open, reading on is what the
// page leads to by itself: the first finding is told as what comes after it.
func (l *renderer) deed(all []advice, open bool) advice {
	read := l.words.Say("advice.read")
	for _, d := range all {
		if d.Label == read && len(all) > 1 {
			continue
		}
		if open && d.Label != read && d.Label != l.words.Say("advice.again") {
			d.Label = l.words.Say("advice.afterpass", d.Label)
		}
		return d
	}
	return advice{}
}

// deedLeft is what is left, with the finding that it is of.
func (l *renderer) deedLeft(left string, all []advice) advice {
	if left != l.words.Say("read.decided") {
		return advice{Words: left}
	}
	for _, d := range all {
		if d.Label != l.words.Say("advice.read") {
			return advice{Label: d.Label, Words: d.Words + ". " + left}
		}
	}
	return advice{Words: left}
}

// rechecks reports whether what the readings mean names what a question is of.
func (n *analysis) rechecks(q question) bool {
	for _, r := range n.frets.Recheck {
		if from, ok := n.place(r.Line); ok && from.Pass == q.Pass && from.Site == q.Site {
			return true
		}
	}
	return false
}

// lanesLeft names the lanes with open crowns.
func (l *renderer) lanesLeft(a *answer.FretsAnswer) string {
	var lanes []float64
	for _, u := range a.Undetermined {
		if !slices.Contains(lanes, u.Lane) {
			lanes = append(lanes, u.Lane)
		}
	}
	return l.lanesNamed(lanes)
}

func (l *renderer) lanesNamed(lanes []float64) string {
	var names []string
	for _, lane := range lanes {
		names = append(names, unit.Decimal(lane))
	}
	if len(names) == 1 {
		return l.words.Say("advice.lane", names[0])
	}
	return l.words.Say("advice.lanes", strings.Join(names, ", "))
}

// nextReading is a set of readings that would settle a doubt, in words.
func (l *renderer) nextReading(x answer.NextReading) string {
	minutes := int(math.Round(max(1, x.Minutes)))
	method, lanes, frets := text.OfMethod(reading.Method(x.Method)).Name, l.lanesNamed(x.Lanes), unit.Spans(x.Frets)
	if x.Passes > 1 {
		return l.words.Say("advice.settlepasses", method, lanes, frets, x.Passes, minutes)
	}
	return l.words.Say("advice.settlehow", method, lanes, frets, minutes)
}

// mm is a reading in mm, to the micrometre.
func mm(v float64) string { return fmt.Sprintf("%s mm", strconv.FormatFloat(v+0, 'f', 3, 64)) }
