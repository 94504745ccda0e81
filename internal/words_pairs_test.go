package internal

import "testing"

// pair is a phrase that stumbles, and what a maker would sooner read.
type pair struct {
	kind          kind
	before, after string
}

// pairs are phrases that this program has said, and says now.
func pairs() []pair {
	return []pair{
		{message, "%d things are to be mended; each stands beside its field.", "%d problems to fix. Each is shown next to its field."},
		{sentence, "In doubt, a reading to take again or a crown left open counts as not.", "`in doubt`, a reading set aside or a crown not determined also counts as not level."},
		{message, "here stands %s", "reading: %s"},
		{fault, "stands twice in the header; keep one", "appears twice in the header; keep one"},
		{sentence, "stands %s off what the other readings say, %.0f times its uncertainty; take it again: if it comes back, it is real", "is %s away from the other readings, %.0f times its uncertainty. Read it again: if it repeats, it is real"},
		{sentence, "%d records stand behind a later one of the same neck and stage, and are left out", "%d records left out: the same neck has a later one at this stage"},
		{sentence, "its readings carry no date such as 2026-03-14, so the day they were added stands for it", "its readings have no date, so the day they were added is used"},
		{sentence, "both stages bear the same date, so no rate and no year can be given", "both stages have the same date, so there is no rate or year to give"},
		{fault, "--paper: %q is none; write a4, letter or phone", "--paper: no such paper %q; use a4, letter or phone"},
		{fault, "--rules: %s is none; write zone, nelson or limits", "--rules: no such rules %s; use zone, nelson or limits"},
		{fault, "--units: %q is no unit of heights; write um or in", "--units: no such unit %q; use um or in"},
		{fault, "%s is no unit here; write mm or in", "%s is not a unit of length here; use mm or in"},
		{fault, "%s is no lane of this neck; write 1 to %d", "this neck has no lane %s; use 1 to %d"},
		{fault, "%s is no number; write one such as 0.58", "%s is not a number; write it like 0.58"},
		{fault, "has more than %d rows; that is no %s", "has more than %d rows, too many for a %s"},
		{summary, "Are the frets level, which are off, and what to take off where", "Judge the frets: level or not, and what to file where"},
		{summary, "Can this gauge, in these hands, see what must be seen", "Test whether a gauge is good enough for your tolerance"},
		{summary, "Every neck's readings for good", "Keep a permanent record of every neck"},
		{summary, "Is every record whole, and does all come out the same", "Check every record for damage"},
		{summary, "Work out anew what was worked out from the readings", "Recalculate all results from the stored readings"},
		{summary, "What a word of the files and screens means at the bench", "Explain a term from the files and answers"},
		{summary, "Is the process steady", "Chart your work over time and say whether it is steady"},
		{summary, "Is the wood dry enough, and what will the seasons do to it", "Check the wood: dry enough, and how it will move"},
		{summary, "Will any note buzz, how low can the strings go, and what would cure it", "Predict which notes buzz and how low the action can go"},
		{sentence, "where it was filed or pressed in between, that is what it shows; else find what let go, the glue or the board under it", "If it was filed or pressed in between, that explains it. If not, find what let go: the glue, or the board under it."},
		{message, "For a board without frets only: the gauge stood on the wood, just behind each slot. With frets in, these are heights of crowns: sand nothing by this page, go by Read and Plan.", "Only for a board without frets, read on the wood just behind each slot. If the frets are in, use Read and Plan."},
		{sentence, "what the maker calls this neck", "your name for this neck"},
		{sentence, "Who would sooner read at the neck than type files starts the pages", "If you'd rather read at the neck than type files, start the bench pages"},
		{sentence, "Has somebody sent you the built program in an archive? Then you need no Go", "If you were sent a built copy, you don't need Go"},
		{sentence, "cannot be told", "not enough readings"},
		{sentence, "only told to stand at least, or at most, so high", "the readings give only an upper or a lower limit"},
		{fault, "%w: none of %d records tells it", "%w: none of %d records has it"},
		{sentence, "What the readings cannot tell is said, not guessed", "If the readings aren't enough, it says so instead of guessing"},
		{fault, "touch %s is none of the neck's: %s", "this neck has no touch %s; it has %s"},
		{sentence, "every lane read anew into", "every lane read again into"},
		{sentence, "lift a fret and fit it, or another, anew", "lift a fret and fit it again, or fit a new one"},
		{message, "Put this stage in the book for good: %s.", "Save this stage in the book: %s."},
		{option, "list at most so many necks, 0 for all", "most necks to list; 0 lists all"},
		{option, "take the limits from the first so many points (or groups) only", "set the limits from the first N points (or groups)"},
		{option, "with --tune: and so far behind the fret", "with --tune: how far behind the fret the finger presses"},
		{heading, "Steps of the level: what changed, and since when", "Shifts: what changed, and since when"},
		{heading, "What a signal is worth: while nothing changes, a false one comes", "False alarms to expect while nothing changes"},
		{heading, "Capability: wanted are%s", "Capability for limits of%s"},
		{heading, "Read again first: these do not agree with the rest and were set aside", "Read again (they disagree with the rest)"},
		{heading, "Heights off the reference in %s (* high or low for certain, ? in doubt)", "Heights in %s (* sure, ? in doubt)"},
		{sentence, "Filings and nickel dust: draw them off, keep them from eyes and skin; the wire's label and local rules go first.", "Filing nickel silver: extract the dust, keep it out of eyes and lungs and off skin, wash your hands. Labels and local rules come first."},
		{sentence, "sanding dust of hardwoods harms lungs and skin: extraction and a mask, and the local rules", "Sanding hardwood: extract the dust and wear a mask. Local rules come first."},
		{fault, "%q is no way to read that is known", "unknown method %q"},
		{fault, "--bevel: %g lies outside 0 to 80 degrees.", "--bevel: %g must be 0 to 80 degrees"},
		{sentence, "it is there: level", "level"},
		{button, "Take a neck into work", "Start a neck"},
		{message, "Necks in work", "Necks in progress"},
		{message, "Nothing is to come off.", "Nothing to take off."},
		{message, "Not kept: the bench does not answer. The box is as it was.", "Not saved: no answer from the bench. The box is unchanged."},
		{sentence, "A function that ends in _aloud is heard.", "The output of a function named *_aloud is shown."},
		{message, "What changed stands on no line of its own: the file will be written out whole, its remarks left out.", "These changes can't be made in place. The file will be rewritten and its comments lost."},
		{message, "The bench does not answer: what stands here is of the action before.", "No answer from the bench. These figures are for the previous action."},
		{sentence, "pooled: hands read the parts alike, but for chance, so what is left of that counts as repeatability", "pooled: operators don't differ by part, so that term is counted as repeatability"},
		{option, "how much the surface holds back, as a Biot number (1 and below is much); 0 for bare wood in moving air", "surface Biot number: 0 bare wood in moving air, 1 or less sealed"},
		{sentence, "one low reading that its neighbours do not bear out, as a groove reads, or a slip: take it once more before filing", "one low reading its neighbours don't share: a groove or a misreading. Read it again before filing"},
		{message, "That failed inside the bench. What was kept before is safe. The terminal where the bench runs says more.", "Something went wrong in the bench. Everything saved so far is safe."},
		{message, "Can this gauge, in these hands, see what must be seen? Crowns of this neck are read by each hand several times. Which comes next is drawn by chance; nobody looks at what was read before.", "Is this gauge, as you use it, good enough? Each person reads each crown several times, in random order, without seeing earlier readings."},
		{message, "A text file with commas (.csv), a reading a row under a row of names; # begins a remark.", "A .csv file with a header row and one reading per row. Lines that start with # are comments."},
		{sentence, "too few readings share a set-up: an offset and a tilt are the gauge's own, so a pass wants three crowns or more", "too few crowns in this pass: the gauge's own offset and tilt use up two, so read three or more"},
		{sentence, "no number of passes by changing hands will do, the hands differ too much; of one and the same hand: %s", "different operators disagree too much to average. One operator needs %s"},
		{sentence, "the gauge tells about %d groups of parts apart (5 or more are wanted to follow a process)", "the gauge can tell about %d groups of parts apart (you need 5 to follow a process)"},
		{sentence, "two operators say little about hands in general; their share may well be larger (see its limits)", "two operators are few: people may differ by more than this (see its limits)"},
		{sentence, "OK: %d %s, all whole, all worked out the same", "OK: %d %s, none damaged, all results confirmed"},
		{sentence, "this machine's clock stands %s behind the last record of %s, so record %d is dated right after that one, %s; %s", "this computer's clock is %s behind the last record of %s, so record %d is dated just after it, %s; %s"},
		{sentence, "the back-bow is left out, all else holds: it wants the neck's own wood and thickness …", "no back-bow given: it needs the neck's wood and thickness. In [neck] write, for example, wood = \"maple\""},
		{sentence, "look at the joint and the board's glue there; what is sound is levelled, with fall-away towards the end if the maker wants it", "check the joint and the glue under the board. If they are sound, level it, with fall-away if you like"},
		{sentence, "read this crown once more; if it stands, press, glue and read again before filing", "read this crown again. If it repeats, press, glue and read again before filing"},
		{sentence, "its zone, %.3f ± %.3f mm, stands at the limit: even %d more passes may not settle it; a finer gauge would", "its zone, %.3f ± %.3f mm, is right at the limit: %d more passes may not settle it, a finer gauge would"},
		{sentence, "wire.crown_height %.2f mm is no higher than level.least_crown %.2f mm: no metal can come off", "wire.crown_height, %.2f mm, is not above level.least_crown, %.2f mm: there is no metal to take off"},
		{sentence, "read so here: a raw board is no finished part; that is an interpretation, no ruling", "taken here: a raw board is not a finished part (our reading, not a ruling)"},
		{sentence, "ringtrue reckons; it does not watch over you.", "ringtrue calculates. It can't keep you safe."},
		{sentence, "what you hear is what was reckoned", "what you hear is what was calculated"},
		{sentence, "ringtrue gives the maker of a fretted neck numbers, with their uncertainty, at each step: before the press, level or not and what to take off where, will it ring and how low can it go, and every neck on record.", "ringtrue plans your fret work. It judges from gauge readings whether the frets are level and what to file, predicts which notes buzz, and keeps a record of every neck. Its judgements say how sure they are."},
		{fault, "A number is missing", "a number is missing"},
		{fault, "one thing; another; a third", "one thing; another and a third"},
		{fault, "level — or not", "level, or not"},
		{button, "Take the last back", "Undo the last"},
	}
}

// What stands well in its plain sense stays.
func plainSense() []string {
	return []string{
		"there is none", "so that there is no rate", "is no longer read", "the fret stands 0.07 mm or more high", "fret ends stand proud by %s", "stands for the serial",
		"no fret stands out by itself", "how far the feet stand apart", "the string held down on fret 3", "glue that holds the tang", "a zero fret, which holds the open string",
		"look how each holds the gauge there", "nothing else", "or someone else's gauge", "a whole number", "the whole neck is humped", "the necks in hand", "work by hand",
		"pass the book from hand to hand", "wash your hands", "one for each string", "Level so far", "take the strings off again", "tell nut and saddle apart: they cannot tell nut and saddle apart",
		"keep one", "the frets that kept their ink", "read again", "never mind the pressing", "open string", "two open strings are clear",
	}
}

// The rules must be able to fail, and let pass what is plain.
func TestWords_PairsAreToldApart(t *testing.T) {
	for _, p := range pairs() {
		if len(faultsOf(p.kind, p.before)) == 0 {
			t.Errorf("nothing is found in %q", p.before)
		}
		for _, f := range faultsOf(p.kind, p.after) {
			t.Errorf("%q: %s", p.after, f)
		}
	}
	for _, text := range plainSense() {
		for _, f := range faultsOf(sentence, text) {
			t.Errorf("%q: %s", text, f)
		}
	}
}
