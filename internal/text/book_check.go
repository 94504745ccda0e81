package text

import (
	"fmt"
	"strings"
	"time"
)

// BookCheck is what a check of a book came to, in counts of records.
type BookCheck struct {
	Records, Bad, Older, Differ, Newer, Unread int // looked at; of them bad, …
	Now, Before, LeftOut, Unlooked, Beside     int // recalculated now, before, not at all; not read again; faults that are no record's
	Sample                                     string
	Whole                                      bool      // nothing was left out, nothing is bad
	LastWhole, LastBytes                       time.Time // of checks before; zero: never
	NotRemembered                              string
}

// BookChecked is the verdict on a book, what else its maker should know of it, what
// was left out, and when all of it was last in order.
func BookChecked(a *BookCheck) (lines []string) {
	lines = []string{checkVerdict(a)}
	if a.Older > 0 {
		lines = append(lines, fmt.Sprintf("%s judged by an older version, %d with another result now. Nothing is lost: ringtrue book rebuild updates them.",
			records(a.Older), a.Differ))
	}
	if a.Newer > 0 {
		lines = append(lines, records(a.Newer)+" judged by a newer version. Use that one for this book.")
	}
	if a.Before > 0 || a.LeftOut > 0 {
		lines = append(lines, recalculated(a))
	}
	if a.Unlooked > 0 {
		lines = append(lines, records(a.Unlooked)+" not read again: this version has checked them. ringtrue book check reads every byte.")
	}
	if !a.Whole {
		lines = append(lines, lastWhole(a))
	}
	if a.NotRemembered != "" {
		lines = append(lines, "The next check can't go on from this one: "+a.NotRemembered+".")
	}
	return lines
}

func checkVerdict(a *BookCheck) string {
	all := records(a.Records)
	switch {
	case a.Bad == 0 && a.Beside > 0:
		return fmt.Sprintf("NOT OK: the book is damaged, though not in the %s read", all)
	case a.Bad > 0:
		return fmt.Sprintf("NOT OK: faults in %d of %s", a.Bad, all) + strings.Join(counted([]quantity{{a.Beside, "other fault", " and %s"}}), "")
	case a.Records == 0 && a.Unlooked > 0:
		return "OK: nothing new"
	case a.Older+a.Newer+a.Unread+a.LeftOut > 0:
		return "OK: " + all + ", none damaged"
	}
	return "OK: " + all + ", none damaged, all results confirmed"
}

// recalculated says which results were recalculated, and which not.
func recalculated(a *BookCheck) string {
	line := fmt.Sprintf("Recalculated: %d now", a.Now)
	if a.Sample != "" {
		line += ", the sample of " + a.Sample
	}
	if a.Before > 0 {
		line += fmt.Sprintf(", %d before by this version", a.Before)
	}
	if a.LeftOut > 0 {
		line += fmt.Sprintf("; left out: %d. ringtrue book check does the rest", a.LeftOut)
	}
	return line + "."
}

func lastWhole(a *BookCheck) string {
	switch {
	case !a.LastWhole.IsZero() && !a.LastWhole.Before(a.LastBytes):
		return "Last time everything was in order: " + minute(a.LastWhole) + "."
	case !a.LastWhole.IsZero():
		return "Last time everything was in order: " + minute(a.LastWhole) + "; every byte: " + minute(a.LastBytes) + "."
	case !a.LastBytes.IsZero():
		return "Last time every byte was in order: " + minute(a.LastBytes) + "; no check has recalculated all results yet."
	}
	return "No check has found everything in order yet."
}

func minute(t time.Time) string { return t.Local().Format("2006-01-02 15:04") }

// CheckStopped says how far a check came that was interrupted.
func CheckStopped(a *BookCheck) string {
	if a.Now == 0 {
		return "stopped while reading; no fault found yet"
	}
	if a.NotRemembered != "" {
		return fmt.Sprintf("stopped after %s recalculated; the next check starts again: %s", records(a.Now), a.NotRemembered)
	}
	return fmt.Sprintf("stopped after %s recalculated; ringtrue book check goes on from there", records(a.Now))
}

// BookRebuilt says what a rebuild did: how many records there are, how many of them
// were up to date before, and how many have another result.
func BookRebuilt(n, before, changed int, program string) string {
	line := fmt.Sprintf("%s recalculated by version %s, %d with another result than before", records(n), program, changed)
	if before > 0 {
		line += fmt.Sprintf("\nalready up to date: %d. --all recalculates these too", before)
	}
	return line
}

// RebuildStopped says how far a rebuild came that was interrupted.
func RebuildStopped(recalculated int) string {
	return fmt.Sprintf("stopped after %s; ringtrue book rebuild goes on from there", records(recalculated))
}
