package answer

import (
	"cmp"
	"context"
	"errors"
	"maps"
	"slices"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/inhand"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
	"ringtrue/internal/text"
)

// InHandRequest is what `shop` is asked.
type InHandRequest struct {
	Now    time.Time // in the shop's own time
	Days   int       // necks that nobody touched for longer are left out
	Most   int       // how many necks are listed; 0: all
	All    bool      // those that are done, too
	Shop   neck.Shop
	Serial string   // only this neck, however long ago it was touched; "": all
	InWork []InWork // readings that are not in the book yet

	// Work is what the readings of a record ask for, where that is known already; nil
	// works it out for every neck listed.
	Work func(record int64, serial string) *text.InHandWork
}

// InWork is a neck whose readings are being taken.
type InWork struct {
	ID, Serial, Model string
	inhand.Record
	Opened  time.Time
	Nothing bool             // is read of it yet
	Parsed  book.Parsed      // its neck file
	Work    *text.InHandWork // what its readings ask for; nil: not known yet
	Words   string           // what is to be done next, in the words of its own page
	Href    string           // and where
}

// InHandAnswer is every neck in hand, in the order in which something can be done.
type InHandAnswer struct {
	At       time.Time    `json:"at"`
	Headline string       `json:"headline"`
	InHand   int          `json:"in_hand"`
	Ready    int          `json:"can_be_done_now"`
	Done     int          `json:"done"`
	Days     int          `json:"days"`
	Necks    []InHandNeck `json:"necks"`
	People   []string     `json:"people"` // who has necks here or speaks of them, the busiest first
	More     int          `json:"more"`   // in hand, but not listed
}

// InHandNeck is a neck in hand.
type InHandNeck struct {
	Serial  string      `json:"serial"`
	Model   string      `json:"model,omitempty"`
	Step    inhand.Step `json:"step"`
	Turn    inhand.Turn `json:"turn"`
	Words   string      `json:"words"` // the step, as it is said
	Until   time.Time   `json:"until,omitzero"`
	UntilIn string      `json:"-"`
	StepIn  string      `json:"-"` // the step without its time
	Since   time.Time   `json:"since,omitzero"`
	WaitedH num.Opt     `json:"waited_h,omitzero"`
	Waited  string      `json:"waited,omitempty"`
	Ago     string      `json:"-"` // Waited in a sentence
	Who     string      `json:"who,omitempty"`
	Stage   string      `json:"stage,omitempty"`
	Verdict string      `json:"verdict,omitempty"`
	Record  int64       `json:"record,omitempty"`
	Note    string      `json:"note,omitempty"` // the latest that is not understood

	ID   string        `json:"-"` // of a neck in work
	Own  bool          `json:"-"` // its own page says what is next: readings are being taken
	Taps []inhand.Kind `json:"-"`
}

// inHandNeck is a neck while its turn is worked out.
type inHandNeck struct {
	inhand.Neck
	inhand.Next
	work *InWork // its readings are being taken
}

// InHand lists the necks in hand. Of the book it reads the records and notes of the last
// days, by their index; findings are worked out only for the necks that are listed.
func InHand(ctx context.Context, s book.Store, r InHandRequest) (*InHandAnswer, error) {
	necks, err := gatherInHand(ctx, s, r)
	if err != nil {
		return nil, err
	}
	a := &InHandAnswer{At: r.Now, Days: r.Days, Necks: []InHandNeck{}}
	g := waits{ctx: ctx, store: s, r: r}
	for _, n := range necks {
		n.Next = inhand.Of(n.Neck, r.Now, func(w inhand.Word) time.Time { return g.until(n, w) })
		switch n.Turn {
		case inhand.Over:
			a.Done++
			continue
		case inhand.Now:
			a.Ready++
		}
		a.InHand++
	}
	if g.err != nil {
		return nil, g.err
	}
	if !r.All {
		necks = slices.DeleteFunc(necks, func(n *inHandNeck) bool { return n.Turn == inhand.Over })
	}
	slices.SortStableFunc(necks, func(a, b *inHandNeck) int { return inhand.Order(a.Next, b.Next) })
	if a.More = len(necks) - r.Most; r.Most > 0 && a.More > 0 {
		necks = necks[:r.Most]
	} else {
		a.More = 0
	}
	a.Headline = text.InHandHead(a.InHand, a.Ready)
	if err := a.list(ctx, s, necks, r); err != nil {
		return nil, err
	}
	a.People = peopleOf(necks, a.Necks)
	return a, nil
}

// peopleOf are the names that a neck can be handed to.
func peopleOf(necks []*inHandNeck, listed []InHandNeck) []string {
	times := map[string]int{}
	for _, n := range necks {
		for _, w := range n.Words {
			times[w.By]++
			if w.Kind == inhand.Handed {
				times[w.Who]++
			}
		}
		if n.Next.Record != nil {
			times[n.Next.Record.By]++
		}
	}
	for _, l := range listed {
		times[l.Who]++
	}
	delete(times, "")
	return slices.SortedFunc(maps.Keys(times), func(a, b string) int { return cmp.Or(times[b]-times[a], cmp.Compare(a, b)) })
}

// list puts the necks into words; what each needs is worked out on several processors.
func (a *InHandAnswer) list(ctx context.Context, s book.Store, necks []*inHandNeck, r InHandRequest) error {
	return book.InOrder(ctx, book.All(necks), func(ctx context.Context, _ int, n *inHandNeck) (InHandNeck, error) {
		return inHandLine(ctx, s, n, r)
	}, func(_ int, line InHandNeck, err error) error {
		if err == nil {
			a.Necks = append(a.Necks, line)
		}
		return err
	})
}

// gatherInHand puts together what is known of each neck that was touched, in order of
// serials.
func gatherInHand(ctx context.Context, s book.Store, r InHandRequest) ([]*inHandNeck, error) {
	since := r.Now.AddDate(0, 0, -r.Days)
	known := map[string]*inHandNeck{}
	var all []*inHandNeck
	of := func(serial string) *inHandNeck {
		n := known[serial]
		if n == nil || serial == "" {
			n = &inHandNeck{Neck: inhand.Neck{Serial: serial}}
			known[serial], all = n, append(all, n)
		}
		return n
	}
	switch {
	case r.Serial != "":
		n := of(r.Serial)
		if err := olderRecords(ctx, s, n); err != nil {
			return nil, err
		}
		notes, err := s.Notes(ctx, r.Serial, time.Time{})
		for _, w := range notes {
			n.hear(w, r.Now)
		}
		return all, err
	case s != nil:
		if err := gatherBook(ctx, s, since, of, func(serial string) bool { return known[serial] != nil }); err != nil {
			return nil, err
		}
	}
	for i := range r.InWork {
		w := &r.InWork[i]
		n := of(w.Serial)
		if slices.ContainsFunc(n.Records, func(k inhand.Record) bool { return k.At.After(w.At) }) {
			continue // the book knows more
		}
		n.work, n.Model, n.Records = w, w.Model, append(n.Records, w.record(r.Shop))
	}
	return all, nil
}

// gatherBook gathers the records and notes of a book since a time.
func gatherBook(ctx context.Context, s book.Store, since time.Time, of func(string) *inHandNeck, known func(string) bool) error {
	touched, err := s.Touched(ctx, since)
	if err != nil {
		return err
	}
	for _, t := range touched {
		if t.At.Before(since) && !known(t.Serial) { // a correction of an old record: what was said in between counts
			if err := olderNotes(ctx, s, of(t.Serial), since); err != nil {
				return err
			}
		}
		n := of(t.Serial)
		n.Records = append(n.Records, inhand.Record{Number: t.Number, Stage: t.Stage, Verdict: straight.Verdict(t.Verdict), FretsOff: t.FretsOff, At: t.At})
	}
	notes, err := s.Notes(ctx, "", since)
	if err != nil {
		return err
	}
	for _, w := range notes {
		if !known(w.Serial) { // its records are older
			if err := olderRecords(ctx, s, of(w.Serial)); err != nil {
				return err
			}
		}
		of(w.Serial).hear(w, since)
	}
	return nil
}

// olderNotes takes in what was said of a neck before a time.
func olderNotes(ctx context.Context, s book.Store, n *inHandNeck, before time.Time) error {
	notes, err := s.Notes(ctx, n.Serial, time.Time{})
	for _, w := range notes {
		if w.Added.Before(before) {
			n.hear(w, before)
		}
	}
	return err
}

// hear takes a note in; now tells the shop's own time.
func (n *inHandNeck) hear(w book.Said, now time.Time) {
	n.Words = append(n.Words, inhand.Understand(w.Text, w.By, w.At.In(now.Location()), w.Added))
}

func olderRecords(ctx context.Context, s book.Store, n *inHandNeck) error {
	records, err := s.Records(ctx, n.Serial)
	added := map[int64]time.Time{} // of a correction, when what it corrects was, as in book.Touched
	for _, r := range records {
		at, corrects := added[r.CorrectsNo]
		if !corrects {
			at = r.Added
		}
		if added[r.Number] = at; r.CorrectedBy == 0 {
			n.Records = append(n.Records, inhand.Record{Number: r.Number, Stage: r.Stage, Verdict: straight.Verdict(r.Derived.Verdict), FretsOff: r.Derived.FretsOff, By: r.By, At: at})
		}
	}
	return err
}

// record is what is being read, as a record; a bare board may have to dry first.
func (w *InWork) record(shop neck.Shop) inhand.Record {
	k := w.Record
	if w.Nothing {
		k.Dry = dryAt(w.Parsed, w.Opened, shop)
	}
	return k
}

// lookUp fills in what only the latest record itself tells: the model, and whose it is.
func (n *inHandNeck) lookUp(ctx context.Context, s book.Store, g *waits) error {
	k := n.Next.Record
	if k == nil || k.Number == 0 {
		return nil
	}
	r, err := s.Record(ctx, k.Number)
	if errors.Is(err, book.ErrDamaged) {
		return nil // check says so
	}
	n.Model, k.By = r.Derived.Model, r.By
	n.Next = inhand.Of(n.Neck, g.r.Now, func(w inhand.Word) time.Time { return g.until(n, w) })
	return err
}

// inHandLine is a neck as it is listed.
func inHandLine(ctx context.Context, s book.Store, n *inHandNeck, r InHandRequest) (InHandNeck, error) {
	if err := n.lookUp(ctx, s, &waits{ctx: ctx, store: s, r: r}); err != nil {
		return InHandNeck{}, err
	}
	l := InHandNeck{Serial: n.Serial, Model: n.Model, Until: n.Until, Since: n.Since, Who: n.Who, Waited: text.InHandWaited(n.Since, r.Now)}
	if !n.Since.IsZero() {
		l.WaitedH = num.Some(max(0, r.Now.Sub(n.Since).Hours()))
	}
	l.Ago = text.InHandAgo(l.Waited)
	if n.Text != nil {
		l.Note = n.Text.Said
	}
	own := false // what its page says of the readings being taken
	if k := n.Next.Record; k != nil {
		l.Stage, l.Verdict, l.Record = k.Stage, string(k.Verdict), k.Number
		own = n.work != nil && k.Number == 0
	}
	if n.work != nil {
		l.ID = n.work.ID
	}
	var work *text.InHandWork
	if own {
		work = n.work.Work
	}
	if !own && l.Record > 0 && n.Turn == inhand.Now {
		var err error
		if work, err = workOf(ctx, s, n, r); err != nil {
			return l, err
		}
	}
	x := n.Next
	if work != nil {
		x = x.With(inhand.Found{Again: work.Again, First: len(work.First), File: work.File, Whole: work.Whole != "", Wait: work.Wait})
	}
	l.Step, l.Turn, l.Taps = x.Step, x.Turn, x.Step.Taps()
	l.StepIn, l.UntilIn = text.InHandStep(x, work), text.InHandUntil(x, r.Now)
	l.Own = own && (x.Step == inhand.Read || x.Step == inhand.ReadAgain)
	l.Words = text.InHandLine(l.StepIn, l.UntilIn)
	return l, nil
}

// workOf is what the readings of a neck's latest record ask for; nil where its files
// say nothing.
func workOf(ctx context.Context, s book.Store, n *inHandNeck, r InHandRequest) (*text.InHandWork, error) {
	number := n.Next.Record.Number
	if r.Work != nil {
		return r.Work(number, n.Serial), nil
	}
	f, err := s.Files(ctx, number)
	if errors.Is(err, book.ErrDamaged) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	p, err := f.Parse()
	if err != nil {
		return nil, nil // book show says why
	}
	a, err := Frets(ctx, FretsRequest{Model: p.Model, Layout: p.Layout, Readings: p.Readings, Shop: r.Shop})
	if err != nil {
		if fileerr.Is(err) {
			err = nil
		}
		return nil, err
	}
	return InHandWorkOf(a), nil
}

// InHandWorkOf is what an answer asks for.
func InHandWorkOf(a *FretsAnswer) *text.InHandWork {
	w := &text.InHandWork{Again: len(a.Recheck), Wait: a.WhyNot != ""}
	if w.Again > 0 {
		w.AgainFret, w.AgainLane = a.Recheck[0].Fret, a.Recheck[0].Lane
	}
	if len(a.Findings) > 0 {
		w.Whole = a.Findings[0].Finding
	}
	step := map[int]string{}
	for _, f := range a.Frets {
		step[f.Fret] = f.Step
	}
	if a.Work != nil {
		for _, f := range a.Work.First {
			w.First = append(w.First, step[f.Fret])
		}
		w.File = len(a.Work.Crowns)
	}
	if len(w.First) == 0 && w.File == 0 { // nothing is to be filed: the findings themselves
		for _, f := range a.Frets {
			w.First = append(w.First, f.Step)
		}
	}
	return w
}
