package inhand

import (
	"slices"
	"strings"
	"time"

	"ringtrue/internal/straight"
)

// Step is what a neck needs next.
type Step string

// The steps of the work.
const (
	Dry       Step = "dry"
	Read      Step = "read"
	ReadAgain Step = "read again"
	Press     Step = "press"  // frets to see to: press, glue or replace
	SeeTo     Step = "see to" // the neck as a whole
	Setting   Step = "glue setting"
	Level     Step = "level"
	ReadAfter Step = "read after"
	String    Step = "string"
	Play      Step = "play"
	Wait      Step = "waiting"
	Done      Step = "done"
)

// Turn is whose turn a neck waits for; necks are listed in this order.
type Turn string

// The turns.
const (
	Now    Turn = "now"   // something can be done at once
	Later  Turn = "later" // a time must pass, Next.Until
	ByWord Turn = "word"  // a person must say something
	Over   Turn = "done"
)

// Record is a neck's record, or readings in work that are not in the book yet.
type Record struct {
	Number   int64 // 0: not in the book yet
	Stage    string
	Verdict  straight.Verdict // empty: nothing was worked out, or nothing is read
	FretsOff int              // frets with a finding
	By       string
	At       time.Time
	Dry      time.Time // with nothing read: when the board is dry enough; zero: it is
}

// Neck is what is known of a neck.
type Neck struct {
	Serial, Model string
	Records       []Record // in force, any order
	Words         []Word   // any order
}

// Next is what a neck needs, since when, and who has it.
type Next struct {
	Step   Step
	Turn   Turn
	Until  time.Time // of Later
	Since  time.Time // since when it has waited for this step
	Who    string    // who has it; "": nobody said
	For    string    // of Wait: what for
	Glue   *Word     // of Setting
	Record *Record   // the latest; nil: none
	Text   *Word     // the latest note that is not understood, nothing done since
}

// GoneDays is after how many days without a word a neck that is strung and level counts
// as gone: nobody says of every neck that it was sold.
const GoneDays = 30

// Of says what a neck needs next. until is when the glue of a note has set, or the wood
// is dry; zero: not known.
func Of(n Neck, now time.Time, until func(Word) time.Time) Next {
	words := slices.Clone(n.Words)
	slices.SortStableFunc(words, func(a, b Word) int { return a.Told.Compare(b.Told) })
	x := Next{}
	var held *Next // what it was before it waited for a word
	for i := range n.Records {
		if r := &n.Records[i]; x.Record == nil || !r.At.Before(x.Record.At) {
			x.Record = r
		}
	}
	x.ofRecord(now)
	last := time.Time{}
	if x.Record != nil {
		last = x.Record.At
	}
	for i := range words {
		w := &words[i]
		if w.Told.Before(last) { // a record came after it
			if w.Kind == Handed && x.Record.By == "" {
				x.Who = w.Who
			}
			continue
		}
		switch {
		case w.Kind == Waiting && x.Turn != ByWord:
			was := x
			held = &was
		case w.Kind == Here && x.Step == Wait && held != nil:
			x.resume(*held, w, now)
			continue
		}
		x.hear(w, now, until)
	}
	x.hold(words, now, until)
	if x.Step == Play && now.Sub(x.Since) > GoneDays*24*time.Hour {
		x.Step, x.Turn = Done, Over
	}
	return x
}

// resume takes a neck up again where it was before it waited for what is here now.
func (x *Next) resume(was Next, w *Word, now time.Time) {
	who := x.Who
	*x = was
	x.Who = who
	if x.Turn == Later && !x.Until.After(now) {
		x.Step, x.Turn, x.Until = Read, Now, time.Time{}
	}
	if x.Turn == Now {
		x.Since = w.At
	}
}

// heldFor is how long a note of glue is asked for once something was done or read since:
// by then all but glues with water have set, and the list stays quick.
const heldFor = 48 * time.Hour

// hold keeps a neck while glue sets on it, whatever else was done or read since: of the
// same frets the latest note counts, of several the last to set.
func (x *Next) hold(words []Word, now time.Time, until func(Word) time.Time) {
	if x.Turn != Now {
		return
	}
	latest := map[string]*Word{}
	for i := range words {
		switch w := &words[i]; w.Kind {
		case Glued:
			latest[w.Frets] = w
		case IsDry, Gone:
			clear(latest)
		}
	}
	for i := range words {
		w := &words[i]
		if latest[w.Frets] != w || w != x.Glue && now.Sub(w.At) > heldFor {
			continue
		}
		switch end := until(*w); {
		case end.After(now) && end.After(x.Until):
			x.Step, x.Turn, x.Until, x.Since, x.Glue = Setting, Later, end, w.At, w
		case w == x.Glue && x.Turn == Now && end.After(x.Since):
			x.Since = end
		}
	}
}

// ofRecord is the step that follows from the latest record alone.
func (x *Next) ofRecord(now time.Time) {
	r := x.Record
	if r == nil {
		x.Step, x.Turn = Read, Now
		return
	}
	x.Since, x.Who = r.At, r.By
	strung := isStrung(r.Stage)
	switch {
	case isOut(r.Stage):
		x.Step, x.Turn = Done, Over
		return
	case r.Verdict == "" && r.Dry.After(now):
		x.Step, x.Turn, x.Until = Dry, Later, r.Dry
		return
	case r.Verdict == "":
		x.Step = Read
		if !r.Dry.IsZero() {
			x.Since = r.Dry
		}
	case r.Verdict == straight.InDoubt:
		x.Step = ReadAgain
	case r.Verdict == straight.NotLevel && r.FretsOff > 0:
		x.Step = Press
	case r.Verdict == straight.NotLevel:
		x.Step = Level
	case strung:
		x.Step = Play
	default:
		x.Step = String
	}
	x.Turn = Now
}

// hear takes in what was said after all that is known so far.
func (x *Next) hear(w *Word, now time.Time, until func(Word) time.Time) {
	do := func(s Step, t Turn) {
		x.Step, x.Turn, x.Until, x.Since, x.For, x.Glue, x.Text = s, t, time.Time{}, w.At, "", nil, nil
		if w.By != "" {
			x.Who = w.By
		}
	}
	switch w.Kind {
	case Handed:
		x.Who = w.Who
	case Glued:
		do(ReadAfter, Now)
		x.Glue = w // hold says until when
	case Pressed, Filed:
		do(ReadAfter, Now)
	case IsStrung:
		do(Play, Now)
	case Waiting:
		do(Wait, ByWord)
		x.For = w.For
	case Drying:
		do(Dry, ByWord)
		if end := until(*w); end.After(now) {
			x.Turn, x.Until = Later, end
		} else if !end.IsZero() {
			x.Step, x.Turn, x.Since = Read, Now, end
		}
	case IsDry:
		if x.Glue != nil {
			x.Since = w.At
		}
		if x.Step == Dry {
			who := x.Who
			x.ofRecord(now)
			x.Since, x.Who, x.Until = w.At, who, time.Time{}
			if x.Step == Dry {
				x.Step, x.Turn = Read, Now
			}
		}
	case Back:
		do(Read, Now)
	case Gone:
		do(Done, Over)
	case Text:
		x.Text = w
	}
}

// isOut reports whether a stage's word says that the neck has left the shop.
func isOut(stage string) bool {
	switch strings.ToLower(stage) {
	case "done", "finished", "sold", "shipped", "delivered", "collected":
		return true
	}
	return false
}

// isStrung reports whether a stage's word says that strings are on.
func isStrung(stage string) bool {
	switch s := strings.ToLower(stage); s {
	case "returned", "played", "set up", "set-up", "setup":
		return true
	default:
		return strings.HasPrefix(s, "strung")
	}
}

// Found is what the readings of a neck's latest record say is to be done.
type Found struct {
	Again int  // readings to take again
	First int  // frets to see to before any file
	File  int  // crowns to file
	Whole bool // something is wrong with the neck as a whole
	Wait  bool // the readings are not enough to file by
}

// With is the step where it is known what the readings say: the record alone tells only
// whether the neck is level.
func (x Next) With(f Found) Next {
	if x.Turn != Now || !slices.Contains([]Step{ReadAgain, Press, Level, String, Play}, x.Step) {
		return x
	}
	switch {
	case f.Again > 0:
		x.Step = ReadAgain
	case f.Whole:
		x.Step = SeeTo
	case f.First > 0:
		x.Step = Press
	case f.File > 0:
		x.Step = Level
	case f.Wait && x.Step == Level:
		x.Step = ReadAgain
	}
	return x
}

// Taps are the notes that say a step is done, in the words that Understand knows.
func (s Step) Taps() []Kind {
	return map[Step][]Kind{
		Dry: {IsDry}, Press: {Glued, Pressed}, SeeTo: {Filed, Glued}, Level: {Filed}, String: {IsStrung}, Play: {Gone}, Wait: {Here}, Done: {Back},
	}[s]
}

// Order compares necks: what can be done now first, longest waiting first; then what
// waits for a time, soonest first; then what waits for a word; done ones last.
func Order(a, b Next) int {
	rank := func(t Turn) int { return slices.Index([]Turn{Now, Later, ByWord, Over}, t) }
	if d := rank(a.Turn) - rank(b.Turn); d != 0 {
		return d
	}
	if a.Turn == Later {
		return a.Until.Compare(b.Until)
	}
	return a.Since.Compare(b.Since)
}

// FretsOff is how many frets of the latest record have a finding.
func (x Next) FretsOff() int {
	if x.Record == nil {
		return 0
	}
	return x.Record.FretsOff
}
