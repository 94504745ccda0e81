package text

import (
	"fmt"
	"strings"
	"time"

	"ringtrue/internal/inhand"
	"ringtrue/internal/unit"
)

// InHandWork is what the readings ask for, in the words of an answer.
type InHandWork struct {
	AgainFret int // the first reading to take again, and how many
	AgainLane float64
	Again     int
	First     []string // what each fret to see to asks of the hand
	File      int      // crowns to file
	Whole     string   // what is wrong with the neck as a whole
	Wait      bool     // the readings are not enough to file by
}

// InHandHead is the headline of the necks in hand.
func InHandHead(inHand, now int) string {
	if inHand == 0 {
		return "No neck in hand."
	}
	return fmt.Sprintf("%s in hand, %d can be done now", Count(inHand, "neck"), now)
}

// InHandStep says what a neck needs next, without a time that it waits for.
func InHandStep(x inhand.Next, w *InHandWork) string {
	if w == nil {
		w = &InHandWork{}
	}
	switch x.Step {
	case inhand.Dry:
		return "drying"
	case inhand.ReadAgain:
		if w.Again > 0 {
			return andMore(fmt.Sprintf("read again fret %d lane %s", w.AgainFret, unit.Decimal(w.AgainLane)), w.Again-1)
		}
		return "read again"
	case inhand.SeeTo:
		return "see to it first: " + w.Whole
	case inhand.Press:
		if len(w.First) > 0 {
			return andMore(againOf(w.First[0]), len(w.First)-1)
		}
		return "press " + Count(max(1, x.FretsOff()), "fret") + " again"
	case inhand.Setting:
		return "glue setting"
	case inhand.Level:
		if w.File > 0 {
			return "level: " + Count(w.File, "crown")
		}
		return "level"
	case inhand.ReadAfter:
		if x.Glue != nil {
			return "read again after the glue"
		}
		return "read again"
	case inhand.String:
		return "string it"
	case inhand.Play:
		return "play it"
	case inhand.Wait:
		return "waiting for " + x.For
	case inhand.Done:
		return "done"
	}
	return "read"
}

// againOf turns "press fret 7, treble end" into the words of the shop.
func againOf(step string) string {
	if fret, found := strings.CutPrefix(step, "press fret "); found {
		return "press again fret " + strings.Replace(fret, ",", "", 1)
	}
	return step
}

func andMore(words string, more int) string {
	if more < 1 {
		return words
	}
	return fmt.Sprintf("%s and %d more", words, more)
}

// InHandUntil is the time that a neck waits for: of a day the clock, else the date;
// drying takes days. Seconds are rounded up.
func InHandUntil(x inhand.Next, now time.Time) string {
	if x.Turn != inhand.Later {
		return ""
	}
	t := x.Until.In(now.Location())
	if up := t.Truncate(time.Minute); up.Before(t) {
		t = up.Add(time.Minute)
	}
	day := func(add int) bool { return t.Format(time.DateOnly) == now.AddDate(0, 0, add).Format(time.DateOnly) }
	const clock = "15:04"
	switch {
	case day(0):
		return t.Format(clock)
	case x.Step == inhand.Dry && day(1):
		return "tomorrow"
	case x.Step == inhand.Dry:
		return t.Format(time.DateOnly)
	case day(1):
		return "tomorrow " + t.Format(clock)
	}
	return t.Format(time.DateOnly + " " + clock)
}

// InHandLine is a step and the time that it waits for.
func InHandLine(step, until string) string {
	if until == "" {
		return step
	}
	return step + " until " + until
}

// InHandWaited is how long a neck has waited; "" where that is not known.
func InHandWaited(since, now time.Time) string {
	switch d := now.Sub(since); {
	case since.IsZero():
		return ""
	case d < time.Minute:
		return justNow
	case d < time.Hour:
		return fmt.Sprintf("%d min", int(d.Minutes()))
	case d < 48*time.Hour:
		return fmt.Sprintf("%d h", int(d.Hours()))
	default:
		return fmt.Sprintf("%d days", int(d.Hours()/24))
	}
}

// InHandAgo is InHandWaited in a sentence.
func InHandAgo(waited string) string {
	if waited == "" || waited == justNow {
		return waited
	}
	return "waited " + waited
}

const justNow = "just now"

// InHandLeft says which necks a list leaves out; "" where it leaves none.
func InHandLeft(more, done, days int) string {
	var parts []string
	if more > 0 {
		parts = append(parts, fmt.Sprintf("%d more (--most 0)", more))
	}
	if done > 0 {
		parts = append(parts, fmt.Sprintf("%d done (--all)", done))
	}
	parts = append(parts, fmt.Sprintf("necks untouched for %d days are left out (--days)", days))
	return strings.Join(parts, "; ")
}

// NoteHeard says what a note was kept as.
func NoteHeard(serial string, w inhand.Word) string {
	if w.Kind == inhand.Text {
		return fmt.Sprintf("%s, %s (saved as it is)", serial, w.Said)
	}
	return fmt.Sprintf("%s, %s", serial, w.Said)
}

// NoteNext says what a neck needs after a note; "" where that is not known.
func NoteNext(serial, words string) string {
	if words == "" {
		return ""
	}
	return serial + ": " + words
}

// InHandNoted is what a neck needs, and the last that was said of it in other words.
func InHandNoted(words, note string) string {
	if note == "" {
		return words
	}
	return words + " (" + note + ")"
}
