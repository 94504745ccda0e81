package answer

import (
	"context"
	"errors"
	"slices"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/pace"
	"ringtrue/internal/reading"
	"ringtrue/internal/unit"
)

// BookTimesAnswer is how long each step takes a shop, and where its necks wait.
type BookTimesAnswer struct {
	Necks int `json:"necks"`
	pace.Waits
	Paces  []pace.Pace `json:"paces"`
	Files  int         `json:"files_read"` // the newest records, whose passes were looked at for times of day
	Unread []int64     `json:"unread"`     // of these: records whose files cannot be read
}

// newestRead is how many records' files are read for the times of their passes.
const newestRead = 500

// BookTimes counts waits from the dates of a book's records in force, minutes of jobs
// from their tags, and minutes of passes from their dates where these have a time of
// day.
func BookTimes(ctx context.Context, s book.Store, now time.Time) (*BookTimesAnswer, error) {
	var visits []pace.Visit
	var newest []stamped
	var jobs []int64
	necks := map[string]bool{}
	err := s.Scan(ctx, book.Filter{InForce: true}, book.NameColumns|book.TagColumns, func(r *book.Row) error {
		visits, newest = append(visits, pace.Visit{Serial: r.Serial, Stage: r.Stage, At: r.At}), append(newest, stamped{r.Number, r.At})
		necks[r.Serial] = true
		if r.Tags[book.MinutesTag] != "" {
			jobs = append(jobs, r.Number)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	a := &BookTimesAnswer{Necks: len(necks), Waits: pace.WaitsOf(visits, now), Unread: []int64{}}
	spent, err := jobsSpent(ctx, s, jobs)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(newest, func(x, y stamped) int { return y.at.Compare(x.at) })
	for _, n := range newest[:min(len(newest), newestRead)] {
		passes, err := passesTimed(ctx, s, n.number)
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case errors.Is(err, errUnread):
			a.Unread = append(a.Unread, n.number)
			continue
		case err != nil:
			return nil, err
		}
		a.Files++
		spent = append(spent, pace.Readings(passes)...)
	}
	slices.Sort(a.Unread)
	a.Paces = pace.Paces(spent)
	return a, nil
}

// stamped is a record and its time.
type stamped struct {
	number int64
	at     time.Time
}

// jobsSpent are the jobs that records say the minutes of.
func jobsSpent(ctx context.Context, s book.Store, numbers []int64) (spent []pace.Spent, err error) {
	slices.Sort(numbers)
	for _, n := range numbers {
		r, err := s.Record(ctx, n)
		if err != nil {
			return nil, err
		}
		if minutes, err := unit.Number(r.Tags[book.MinutesTag]); err == nil && minutes > 0 {
			spent = append(spent, pace.Spent{What: r.Stage, By: r.By, Minutes: minutes})
		}
	}
	return spent, nil
}

// passesTimed are a record's passes whose date has a time of day.
func passesTimed(ctx context.Context, s book.Store, number int64) ([]pace.Pass, error) {
	f, err := s.Files(ctx, number)
	if errors.Is(err, book.ErrDamaged) || errors.Is(err, book.ErrNotFound) {
		return nil, errUnread
	}
	if err != nil {
		return nil, err
	}
	p, err := f.Parse()
	if err != nil {
		return nil, errUnread
	}
	type setUp struct {
		method, pass string
		lane         float64
	}
	at := map[setUp]int{}
	var passes []pace.Pass
	for _, r := range p.Readings {
		begun, known := reading.Moment(r.Date)
		if !known {
			continue
		}
		k := setUp{string(r.Method), r.Pass, r.Lane}
		i, seen := at[k]
		if !seen {
			i, at[k] = len(passes), len(passes)
			gauge := r.Gauge
			if gauge == "" {
				gauge = string(r.Method)
			}
			passes = append(passes, pace.Pass{By: r.By, Gauge: gauge, Begun: begun})
		}
		passes[i].Readings++
	}
	return passes, nil
}
