package answer

import (
	"context"
	"errors"
	"slices"

	"ringtrue/internal/book"
	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/hand"
	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// HandOf learns a hand from the book: removal, flats, and the shop's minutes, of which
// each is what they are taken to be before any job. by is whose; "" for the only hand
// there is. unread are records whose tags or files cannot be read.
func HandOf(ctx context.Context, s book.Store, by string, each hand.Counts) (k hand.Known, unread []int64, err error) {
	var necks []hand.Neck
	err = book.Pairs(ctx, s, func(p book.Pair) error {
		n, err := neckOf(ctx, s, p)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.Is(err, errUnread):
			unread = append(unread, p.After.Number)
		case err != nil:
			return err
		default:
			necks = append(necks, n)
		}
		return nil
	})
	return hand.Know(necks, by, each), unread, err
}

// errUnread says that a record does not tell what was done.
var errUnread = errors.New("not to be read")

// neckOf is what one record tells.
func neckOf(ctx context.Context, s book.Store, p book.Pair) (n hand.Neck, err error) {
	n.By = p.After.By
	strokes, err := hand.Parse(p.After.Tags[book.StrokesTag])
	if err != nil {
		return n, errUnread
	}
	f, err := book.WholeFiles(ctx, s, p.After)
	if errors.Is(err, book.ErrDamaged) {
		return n, errUnread
	}
	if err != nil {
		return n, err
	}
	after, err := f.Parse()
	if err != nil {
		return n, errUnread
	}
	n.Wire = after.Model.Wire.Alloy
	if minutes, err := unit.Number(p.After.Tags[book.MinutesTag]); err == nil && minutes > 0 {
		n.Job = hand.Job{Counts: strokes.Counted(passesOf(after.Readings), len(after.Readings)), Minutes: minutes}
	}
	if p.Before == nil {
		n.Blind = len(strokes)
		return n, nil
	}
	if f, err = book.WholeFiles(ctx, s, p.Before); err != nil {
		return n, errUnread
	}
	before, err := f.Parse()
	if err != nil {
		return n, errUnread
	}
	was, err := heightsOf(p.Before)
	if err != nil {
		return n, err
	}
	is, err := heightsOf(p.After)
	if err != nil {
		return n, err
	}
	n.Done, n.Blind = hand.Pair(hand.BenchOf(after.Model, after.Layout), hand.Between(before.Layout, after.Layout, was, is), strokes)
	return n, nil
}

func heightsOf(r *book.Record) (out []hand.Height, err error) {
	crowns, err := r.Derived.Crowns.Unpack()
	if err != nil {
		return nil, errUnread
	}
	for _, c := range crowns {
		out = append(out, hand.Height{Fret: c.Fret, Lane: c.Lane, OffMM: c.OffMM, UMM: c.UMM})
	}
	return out, nil
}

// passesOf counts the passes of readings.
func passesOf(readings []reading.Reading) int {
	type pass struct {
		method reading.Method
		lane   float64
		name   string
	}
	seen := map[pass]bool{}
	for _, r := range readings {
		seen[pass{r.Method, r.Lane, r.Pass}] = true
	}
	return len(seen)
}

// StrokesTaken is what one entry of strokes took off between two sets of readings.
type StrokesTaken struct {
	Tool     string  `json:"tool"`
	Paper    string  `json:"paper,omitempty"`
	By       string  `json:"by,omitempty"`
	Strokes  int     `json:"strokes"`
	Crowns   int     `json:"crowns"`
	DepthMM  float64 `json:"depth_mm"` // mean over its crowns
	UMM      float64 `json:"u_mm"`
	FlatMM   num.Opt `json:"flat_mm,omitzero"`
	FlatSays num.Opt `json:"flat_says_mm,omitzero"` // the depth of that flat
}

// takenBy says what strokes took off, by the necks before and after.
func takenBy(m neck.Model, l *geometry.Layout, before, after *findings.Neck, strokes hand.Strokes) (out []StrokesTaken, blind int) {
	done, blind := hand.Pair(hand.BenchOf(m, l), hand.Between(l, l, heightsIn(before), heightsIn(after)), strokes)
	out = []StrokesTaken{}
	for _, d := range done {
		t := StrokesTaken{Tool: d.Tool, Paper: d.Paper, By: d.By, Strokes: d.Strokes, Crowns: d.Crowns, DepthMM: d.DepthMM, UMM: d.UMM}
		if d.FlatMM > 0 {
			t.FlatMM, t.FlatSays = num.Some(d.FlatMean()), num.Some(d.FlatDepth())
		}
		out = append(out, t)
	}
	return out, blind
}

func heightsIn(n *findings.Neck) (out []hand.Height) {
	for _, l := range n.Lanes {
		for i, f := range l.Frets {
			out = append(out, hand.Height{Fret: f, Lane: l.Lane.Lane, OffMM: l.Off[i], UMM: l.U[i]})
		}
	}
	return out
}

// BookHandAnswer is what the book knows of a hand, as JSON has it.
type BookHandAnswer struct {
	By      string        `json:"by"`
	Hands   []string      `json:"hands"` // whose strokes the book has
	Removal []HandRemoval `json:"removal"`
	Flats   *HandFlats    `json:"flats"` // null: no flat was written down of one hand
	Minutes HandMinutes   `json:"minutes"`
	Untold  int           `json:"untold"` // entries without untouched frets to compare
	Unread  []int64       `json:"unread"` // records that cannot be read
	Next    string        `json:"next"`   // what to do with it
}

// HandRemoval is what a stroke takes off. Of depths: the next one's 90 % range, × or
// ÷.
type HandRemoval struct {
	hand.Key
	Necks       int       `json:"necks"`
	Entries     int       `json:"entries"`
	PerStroke   float64   `json:"mm3_per_stroke"`
	Range       []float64 `json:"range"` // of PerStroke, 90 %
	DepthFactor float64   `json:"next_depth_factor"`
	WornPct     num.Opt   `json:"worn_pct_after_10_m,omitzero"` // where sure
}

// HandFlats is how deep flats end beside what they say.
type HandFlats struct {
	Flats     int     `json:"flats"`
	Necks     int     `json:"necks"`
	DeeperPct float64 `json:"deeper_pct"`
	UPct      float64 `json:"u_pct"`
	Corrected bool    `json:"corrected"`           // in the flats of plans
	ScatterMM num.Opt `json:"scatter_mm,omitzero"` // of a width, where known: plans count on it
}

func flatsOf(e hand.Eye) *HandFlats {
	if e.Spots == 0 {
		return nil
	}
	f := &HandFlats{Flats: e.Spots, Necks: e.Necks, Corrected: e.Sure()}
	f.DeeperPct, f.UPct = e.DeeperPct()
	if mm, known := e.ScatterMM(); known {
		f.ScatterMM = num.Some(mm)
	}
	return f
}

// HandUsed is the hand that a plan was made for.
type HandUsed struct {
	By      string     `json:"by"`
	Entries int        `json:"entries"` // of strokes in the book
	Flats   *HandFlats `json:"flats"`
}

// handUsed is whom the book knows; nil where it knows nobody.
func (r *FretsRequest) handUsed() *HandUsed {
	if r.Hand == nil || r.Hand.Several() {
		return nil
	}
	u := &HandUsed{By: r.Hand.By, Flats: flatsOf(r.Hand.Eye)}
	for _, l := range r.Hand.Removals {
		u.Entries += l.Spots
	}
	if u.Entries == 0 {
		return nil
	}
	return u
}

// HandMinutes is what steps take.
type HandMinutes struct {
	Jobs int        `json:"jobs"` // of the book; 0: usual times, or the shop file's
	Each []TimeStep `json:"each"`
}

// BookHand says what the book knows of a hand.
func BookHand(ctx context.Context, s book.Store, by string, shop neck.Shop) (*BookHandAnswer, error) {
	k, unread, err := HandOf(ctx, s, by, hand.Each(shop.Minutes, 0))
	if err != nil {
		return nil, err
	}
	if by != "" && !slices.Contains(k.Hands, by) {
		return nil, book.NotFound("a measured stroke by", by, k.Hands)
	}
	a := &BookHandAnswer{By: k.By, Hands: append([]string{}, k.Hands...), Removal: []HandRemoval{}, Untold: k.Blind, Unread: append([]int64{}, unread...)}
	for _, l := range k.Removals {
		q, low, high := l.PerStroke()
		r := HandRemoval{Key: l.Key, Necks: l.Necks, Entries: l.Spots, PerStroke: q, Range: []float64{low, high}, DepthFactor: l.DepthFactor()}
		if l.Worn.Sure() {
			r.WornPct = num.Some(l.Worn.PctAfter(10))
		}
		a.Removal = append(a.Removal, r)
	}
	a.Flats = flatsOf(k.Eye)
	a.Minutes = HandMinutes{Jobs: k.Jobs, Each: []TimeStep{}}
	for step, minutes := range k.Minutes() {
		a.Minutes.Each = append(a.Minutes.Each, TimeStep{Step: hand.StepName(step), Count: 1, Minutes: minutes})
	}
	a.Next = text.HandNext(k)
	return a, nil
}
