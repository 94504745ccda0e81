package inhand

import (
	"regexp"
	"strconv"
	"strings"
	"time"

	"ringtrue/internal/glue"
)

// Kind is what a person's note means.
type Kind string

// What notes mean. Text is any that is not understood: it is kept and shown.
const (
	Glued    Kind = "glued"
	Pressed  Kind = "pressed"
	Filed    Kind = "levelled"
	IsStrung Kind = "strung"
	Handed   Kind = "handed to"
	Waiting  Kind = "waiting for"
	Here     Kind = "here"
	Drying   Kind = "drying"
	IsDry    Kind = "dry"
	Back     Kind = "back"
	Gone     Kind = "done"
	Text     Kind = "text"
)

// Word is a note as it is understood.
type Word struct {
	Kind      Kind
	At        time.Time // the moment it speaks of
	Told      time.Time // when it was said
	By        string    // who said it
	Said      string    // as it was said
	Who       string    // of Handed
	For       string    // of Waiting
	Glue      glue.Kind // of Glued; "": the shop's
	Activator bool      // of Glued
	Frets     string    // of Glued: which; "": not said
	Until     time.Time // of Drying and Glued; zero: not said
}

// Understand reads a note. at is the moment it speaks of, in the shop's own time, told
// when it was said.
func Understand(said, by string, at, told time.Time) Word {
	w := Word{Kind: Text, At: at, Told: told, By: by, Said: said}
	text, _, ok := moment(said, at)
	if !ok {
		return w
	}
	text = strings.TrimRight(strings.TrimSpace(text), ".!")
	lower := strings.ToLower(text)
	switch lower {
	case "pressed", "pressed again", "seated again", "rod set", "set the rod":
		w.Kind = Pressed
	case "levelled", "leveled", "filed", "crowned":
		w.Kind = Filed
	case "strung", "strings on":
		w.Kind = IsStrung
	case "drying":
		w.Kind = Drying
	case "dry", "set", "glue has set":
		w.Kind = IsDry
	case "back", "came back":
		w.Kind = Back
	case "done", "finished", "sold", "shipped", "delivered", "collected":
		w.Kind = Gone
	case "here", "came", "arrived":
		w.Kind = Here
	default:
		w.phrase(text, lower)
	}
	return w
}

// phrase reads notes of several words. lower is text in small letters.
func (w *Word) phrase(text, lower string) {
	after := func(lead string) (string, bool) {
		if len(lower) != len(text) || !strings.HasPrefix(lower, lead+" ") {
			return "", false
		}
		return strings.TrimSpace(text[len(lead):]), true
	}
	if who, ok := after("handed to"); ok {
		w.Kind, w.Who = Handed, who
		return
	}
	if what, ok := after("waiting for"); ok {
		w.Kind, w.For = Waiting, what
		return
	}
	if who, ok := after("sold to"); ok {
		w.Kind, w.Who = Gone, who
		return
	}
	for lead, kind := range map[string]Kind{"drying until": Drying, "glue setting until": Glued, "glued until": Glued} {
		if when, ok := after(lead); ok {
			if t, ok := untilOf(when, w.Told.In(w.At.Location())); ok {
				w.Kind, w.Until = kind, t
			}
			return
		}
	}
	if who, ok := strings.CutSuffix(lower, " has it"); ok && len(lower) == len(text) {
		w.Kind, w.Who = Handed, text[:len(who)]
		return
	}
	if what, ok := after("pressed"); ok && ofFrets(what) {
		if _, glued, also := strings.Cut(lower, ", glued"); also { // its glue must set first
			w.glue("glued" + glued)
		} else if !strings.Contains(lower, "glue") {
			w.Kind = Pressed
		}
		return
	}
	for _, end := range []string{" is here", " came", " arrived"} {
		if strings.HasSuffix(lower, end) {
			w.Kind = Here
			return
		}
	}
	w.glue(lower)
}

// untilOf reads a time to come as the list of the shop prints it: "18:10", "tomorrow
// 18:10", "2026-03-09", "2026-03-09 18:10".
func untilOf(when string, told time.Time) (time.Time, bool) {
	for _, form := range []string{time.DateOnly, time.DateOnly + " 15:04"} {
		if t, err := time.ParseInLocation(form, when, told.Location()); err == nil {
			return t, true
		}
	}
	day, tomorrow := told.Day(), false
	if when, tomorrow = strings.CutPrefix(when, "tomorrow "); tomorrow {
		day++
	}
	c, err := time.Parse("15:04", when)
	t := time.Date(told.Year(), told.Month(), day, c.Hour(), c.Minute(), 0, 0, told.Location())
	if !tomorrow && t.Before(told) {
		t = t.AddDate(0, 0, 1)
	}
	return t, err == nil
}

// glue reads "glued with hide glue and activator", the time already taken out.
func (w *Word) glue(lower string) {
	kind, found := strings.CutPrefix(lower, "glued")
	frets, kind, _ := strings.Cut(kind+" ", " with ")
	if frets = strings.TrimSpace(frets); !found || frets != "" && !ofFrets(frets) {
		return
	}
	kind, activator := strings.TrimSpace(kind), false
	for _, end := range []string{" and activator", " with activator"} {
		if cut, found := strings.CutSuffix(kind, end); found {
			kind, activator = cut, true
		}
	}
	if kind == "activator" {
		kind, activator = "", true
	}
	kind = strings.ReplaceAll(strings.TrimSuffix(kind, " glue"), " ", "-")
	kind = strings.TrimSuffix(strings.TrimSuffix(kind, "-cyanoacrylate"), "-ca")
	if named := glue.Kind(kind); kind == "" || known(named) && (!activator || named.Cyanoacrylate()) {
		w.Kind, w.Glue, w.Activator, w.Frets = Glued, named, activator, frets
	}
}

// ofFrets reports whether words name what was glued or pressed: "fret 7", "frets 7 and 9".
func ofFrets(words string) bool {
	return strings.HasPrefix(words, "fret ") || strings.HasPrefix(words, "frets ")
}

func known(k glue.Kind) bool {
	for _, each := range glue.Kinds() {
		if each == k {
			return true
		}
	}
	return false
}

// clock and day are what moment looks for.
var (
	clock = regexp.MustCompile(`(?i)\s+at\s+(\d{1,2})[:.](\d{2})(?:\s*(am|pm))?\b`)
	day   = regexp.MustCompile(`(?i)\s+yesterday\b`)
)

// fast is how far a clock may be ahead of this one.
const fast = time.Hour

// Moment is the time of which a note speaks: the one it names, on the day it was made
// or, where that is still to come, the day before; else when it was made. A time that is
// less than an hour ahead is off a fast clock: glue used just now has not set for a day.
func Moment(said string, made time.Time) time.Time {
	if _, at, ok := moment(said, made); ok {
		return at
	}
	return made
}

// moment takes "yesterday" and "at 13:50" out of a note. False: the time is none.
func moment(said string, made time.Time) (rest string, at time.Time, ok bool) {
	rest, at = said, made
	back := 0
	if day.MatchString(rest) {
		rest, back = day.ReplaceAllString(rest, ""), 1
	}
	m := clock.FindStringSubmatch(rest)
	if m == nil {
		return rest, at.AddDate(0, 0, -back), true
	}
	rest = clock.ReplaceAllString(rest, "")
	hour, _ := strconv.Atoi(m[1]) // digits, as the pattern asks
	minute, _ := strconv.Atoi(m[2])
	if half := strings.ToLower(m[3]); half != "" {
		if hour < 1 || hour > 12 {
			return said, made, false
		}
		if hour %= 12; half == "pm" {
			hour += 12
		}
	}
	if hour > 23 || minute > 59 {
		return said, made, false
	}
	at = time.Date(made.Year(), made.Month(), made.Day()-back, hour, minute, 0, 0, made.Location())
	switch {
	case back > 0 || !at.After(made):
	case at.Sub(made) < fast:
		at = made
	default:
		at = time.Date(made.Year(), made.Month(), made.Day()-1, hour, minute, 0, 0, made.Location())
	}
	return rest, at, true
}
