package cli

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"ringtrue/internal/answer"
	"ringtrue/internal/name"
)

// next ends a text with the call that comes next. It stands in one line, or
// with the call in a line of its own where that is too long: a call that is
// wrapped cannot be copied. Under it stands what is to be filled in.
func (s *streams) next(first string, call ...string) {
	s.call(first, call...)
	note := fillIn(call)
	if s.short {
		s.fill = note
	} else if note != "" {
		wrap(s.out, "  (", note+")")
	}
}

// fillIn says what to put for the words of a call that a maker must fill in.
func fillIn(call []string) string {
	var notes []string
	for _, word := range call {
		for _, p := range [][2]string{
			{again, "your new readings"},
			{readingsFile, "your readings"},
			{againStrings, "what you measure then"},
			{"SERIAL", "the neck's own number or name"},
			{"STAGE", "seated, levelled, serviced or your own word"},
		} {
			if word == p[0] {
				notes = append(notes, p[0]+": "+p[1])
			}
		}
	}
	return strings.Join(notes, "; ")
}

// call ends a text with a call that can be typed as it stands.
func (s *streams) call(first string, call ...string) {
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
	if !s.short {
		fmt.Fprintln(s.out)
	}
	fmt.Fprintf(s.out, "next:%s%s%s\n", first, gap, line)
}

// quoted is a word as a shell takes it.
func quoted(word string) string {
	if strings.ContainsFunc(word, name.Hidden) { // such a name is typed in the shell's own escapes
		return "$'" + name.Visible(strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(word)) + "'"
	}
	if strings.ContainsAny(word, " \t&;()<>|*?'$#~") || word == "" {
		return `"` + word + `"`
	}
	return word
}

// again and readingsFile stand for readings yet to be taken.
const (
	again        = "AGAIN.csv"
	readingsFile = "READINGS.csv"
	againStrings = "STRINGS.csv"
)

// nextAfterFrets says what to do once the frets have been judged. What the hand
// took off is held against the same plan, so its options are said again.
func (s *streams) nextAfterFrets(a *answer.FretsAnswer, from source, o fretsOptions) {
	if a.After != nil {
		s.nextAfterLevelling(a.After, from, o)
	} else {
		s.nextOf(a, from, from.words, o)
	}
}

// nextOf is nextAfterFrets for the answer of the neck and readings that words name.
func (s *streams) nextOf(a *answer.FretsAnswer, from source, words []string, o fretsOptions) {
	switch {
	case a.Work != nil && len(a.Work.Crowns) > 0:
		s.next("crown, polish, read all again, then", append(o.again(words), "--after", again)...)
	case a.Work != nil && len(a.Work.First) > 0:
		s.next("read all again, then", from.withReadings(again)...)
	case len(a.Recheck) > 0:
		s.next("read those again, then", from.withReadings(again)...)
	case a.Verdict == "level" && len(a.Undetermined) == 0:
		s.next("", append([]string{"play"}, words...)...)
	case a.RodFirst:
		s.next("set the rod, read all again, then", from.withReadings(again)...)
	default:
		s.next("read more, then", from.withReadings(again)...)
	}
}

// again is the call that plans the same work once more.
func (o *fretsOptions) again(words []string) []string {
	call := append([]string{"frets"}, words...)
	if o.to != "" {
		call = append(call, "--plan-to", o.to)
	}
	if o.fair {
		call = append(call, "--fair")
	}
	if o.hand.by != "" {
		call = append(call, "--by", o.hand.by)
	}
	if len(o.seated) > 0 {
		call = append(call, "--seated", commas(o.seated))
	}
	return call
}

// commas writes numbers as an option takes them.
func commas(n []int) string {
	var parts []string
	for _, v := range n {
		parts = append(parts, strconv.Itoa(v))
	}
	return strings.Join(parts, ",")
}

// nextAfterLevelling says what to do once the readings taken after levelling
// have been judged.
func (s *streams) nextAfterLevelling(a *answer.AfterAnswer, from source, o fretsOptions) {
	switch {
	case from.serial != "":
		call := append(from.withReadings(o.after), from.grid...)
		if o.hand.strokes != "" {
			call = append(call, "--strokes", o.hand.strokes)
		}
		s.next("", call...)
	case a.Reached:
		s.call("", append(from.callWith("play", o.after), from.grid...)...)
	default:
		s.nextOf(&a.FretsAnswer, from, append([]string{from.neckFile, o.after}, from.grid...), o)
	}
}

// withReadings is the call that takes further readings of the same neck. Those
// of a neck in the book are put into the book.
func (f source) withReadings(readings string) []string {
	if f.serial == "" {
		return f.callWith("frets", readings)
	}
	call := []string{"book", "add", f.serial, f.neckFile, readings, "--stage", "STAGE"}
	if f.where != "" {
		call = append(call, "--book", f.where)
	}
	return call
}

// callWith is a command on the same neck file with other readings.
func (f source) callWith(command, readings string) []string {
	return []string{command, f.neckFile, readings}
}

// nextAfterPlay says how to save what was read of a neck, once it plays.
func (s *streams) nextAfterPlay(from source, o playOptions) {
	if !from.read || from.serial != "" || o.planned {
		return
	}
	s.next("save it in the book", append([]string{"book", "add", "SERIAL", from.neckFile, from.words[1], "--stage", "STAGE"}, from.grid...)...)
}

// nextAfterBoard says what to do once the bare board has been judged.
func (s *streams) nextAfterBoard(a *answer.BoardAnswer, neckFile string) {
	if a.Passed() {
		s.next("press the frets, read them, then", "frets", neckFile, readingsFile)
		return
	}
	s.next("do that, read again, then", "board", neckFile, again)
}
