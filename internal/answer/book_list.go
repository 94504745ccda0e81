package answer

import (
	"context"
	"slices"
	"time"

	"ringtrue/internal/book"
)

// BookListRequest is what `book list` is asked.
type BookListRequest struct {
	Filter book.Filter // of a neck's records: one that fits picks the neck
	Page   book.Page
}

// BookListAnswer is a page of necks in order of serials.
type BookListAnswer struct {
	Necks []BookNeck `json:"necks"`
	After string     `json:"after,omitempty"` // where the next page begins; empty: no more
}

// BookNeck is what the book holds of one neck.
type BookNeck struct {
	Serial  string    `json:"serial"`
	Model   string    `json:"model"`
	Records int       `json:"records"`
	Stages  []string  `json:"stages"`
	Latest  time.Time `json:"latest"` // when its latest record was added
}

// BookList lists necks. A stage, a model or a tag that no record has is
// book.ErrNotFound with the near ones; a serial is only looked for.
func BookList(ctx context.Context, s book.Store, r BookListRequest) (*BookListAnswer, error) {
	page := r.Page
	if page.Most > 0 {
		page.Most++ // one more tells whether there is another page
	}
	necks, err := s.Necks(ctx, r.Filter, page)
	if err != nil {
		return nil, err
	}
	if len(necks) == 0 && r.Page.After == "" {
		if err := unknownWord(ctx, s, r.Filter); err != nil {
			return nil, err
		}
	}
	a := &BookListAnswer{Necks: []BookNeck{}}
	for i, n := range necks {
		if r.Page.Most > 0 && i == r.Page.Most {
			a.After = a.Necks[i-1].Serial
			break
		}
		a.Necks = append(a.Necks, BookNeck{n.Serial, n.Model, n.Records, n.Stages, n.Latest})
	}
	return a, nil
}

// unknownWord says which word of a filter no record has, and what is near it.
func unknownWord(ctx context.Context, s book.Store, f book.Filter) error {
	if f.Stage == "" && f.Model == "" && len(f.Tags) == 0 {
		return nil
	}
	var stages, models []string
	tags := map[string][]string{}
	necks, err := s.Necks(ctx, book.Filter{}, book.Page{})
	if err != nil || len(necks) == 0 {
		return err
	}
	for _, n := range necks {
		models = appendNew(models, n.Model)
		for _, stage := range n.Stages {
			stages = appendNew(stages, stage)
		}
	}
	if len(f.Tags) > 0 {
		err := s.Scan(ctx, book.Filter{}, book.WantTags, func(r *book.Row) error {
			for k, v := range r.Tags {
				tags[k] = appendNew(tags[k], v)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	switch {
	case f.Stage != "" && !slices.Contains(stages, f.Stage):
		return book.NotFound("stage", f.Stage, stages)
	case f.Model != "" && !slices.Contains(models, f.Model):
		return book.NotFound("model", f.Model, models)
	}
	for _, k := range sortedKeys(f.Tags) {
		values, known := tags[k]
		if !known {
			return book.NotFound("tag", k, sortedKeys(tags))
		}
		if !slices.Contains(values, f.Tags[k]) {
			return book.NotFound("tag "+k, f.Tags[k], values)
		}
	}
	return nil
}

// mostKnown bounds how many words are gathered to name the near ones of.
const mostKnown = 10000

func appendNew(list []string, word string) []string {
	if at, found := slices.BinarySearch(list, word); !found && word != "" && len(list) < mostKnown {
		return slices.Insert(list, at, word)
	}
	return list
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
