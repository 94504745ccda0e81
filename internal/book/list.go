package book

import (
	"context"
	"maps"
	"slices"
)

// Listed is a page of necks in order of serials, as JSON has it.
type Listed struct {
	Necks []Neck `json:"necks"`
	After string `json:"after,omitempty"` // where the next page begins; empty: no more
}

// List lists the necks of which a record fits the filter. A stage, a model or a
// tag that no record has is ErrNotFound with the near ones; a serial is only
// looked for.
func List(ctx context.Context, s Store, f Filter, p Page) (*Listed, error) {
	wanted := p.Most
	if wanted > 0 {
		p.Most++ // one more tells whether there is another page
	}
	necks, err := s.Necks(ctx, f, p)
	if err != nil {
		return nil, err
	}
	if len(necks) == 0 && p.After == "" {
		if err := unknownWord(ctx, s, f); err != nil {
			return nil, err
		}
	}
	l := &Listed{Necks: append([]Neck{}, necks...)}
	if wanted > 0 && len(necks) > wanted {
		l.Necks, l.After = l.Necks[:wanted], necks[wanted-1].Serial
	}
	return l, nil
}

// Each calls fn with every neck that List would list after a serial, one at a time
// where the store can, so that a long list takes no memory.
func Each(ctx context.Context, s Store, f Filter, after string, fn func(Neck) error) error {
	by, ok := s.(interface {
		EachNeck(ctx context.Context, f Filter, after string, fn func(Neck) error) error
	})
	if !ok {
		l, err := List(ctx, s, f, Page{After: after})
		for i := 0; err == nil && i < len(l.Necks); i++ {
			err = fn(l.Necks[i])
		}
		return err
	}
	none := true
	err := by.EachNeck(ctx, f, after, func(n Neck) error {
		none = false
		return fn(n)
	})
	if err == nil && none && after == "" {
		err = unknownWord(ctx, s, f)
	}
	return err
}

// unknownWord says which word of a filter no record has, and what is near it.
func unknownWord(ctx context.Context, s Store, f Filter) error {
	if f.Stage == "" && f.Model == "" && len(f.Tags) == 0 {
		return nil
	}
	var stages, models []string
	tags := map[string][]string{}
	necks, err := s.Necks(ctx, Filter{}, Page{})
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
		err := s.Scan(ctx, Filter{}, TagColumns, func(r *Row) error {
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
		return NotFound("stage", f.Stage, stages)
	case f.Model != "" && !slices.Contains(models, f.Model):
		return NotFound("model", f.Model, models)
	}
	for _, k := range slices.Sorted(maps.Keys(f.Tags)) {
		values, known := tags[k]
		if !known {
			return NotFound("tag", k, slices.Sorted(maps.Keys(tags)))
		}
		if !slices.Contains(values, f.Tags[k]) {
			return NotFound("tag "+k, f.Tags[k], values)
		}
	}
	return nil
}

// maxKnown bounds how many words are gathered to name the near ones of.
const maxKnown = 10000

func appendNew(list []string, word string) []string {
	if at, found := slices.BinarySearch(list, word); !found && word != "" && len(list) < maxKnown {
		return slices.Insert(list, at, word)
	}
	return list
}
