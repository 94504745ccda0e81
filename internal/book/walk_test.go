package book

import (
	"context"
	"errors"
	"fmt"
	"testing"
)

// gapStore holds record numbers, some of which cannot be read.
type gapStore struct {
	Store
	numbers []int64
	unread  map[int64]error
	last    error
}

func (s gapStore) Last(context.Context) (int64, error) { return s.numbers[len(s.numbers)-1], s.last }

func (s gapStore) Next(_ context.Context, n int64) (int64, error) {
	for _, m := range s.numbers {
		if m > n {
			return m, s.unread[m]
		}
	}
	return 0, nil
}

func TestNumbers_PastDamage(t *testing.T) {
	gone := errors.New("gone")
	for what, c := range map[string]struct {
		unread map[int64]error
		last   error
		want   string
	}{
		"whole":               {nil, nil, "1 2 5 9"},
		"one":                 {map[int64]error{2: ErrDamaged}, nil, "1 !2 5 9"},
		"a stretch":           {map[int64]error{2: ErrDamaged, 5: ErrDamaged}, nil, "1 !2 9"},
		"the first":           {map[int64]error{1: ErrDamaged}, nil, "!1 2 5 9"},
		"the last":            {map[int64]error{9: ErrDamaged}, nil, "1 2 5 !6"},
		"the last, and where": {map[int64]error{9: ErrDamaged}, ErrDamaged, "1 2 5 !6"},
		"the server goes":     {map[int64]error{5: gone}, nil, "1 2 !3"},
		"no server":           {nil, gone, "!0"},
	} {
		got := ""
		for n, err := range Numbers(context.Background(), gapStore{numbers: []int64{1, 2, 5, 9}, unread: c.unread, last: c.last}) {
			if err != nil {
				got += fmt.Sprintf(" !%d", n)
				continue
			}
			got += fmt.Sprintf(" %d", n)
		}
		if got != " "+c.want {
			t.Errorf("%s: walked%s; want %s", what, got, c.want)
		}
	}
	for range Numbers(context.Background(), gapStore{numbers: []int64{1, 2}}) {
		break // must not go on by itself
	}
}
