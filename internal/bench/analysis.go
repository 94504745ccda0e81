package bench

import (
	"context"
	"runtime"
	"sync"

	"ringtrue/internal/answer"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
)

// analysis is what a neck's readings mean at one version.
type analysis struct {
	version int
	stage   int
	frets   *answer.FretsAnswer // nil: no readings yet
	places  []draft.Place       // of each line of the readings, from line 2
	err     error
}

// analyst works necks out in the background, each from its newest readings:
// while one answer is made, any number of new readings wait for the next one
// together.
type analyst struct {
	room    chan struct{} // so many at once as there are processors
	analyse func(*draft.Neck) *analysis
	noted   func(*draft.Neck, *analysis) // is told of each answer; may be nil

	mu     sync.Mutex
	jobs   map[string]*analystJob
	inside func(account error) error // tells the log of a panic, and the maker that there was one
}

// analystJob is one neck's.
type analystJob struct {
	mu      sync.Mutex
	latest  *analysis
	running bool
	changed chan struct{} // closed when latest changes
}

// maxJobs is how many necks' answers are kept in memory.
const maxJobs = 64

// newAnalyst makes one; inside makes what the maker sees of a panic's account.
func newAnalyst(inside func(account error) error) *analyst {
	return &analyst{room: make(chan struct{}, runtime.GOMAXPROCS(0)), analyse: calmly(analyse, inside), inside: inside, jobs: map[string]*analystJob{}}
}

func (a *analyst) job(id string) *analystJob {
	a.mu.Lock()
	defer a.mu.Unlock()
	j := a.jobs[id]
	if j == nil {
		for old, other := range a.jobs {
			if len(a.jobs) < maxJobs {
				break
			}
			if other.idle() {
				delete(a.jobs, old)
			}
		}
		j = &analystJob{changed: make(chan struct{})}
		a.jobs[id] = j
	}
	return j
}

func (j *analystJob) idle() bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	return !j.running
}

// of gives what a neck's readings mean at a version or a later one. Where ctx
// ends before that, it gives the latest there is, which may be nil.
func (a *analyst) of(ctx context.Context, k *draft.Neck, version int) *analysis {
	j := a.job(k.ID())
	for {
		j.mu.Lock()
		if j.latest != nil && j.latest.version >= version {
			defer j.mu.Unlock()
			return j.latest
		}
		if !j.running {
			j.running = true
			go a.work(j, k)
		}
		changed := j.changed
		j.mu.Unlock()
		select {
		case <-changed:
		case <-ctx.Done():
			j.mu.Lock()
			defer j.mu.Unlock()
			return j.latest
		}
	}
}

// work makes one answer from the newest readings.
func (a *analyst) work(j *analystJob, k *draft.Neck) {
	a.room <- struct{}{}
	n := a.analyse(k)
	<-a.room
	a.note(k, n)
	j.mu.Lock()
	defer j.mu.Unlock()
	j.latest, j.running = n, false
	close(j.changed)
	j.changed = make(chan struct{})
}

// note tells the lists what an answer says; a fault there is theirs alone.
func (a *analyst) note(k *draft.Neck, n *analysis) {
	if a.noted == nil {
		return
	}
	if _, err := calm(func() (struct{}, error) { a.noted(k, n); return struct{}{}, nil }); err != nil {
		_ = a.inside(err) // it is in the log
	}
}

// calmly makes a fault of a panic: one neck's readings must not end the bench.
func calmly(do func(*draft.Neck) *analysis, inside func(error) error) func(*draft.Neck) *analysis {
	return func(k *draft.Neck) *analysis {
		n, err := calm(func() (*analysis, error) { return do(k), nil })
		if err != nil {
			n = &analysis{err: inside(err)}
			k.Read(func(s *draft.State) { n.version, n.stage = s.Version, s.Stage() })
		}
		return n
	}
}

// analyse works out the stage in work.
func analyse(k *draft.Neck) *analysis {
	n, r := &analysis{}, answer.FretsRequest{Reading: true}
	var before []reading.Reading
	k.Read(func(s *draft.State) {
		n.version, n.stage = s.Version, s.Stage()
		r.Model, r.Layout, r.Times = s.Model, s.Layout, readplan.TimesOf(s.Stamps(n.stage))
		r.Readings, n.places = s.Taken(n.stage)
		if n.stage > 0 {
			before, _ = s.Taken(n.stage - 1)
		}
	})
	if len(r.Readings) == 0 {
		return n
	}
	ctx := context.Background()
	if len(before) == 0 {
		n.frets, n.err = answer.Frets(ctx, r)
		return n
	}
	both := r
	both.After, both.Readings = r.Readings, before
	first, err := answer.Frets(ctx, both)
	if err != nil {
		n.err = err
		return n
	}
	if first.Work != nil && len(first.Work.Crowns) > 0 { // the stage before asked for the file: what it read still counts
		n.frets = &first.After.FretsAnswer
		return n
	}
	if n.frets, n.err = answer.Frets(ctx, r); n.err == nil {
		n.frets.After = first.After
	}
	return n
}

// begun has a neck worked out without waiting, and gives what is known so far.
func (a *analyst) begun(k *draft.Neck) *analysis {
	j := a.job(k.ID())
	j.mu.Lock()
	defer j.mu.Unlock()
	if !j.running {
		j.running = true
		go a.work(j, k)
	}
	return j.latest
}

// latest is what is known of a neck now, nil for nothing.
func (a *analyst) latest(k *draft.Neck) *analysis {
	j := a.job(k.ID())
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.latest
}

// newest is what a neck's newest readings mean, waited for a little as a press waits;
// where they take longer, what is known.
func (s *Server) newest(ctx context.Context, k *draft.Neck) *analysis {
	var version int
	k.Read(func(st *draft.State) { version = st.Version })
	ctx, cancel := context.WithTimeout(ctx, s.times.Answer)
	defer cancel()
	return s.analyst.of(ctx, k, version)
}
