package play

import (
	"context"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"
)

// Each shares n pieces of work out over the processors. tell, where given, is told
// how many are done, from one place at a time. The error is that of ctx, else of
// the first piece in order that failed, whoever met it first: pieces begin in
// order, none after a fault.
func Each(ctx context.Context, n int, tell func(done, of int), do func(i int) error) error {
	errs := make([]error, n)
	var telling sync.Mutex
	done := 0
	all, inner := errgroup.WithContext(ctx)
	all.SetLimit(runtime.GOMAXPROCS(0))
	for i := 0; i < n && inner.Err() == nil; i++ {
		all.Go(func() error {
			if errs[i] = ctx.Err(); errs[i] == nil {
				errs[i] = do(i)
			}
			if errs[i] == nil && tell != nil {
				telling.Lock()
				defer telling.Unlock()
				done++
				tell(done, n)
			}
			return errs[i]
		})
	}
	if all.Wait() == nil || ctx.Err() != nil {
		return ctx.Err()
	}
	return errs[slices.IndexFunc(errs, func(err error) bool { return err != nil })]
}
