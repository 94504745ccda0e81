package text

import (
	"fmt"
	"strings"
	"time"

	"ringtrue/internal/findings"
	"ringtrue/internal/wear"
)

// Story says in a few words what earlier stages say of a finding. neverRight: it has
// been so since the frets went in; low: the finding is wear, by this reading alone.
func Story(s wear.Story, neverRight, low bool) string {
	switch {
	case s.Since != nil && neverRight:
		if low {
			return "as low " + atStage(s.Since) + ": never right, not worn"
		}
		return "the same " + atStage(s.Since) + ": never right"
	case s.Since != nil && low:
		return "as low " + atStage(s.Since) + ": not worn since"
	case s.Since != nil:
		return "the same " + atStage(s.Since)
	case s.Bent != nil:
		return "less " + atStage(s.Bent) + ", but not moved since: the neck's bow does it"
	case s.Changed != nil:
		return changedSince(s.Changed, s.Changed == s.Asked)
	}
	return "too few readings to say whether it was so " + atStage(s.Asked)
}

// changedSince says how; latest: no stage lies between at which a file may have done it.
func changedSince(p *wear.Past, latest bool) string {
	how := "higher"
	switch {
	case p.Verdict == wear.Worn && p.Played() && latest:
		how = "worn"
	case p.Verdict == wear.Moved && p.MM > 0:
		how = "rose"
	case p.Verdict == wear.Moved:
		how = "sank"
	case p.Verdict == wear.Worn && !p.Played():
		how = "lower, by a file or a press,"
	case p.Verdict == wear.Worn:
		how = "lower"
	}
	return how + " since " + stageOn(p)
}

func atStage(p *wear.Past) string { return "at " + stageOn(p) }

// stageOn names a stage with its day, where the readings have one.
func stageOn(p *wear.Past) string {
	if p.Date.IsZero() {
		return p.Stage
	}
	return p.Stage + ", " + p.Date.Format(time.DateOnly)
}

// LowNotWorn is a finding of wear on frets that were never right, and what to do then.
func LowNotWorn(finding string) (words, advice string) {
	return strings.Replace(finding, "worn ", "low ", 1), "reseat them higher, or level the rest to them if enough crown is left"
}

// WithStory puts a finding's history between its words and its advice.
func WithStory(finding, story string) string {
	if story == "" {
		return finding
	}
	words, advice, found := strings.Cut(finding, ": ")
	if words += " (" + story + ")"; found {
		words += ": " + advice
	}
	return words
}

// RodFirst is a hold of the rod where a listing has room for a line.
const RodFirst = "File nothing yet. The rod can take this bow out: set it and read again."

// SetsRod reports whether a hold says to set the rod first.
func SetsRod(hold string) bool {
	return strings.HasPrefix(hold, waits(findings.Wait{Why: findings.RodFirst}))
}

// ThenLook is a step, and the frets to look at after it.
func ThenLook(step, frets string) string {
	return step + ". Then look at " + frets + " (--all)"
}

// NotInHistory warns that an earlier record could not be compared.
func NotInHistory(stage string, record int64, why error) string {
	return fmt.Sprintf("%s (record %d) was not compared: %v", stage, record, why)
}

// HistoryJudged says how sure a history is.
func HistoryJudged(withinMM float64, confidence string) string {
	return fmt.Sprintf("The same: within %.3f mm, with %s confidence. What changed is judged for the whole neck and all stages together, with %s", withinMM, confidence, confidence)
}
