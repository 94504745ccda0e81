package bench

import (
	"context"
	"sync"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
)

// judgement is what the lists of necks keep of an answer.
type judgement struct {
	read, stage int    // which readings of a neck in work it is of
	records     int    // which record of a neck in the book it is of, by their number
	stored      bool   // it is what the book has stored: marks and steps are yet to come
	verdict     string // as package straight has it; empty: no readings
	fault       string // why there is no answer
	crowns      int    // determined
	open        int    // not determined
	strip       strip

	// What is to be done, in the order in which it matters.
	asks   string   // a reading that does not look right, in short
	askAt  string   // where it is read again
	again  []fretIn // readings to take again
	opens  []fretIn // crowns that are not determined
	whole  string   // what is wrong with the neck as a whole
	frets  []string // frets to see to
	file   bool     // crowns are to be filed
	filed  int      // how many
	settle string   // readings that would settle a doubt
	why    string   // why nothing is to be filed
}

// fretIn is a fret in a lane.
type fretIn struct {
	fret int
	lane float64
}

// judgements are what was worked out of necks in work and of records, kept for
// the lists: an answer takes long, and a list of a hundred must not.
type judgements struct {
	mu     sync.Mutex
	kept   map[string]*judgement
	asked  map[string]bool
	wanted []func()
	busy   bool
}

// maxJudged is how many judgements are kept in memory, some kilobytes each.
const maxJudged = 6000

func (j *judgements) of(key string) *judgement {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.kept[key]
}

func (j *judgements) keep(key string, v *judgement) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.kept == nil || len(j.kept) >= maxJudged && j.kept[key] == nil {
		j.kept = map[string]*judgement{}
	}
	j.kept[key] = v
}

// want has something worked out in the background. One after another: a reading
// that is typed meanwhile must not wait for a list.
func (j *judgements) want(ctx context.Context, key string, do func()) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.asked[key] {
		return
	}
	if j.asked == nil {
		j.asked = map[string]bool{}
	}
	j.asked[key] = true
	j.wanted = append(j.wanted, func() {
		do()
		j.mu.Lock()
		defer j.mu.Unlock()
		delete(j.asked, key)
	})
	if !j.busy {
		j.busy = true
		go j.work(ctx)
	}
}

func (j *judgements) work(ctx context.Context) {
	for {
		j.mu.Lock()
		if len(j.wanted) == 0 || ctx.Err() != nil {
			j.wanted, j.busy = nil, false
			j.mu.Unlock()
			return
		}
		do := j.wanted[0]
		j.wanted = j.wanted[1:]
		j.mu.Unlock()
		do()
	}
}

// note keeps what an answer says of a neck in work, where the neck is still as it
// was asked of.
func (s *Server) note(k *draft.Neck, n *analysis) {
	k.Read(func(st *draft.State) {
		if n.version != st.Version {
			return
		}
		j := &judgement{}
		switch {
		case n.err != nil:
			j.fault, j.strip = n.err.Error(), s.renderer.stripOfDraft(st, nil)
		case n.frets == nil:
			j.strip = s.renderer.stripOfDraft(st, nil)
		default:
			j = s.renderer.judgementOf(n.frets)
			marked := marksOf(n.frets)
			for _, q := range s.askedOf(st) {
				marked[crownKey{q.Site.Fret(), q.Site.Lane()}] = markAgain
				if j.asks == "" {
					j.asks, j.askAt = q.Short, q.Href
				}
			}
			j.strip = s.renderer.stripOfDraft(st, marked)
		}
		j.read, j.stage = st.Read, st.Stage()
		s.judged.keep(st.ID, j)
	})
}

// judgementOf keeps what the lists say of an answer; the strip is the caller's.
func (l *renderer) judgementOf(a *answer.FretsAnswer) *judgement {
	j := &judgement{verdict: a.Verdict, crowns: len(a.Crowns), open: len(a.Undetermined), why: a.WhyNot}
	for _, r := range a.Recheck {
		j.again = append(j.again, fretIn{r.Fret, r.Lane})
	}
	for _, u := range a.Undetermined {
		j.opens = append(j.opens, fretIn{u.Fret, u.Lane})
	}
	if len(a.Findings) > 0 {
		j.whole = a.Findings[0].Finding
	}
	step := map[int]string{}
	for _, f := range a.Frets {
		step[f.Fret] = f.Step
	}
	if a.Work != nil {
		for _, f := range a.Work.First {
			if words := step[f.Fret]; words != "" {
				j.frets = append(j.frets, words)
			}
		}
		j.filed = len(a.Work.Crowns)
		j.file = j.filed > 0
	}
	if len(j.frets) == 0 && !j.file { // nothing is to be filed: the findings themselves
		for _, f := range a.Frets {
			j.frets = append(j.frets, f.Step)
		}
	}
	if len(a.NextReadings) > 0 {
		j.settle = l.nextReading(a.NextReadings[0])
	}
	return j
}

// judgementOfDraft is what is known of a neck in work as it is now; nil where that
// is being worked out.
func (s *Server) judgementOfDraft(k *draft.Neck, st *draft.State) *judgement {
	if st.Readings(st.Stage()) == 0 {
		return &judgement{strip: s.renderer.stripOfDraft(st, nil)}
	}
	if j := s.judged.of(st.ID); j != nil && j.read == st.Read && j.stage == st.Stage() {
		return j
	}
	version := st.Version
	s.judged.want(s.stopped, st.ID, func() {
		if n := s.analyst.of(s.stopped, k, version); n != nil {
			s.note(k, n)
		}
	})
	return nil
}
