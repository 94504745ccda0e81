package cli

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"ringtrue/internal/job"
)

// next ends a text with the call that comes next. It stands in one line, or
// with the call in a line of its own where that is too long: a call that is
// wrapped cannot be copied.
func (s *streams) next(first string, call ...string) error {
	line := "ringtrue"
	for _, word := range call {
		line += " " + quoted(word)
	}
	gap := " "
	if first != "" {
		first = " " + first + ":"
	}
	if utf8.RuneCountInString("next:"+first+" "+line) > 80 {
		gap = "\n  "
	}
	if _, err := fmt.Fprintf(s.out, "\nnext:%s%s%s\n", first, gap, line); err != nil {
		return outputError(err)
	}
	return nil
}

// quoted is a word as a shell takes it.
func quoted(word string) string {
	if strings.ContainsAny(word, " \t&;()<>|*?'$#~") || word == "" {
		return `"` + word + `"`
	}
	return word
}

// again is the name of the readings yet to be taken.
const again = "AGAIN.csv"

// nextAfterFrets says what to do once the frets have been judged. --plan-to is
// said again: what the hand took off is held against the same plan.
func (s *streams) nextAfterFrets(a *job.FretsAnswer, from source, o fretsOptions) error {
	if a.After != nil {
		return s.nextAfterLevelling(a.After, from, o)
	}
	switch sure := surely(a.Frets); {
	case sure && len(a.Recheck) > 0:
		return s.next("see to those frets, read all again, then", from.withReadings(again)...)
	case len(a.Recheck) > 0:
		return s.next("take those readings again, then", from.withReadings(again)...)
	case sure && o.to == "": // who asks for a zone means to file
		return s.next("see to those frets, read all again, then", from.withReadings(again)...)
	case len(a.Undetermined) > 0 || a.Verdict == "in doubt" && o.to == "":
		return s.next("read more, then", from.withReadings(again)...)
	case a.Verdict == "level":
		return s.next("", append([]string{"play"}, from.words...)...)
	}
	call := append([]string{"frets"}, from.words...)
	if o.to != "" {
		call = append(call, "--plan-to", o.to)
	}
	return s.next("level by the plan, read all again, then", append(call, "--after", again)...)
}

// surely reports whether a finding names the fret that is off.
func surely(found []job.FretFinding) bool {
	return slices.ContainsFunc(found, func(f job.FretFinding) bool { return !f.Open })
}

// nextAfterLevelling says what to do once the readings taken after levelling
// have been judged.
func (s *streams) nextAfterLevelling(a *job.AfterAnswer, from source, o fretsOptions) error {
	switch {
	case from.serial != "":
		return s.next("", from.withReadings(o.after)...)
	case a.Reached:
		return s.next("", from.callWith("play", o.after)...)
	}
	return s.next("what is left, with its plan", from.callWith("frets", o.after)...)
}

// withReadings is the call that takes further readings of the same neck. Those
// of a neck in the book are put into the book.
func (f source) withReadings(readings string) []string {
	if f.serial == "" {
		return f.callWith("frets", readings)
	}
	return []string{"book", "add", f.serial, f.neckFile, readings, "--stage", "STAGE"}
}

// callWith is a command on the same neck file with other readings.
func (f source) callWith(command, readings string) []string {
	return []string{command, f.neckFile, readings}
}

// nextAfterPlay says how to keep what was read of a neck, once it plays.
func (s *streams) nextAfterPlay(from source, o playOptions) error {
	if !from.read || from.serial != "" || o.planned {
		return nil
	}
	return s.next("keep it in the book", "book", "add", "SERIAL", from.neckFile, from.words[1], "--stage", "STAGE")
}

// nextAfterBoard says what to do once the bare board has been judged.
func (s *streams) nextAfterBoard(a *job.BoardAnswer, neckFile string) error {
	if a.AsAsked() {
		return s.next("press the frets, read them, then", "frets", neckFile, "READINGS.csv")
	}
	return s.next("see to that, read again, then", "board", neckFile, again)
}
