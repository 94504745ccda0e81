package booktest

import (
	"context"
	"errors"
	"sync"
	"testing"

	"ringtrue/internal/book"
)

func testManyAtOnce(t *testing.T, s book.Store, _ *Clock) {
	const hands, each = 8, 12
	var wg sync.WaitGroup
	var mu sync.Mutex
	numbers := map[int64]int{}
	for h := range hands {
		wg.Go(func() {
			for i := range each {
				n := i // half the necks are everybody's, half one's own
				if i%2 == 0 {
					n = 1000 + h*each + i
				}
				r, err := s.Add(context.Background(), Entry(n, "seated", 1))
				if err != nil {
					t.Errorf("add: %v", err)
					return
				}
				if r.New {
					mu.Lock()
					numbers[r.Number]++
					mu.Unlock()
				}
			}
		})
	}
	wg.Wait()
	want := hands*each/2 + each/2
	if n := must[int](t)(s.Count(context.Background())); n != want || len(numbers) != want {
		t.Errorf("%d records, %d said to be new; want %d", n, len(numbers), want)
	}
}

func testCancel(t *testing.T, s book.Store, _ *Clock) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := s.Add(ctx, Entry(1, "seated", 1)); !errors.Is(err, context.Canceled) {
		t.Errorf("add: %v", err)
	}
	if n := must[int](t)(s.Count(context.Background())); n != 0 {
		t.Errorf("%d records", n)
	}
}
