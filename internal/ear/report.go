package ear

import (
	"cmp"
	"context"
	"errors"
	"slices"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
	"ringtrue/internal/play"
)

// Request is a neck that is ready to be judged, and what was heard of it.
type Request struct {
	Neck    *play.Neck // prepared; its crowns as read, or perfect
	Answers []Answer
	Tell    func(done, of int) // how far the work has come; may be nil
}

// Report is what answers tell of a neck. Its words are the catalogue's to fill in.
type Report struct {
	Neck       string  `json:"neck"`
	Answers    int     `json:"answers"`
	Buzzing    int     `json:"buzzing"`     // of them
	NotWeighed int     `json:"not_weighed"` // answers on notes that cannot be judged
	Read       bool    `json:"read"`        // crowns were read
	HighFret   *High   `json:"high_fret"`   // nil: none is sure enough, or crowns were read
	Likeliest  []High  `json:"likeliest"`   // frets by chance, the first three; none where crowns were read
	NoneHigh   num.Opt `json:"chance_none,omitzero"`
	Comparison
}

// High is a fret that may stand high.
type High struct {
	Fret   int     `json:"fret"`
	Chance float64 `json:"chance"`    // that it stands highMM or more high
	MM     float64 `json:"likely_mm"` // how high it then is, in the mean
}

// worlds is how many worlds answers are weighed in, and seed where their draws start.
const (
	worlds = 2000
	seed   = 19
)

// SureChance is the chance from which on a fret is named, and HighMM how high it then
// is at least.
const (
	SureChance = sure
	HighMM     = highMM
)

// Of weighs the answers. Errors as play.Judge; the work called off.
func Of(ctx context.Context, r Request) (*Report, error) {
	out := &Report{Neck: r.Neck.Model.Name, Answers: len(r.Answers), Read: r.Neck.Read, Likeliest: []High{}, Comparison: Comparison{Disagree: []Disagreement{}, Look: []Look{}}}
	notes, answers, err := r.notes(ctx)
	if err != nil {
		return nil, err
	}
	for _, a := range r.Answers {
		if a.Buzzes {
			out.Buzzing++
		}
	}
	out.NotWeighed = len(r.Answers) - len(answers)
	if r.Neck.Read {
		out.Comparison = r.compare(notes, answers)
		return out, nil
	}
	return out, r.name(ctx, out, notes, answers)
}

// notes prepares the note of every answer that can be judged, each note once.
func (r *Request) notes(ctx context.Context) (notes []placed, answers []Answer, err error) {
	type key struct {
		string, fret int
		touch        string
	}
	known := map[key]*note{}
	for _, a := range r.Answers {
		k := key{a.String, a.Fret, a.Touch}
		in := r.Neck.CaseOf(a.String)
		if in < 0 {
			continue
		}
		n, seen := known[k]
		if !seen {
			c := &r.Neck.Cases[in]
			t := slices.IndexFunc(c.Touches, func(t neck.Touch) bool { return t.Name == a.Touch })
			if n, err = noteOf(ctx, c, a.Fret, t); errors.Is(err, play.ErrNoCrown) {
				n = nil
			} else if err != nil {
				return nil, nil, err
			}
			known[k] = n
		}
		if n != nil {
			notes, answers = append(notes, placed{n, in}), append(answers, a)
		}
	}
	return notes, answers, ctx.Err()
}

// name finds the fret that stands high.
func (r *Request) name(ctx context.Context, out *Report, notes []placed, answers []Answer) error {
	t := &weighing{cases: r.Neck.Cases, notes: notes, worlds: worlds, seed: seed, told: [][]bool{nil}}
	for _, a := range answers {
		t.told[0] = append(t.told[0], a.Buzzes)
	}
	for _, f := range play.FretsOf(r.Neck.Layout) {
		if f > 0 {
			t.frets = append(t.frets, f)
		}
	}
	all, err := t.weigh(ctx, r.Tell)
	if err != nil {
		return err
	}
	w := all[0]
	out.NoneHigh = num.Some(w.none)
	for i, f := range t.frets {
		out.Likeliest = append(out.Likeliest, High{f, w.chance[i], w.meanMM[i]})
	}
	slices.SortStableFunc(out.Likeliest, func(a, b High) int { return cmp.Compare(b.Chance, a.Chance) })
	if len(out.Likeliest) > likeliest {
		out.Likeliest = out.Likeliest[:likeliest]
	}
	if len(out.Likeliest) > 0 && out.Likeliest[0].Chance >= sure {
		high := out.Likeliest[0]
		out.HighFret = &high
	}
	return nil
}

// likeliest is how many frets are listed.
const likeliest = 3
