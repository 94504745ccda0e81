package cli

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/findings"
	"ringtrue/internal/level"
	"ringtrue/internal/text"
)

// How brief a short listing is: frets by number alone, and then findings without
// their advice too, wear first.
const (
	brief    = 1
	briefest = 2
)

// short prints the verdict, what to read again and what to do, nothing else. Where
// history makes that more than a short listing has room for, it is briefer.
func (t fretsText) short() {
	var b bytes.Buffer
	for x := t; ; x.brief++ {
		b.Reset()
		if x.out = &b; inInches(t.out) {
			x.out = &inchWriter{out: &b}
		}
		x.shortly()
		if t.answer.History == nil || x.brief == briefest || bytes.Count(b.Bytes(), []byte("\n")) <= shortLines-shortEnd {
			break
		}
	}
	t.out.Write(b.Bytes()) // a failed write is the flush's to tell
}

// shortLines is how many lines a short listing keeps to; shortEnd is how many of them
// name what comes next and what --all shows.
const (
	shortLines = 12
	shortEnd   = 3
)

func (t fretsText) shortly() {
	w, a, s := t.out, t.answer, &steps{w: t.out, short: true}
	t.verdict(w)
	lines(w, "not determined: ", openTogether("fret", a.Undetermined))
	if b := t.after; b != nil {
		lines(w, "", otherwise("filed by mistake", b.FiledByMistake, func(m level.Mistake) (int, float64, float64) { return m.Fret, m.Lane, m.TakenMM }))
		lines(w, "", otherwise("still proud", b.Proud, func(d level.Deed) (int, float64, float64) { return d.Fret, d.Lane, d.PlannedMM - d.TakenMM }))
		lines(w, "", otherwise("filed beyond the plan", b.Beyond, func(d level.Deed) (int, float64, float64) { return d.Fret, d.Lane, d.TakenMM - d.PlannedMM }))
	}
	if t.brief == briefest {
		t.deedFirst(s)
		return
	}
	for _, f := range a.Findings {
		if t.brief == brief {
			s.step(text.WithStory(text.ShortAdvice(f.History.Said(f.Finding, f.Advice)), f.History.Story()))
		} else {
			s.step(wholeTold(f))
		}
	}
	t.readAgain(s)
	t.firstFrets(s)
	t.otherFrets(s)
	t.fileShort(s)
}

// deedFirst says what to do next, then what is worn, and names the other frets.
func (t fretsText) deedFirst(s *steps) {
	a, rod := t.answer, text.SetsRod(t.answer.Hold)
	if rod {
		words := text.RodFirst
		if a.Work == nil || len(a.Work.First) == 0 { // else all is read again
			words += t.readFirst()
		}
		s.step(words)
	}
	var look []int
	for _, f := range a.Findings {
		switch f.Kind {
		case findings.KindWorn:
			words, _ := f.History.Said(f.Finding, "")
			s.step(text.WithStory(words, f.History.Story()))
		case findings.KindBow:
			if !rod {
				s.step(wholeTold(f))
			}
		default:
			look = append(look, f.Frets...)
		}
	}
	t.readAgain(s)
	look = append(look, t.otherNumbers(t.othersToSee())...)
	slices.Sort(look)
	look = slices.Compact(look)
	switch first := a.Work != nil && len(a.Work.First) > 0; {
	case first && len(look) > 0:
		s.step(text.ThenLook(t.firstNumbers(), spans(look)))
	case first:
		s.step(t.firstNumbers())
	case len(look) > 0:
		s.step(text.LookAtFrets(spans(look)))
	}
	if !rod {
		t.fileShort(s)
	}
}

// firstNumbers names the frets to press, glue or replace by number alone.
func (t fretsText) firstNumbers() string {
	var frets []int
	for _, f := range t.answer.Work.First {
		frets = append(frets, f.Fret)
	}
	return pressFirst + ": " + spans(frets)
}

const pressFirst = "Press, glue or replace first"

// readAgain lists the readings that were set aside.
func (t fretsText) readAgain(s *steps) {
	list := t.answer.Recheck
	for i, r := range list {
		words := text.ReadAgain(fmt.Sprintf("fret %d, lane %g", r.Fret, r.Lane), r.Method, r.Line, r.ReadingMM, r.ExpectedMM)
		switch {
		case len(list) == 1:
			s.step("Read again " + words)
			return
		case i == 0:
			s.step("Read again (they disagree with the rest)")
		}
		s.detail(words)
	}
}

// firstFrets lists the frets to press, glue or replace before any file.
func (t fretsText) firstFrets(s *steps) {
	work := t.answer.Work
	if work == nil || len(work.First) == 0 {
		return
	}
	var pressed []int
	for _, f := range work.First {
		if f.OrFile {
			pressed = append(pressed, f.Fret)
		}
	}
	words := pressFirst
	if t.brief > 0 {
		s.step(t.firstNumbers())
		return
	}
	if len(pressed) > 0 {
		words += " (" + text.SeatedInstead(commas(pressed)) + ")"
	}
	s.step(words)
	for _, f := range work.First {
		wrap(s.w, fmt.Sprintf("     %2d  ", f.Fret), text.WithStory(f.Brief, f.History.Story()))
	}
}

// otherFrets lists the other frets that are off, those together of which the same
// is said.
func (t fretsText) otherFrets(s *steps) {
	others := t.othersToSee()
	if t.brief > 0 {
		t.othersBriefly(s, others)
		return
	}
	for i, x := range together(others, func(f answer.FretFinding) (string, int) { return fretTold(f, text.Brief), f.Fret }) {
		if i == 0 {
			s.step("Look at these frets")
		}
		wrap(s.w, fmt.Sprintf("     %2s  ", spans(x.frets)), x.said)
	}
}

// othersToSee are the other frets that are off; filing one is a step of its own.
func (t fretsText) othersToSee() []answer.FretFinding {
	return slices.DeleteFunc(t.others(), func(f answer.FretFinding) bool { return f.Advice == text.SitsDown })
}

// othersBriefly names the frets of which nothing above has said what is wrong.
func (t fretsText) othersBriefly(s *steps, others []answer.FretFinding) {
	if frets := t.otherNumbers(others); len(frets) > 0 {
		s.step(text.LookAtFrets(spans(frets)))
	}
}

// otherNumbers are the numbers of those frets.
func (t fretsText) otherNumbers(others []answer.FretFinding) (frets []int) {
	for _, f := range others {
		said := slices.ContainsFunc(t.answer.Findings, func(x answer.NeckFinding) bool { return x.Kind == f.Kind && slices.Contains(x.Frets, f.Fret) })
		if !said && !slices.Contains(frets, f.Fret) {
			frets = append(frets, f.Fret)
		}
	}
	slices.Sort(frets)
	return frets
}

// fileShort says what to file, or why nothing yet and what to read first.
func (t fretsText) fileShort(s *steps) {
	a := t.answer
	switch k := a.Work; {
	case a.WhyNot != "":
		s.step(strings.TrimSpace("File nothing yet. "+a.Hold) + t.readFirst())
	case k == nil:
	case len(k.Crowns) == 0 && len(k.First) == 0:
		fmt.Fprintln(s.w, "Nothing to take off.")
	case len(k.Crowns) == 0:
		s.step(text.FileLater)
	default:
		t.fileNow(s)
	}
}

// readFirst says which readings to take first; "" where none are named.
func (t fretsText) readFirst() (words string) {
	for i, x := range t.answer.NextReadings {
		if i == 0 {
			words = " First: " + readingShort(x)
		} else if x.Must {
			words += "; then " + readingShort(x)
		}
	}
	return words
}

// fileNow lists the moves; where there are none, what comes off crown by crown.
func (t fretsText) fileNow(s *steps) {
	k := t.answer.Work
	t.moves(s)
	if len(k.Moves) == 0 {
		s.step("Take off, in " + t.unit.name + " (- nothing)")
		t.removals(s.w)
	}
	s.detail(text.FilingSum(k.Filing))
	lines(s.w, "   ! ", k.Warnings)
	s.detail(text.FilingCare)
}

// readingShort is a set of readings without its reason.
func readingShort(x answer.NextReading) string {
	passes := ""
	if x.Passes > 1 {
		passes = fmt.Sprintf(", %d passes", x.Passes)
	}
	return fmt.Sprintf("%s, %s, %s%s, %s", x.Method, lanesInWords(x.Lanes), fretsInWords(x.Frets), passes, minutesInWords(x.Minutes))
}

// otherwise is what the hand did otherwise than planned, fret by fret, with the
// most in any of its lanes.
func otherwise[T any](heading string, list []T, of func(T) (fret int, lane, mm float64)) []string {
	lanes, most := map[int][]float64{}, map[int]float64{}
	for _, x := range list {
		f, lane, mm := of(x)
		lanes[f], most[f] = append(lanes[f], lane), max(most[f], mm)
	}
	var parts []string
	for _, f := range slices.Sorted(maps.Keys(lanes)) {
		slices.Sort(lanes[f])
		parts = append(parts, fmt.Sprintf("fret %d, %s, by %.3f mm", f, lanesInWords(lanes[f]), most[f]))
	}
	if len(parts) == 0 {
		return nil
	}
	return []string{heading + ": " + strings.Join(parts, "; ")}
}

// openTogether names what stays open, lanes together of which the same is said; place
// is a fret's or a slot's name.
func openTogether(place string, open []answer.Undetermined) []string {
	lanes := map[string][]float64{}
	var keys []string
	byLane(open, func(lane float64, frets []int, why string) {
		name := place
		if len(frets) > 1 {
			name += "s"
		}
		k := fmt.Sprintf("%s %s: %s", name, spans(frets), why)
		if lanes[k] == nil {
			keys = append(keys, k)
		}
		lanes[k] = append(lanes[k], lane)
	})
	var out []string
	for _, k := range keys {
		slices.Sort(lanes[k])
		out = append(out, printable(lanesInWords(lanes[k])+", "+k))
	}
	return out
}
