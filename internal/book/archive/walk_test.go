package archive

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"ringtrue/internal/book"
)

// blindStore cannot read a stretch of numbers, as where a page is damaged.
type blindStore struct {
	book.Store
	from, to int64
	noLast   bool
}

func (s blindStore) Next(ctx context.Context, n int64) (int64, error) {
	next, err := s.Store.Next(ctx, n)
	if err == nil && next >= s.from && next <= s.to {
		return 0, book.ErrDamaged
	}
	return next, err
}

func (s blindStore) Last(ctx context.Context) (int64, error) {
	if s.noLast {
		return 0, book.ErrDamaged
	}
	return s.Store.Last(ctx)
}

func TestWalk_PastUnreadable(t *testing.T) {
	ctx := context.Background()
	full := tempBook(t)
	for n := range 8 {
		addTo(t, full, book.Entry{Serial: fmt.Sprint(n + 1), Stage: "seated", Files: shortFiles(t, n)})
	}
	for _, c := range []struct {
		from, to int64
		noLast   bool
		read     []int64
	}{
		{3, 5, false, []int64{1, 2, 6, 7, 8}},
		{1, 1, false, []int64{2, 3, 4, 5, 6, 7, 8}},
		{8, 8, false, []int64{1, 2, 3, 4, 5, 6, 7}},
		{3, 5, true, []int64{1, 2, 6, 7, 8}},
	} {
		var read []int64
		faults, err := walk(ctx, blindStore{full, c.from, c.to, c.noLast}, nil,
			func(_ context.Context, n int64) (int64, error) { return n, nil },
			func(n int64) error { read = append(read, n); return nil })
		if err != nil || !reflect.DeepEqual(read, c.read) || len(faults) != 1 || faults[0].Record != c.from || !strings.Contains(faults[0].Fault, "can't be read") {
			t.Errorf("%+v: %v, %+v, %v", c, read, faults, err)
		}
	}
}

func TestWalk_Cancel(t *testing.T) {
	s := tempBook(t)
	for n := range 8 {
		addTo(t, s, book.Entry{Serial: fmt.Sprint(n + 1), Stage: "seated", Files: shortFiles(t, n)})
	}
	ctx, cancel := context.WithCancel(context.Background())
	_, err := walk(ctx, s, nil, func(_ context.Context, n int64) (int64, error) { return n, nil }, func(n int64) error {
		if n == 3 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	stop := errors.New("enough")
	if _, err := walk(context.Background(), s, nil, func(_ context.Context, n int64) (int64, error) { return n, nil }, func(int64) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("take's error came back as %v", err)
	}
}
