package book

import (
	"context"
	"iter"
	"runtime"
	"slices"
	"sync"
)

// Progress is told how much of a long work is done. It may be nil.
type Progress func(done, total int)

// Tell tells it, where it is there.
func (p Progress) Tell(done, total int) {
	if p != nil {
		p(done, total)
	}
}

// All gives a list's places and items to InOrder.
func All[T any](items []T) func(context.Context) iter.Seq2[int, T] {
	return func(context.Context) iter.Seq2[int, T] { return slices.All(items) }
}

// InOrder calls do for every pair on several processors and take with what each
// returned, in order. An error of take or the context's end ends it. Once it has
// returned nothing of it runs any more.
func InOrder[K, V, R any](ctx context.Context, pairs func(context.Context) iter.Seq2[K, V],
	do func(context.Context, K, V) (R, error), take func(K, R, error) error) error {
	type result struct {
		key   K
		value R
		err   error
	}
	inner, cancel := context.WithCancel(ctx)
	var running sync.WaitGroup
	defer func() {
		cancel()
		running.Wait()
	}()
	pending := make(chan chan result, 2*runtime.GOMAXPROCS(0))
	running.Go(func() {
		defer close(pending)
		for k, v := range pairs(inner) {
			done := make(chan result, 1)
			select {
			case pending <- done:
			case <-inner.Done():
				return
			}
			running.Go(func() {
				r, err := do(inner, k, v)
				done <- result{k, r, err}
			})
		}
	})
	for done := range pending {
		r := <-done
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := take(r.key, r.value, r.err); err != nil {
			return err
		}
	}
	return ctx.Err()
}
