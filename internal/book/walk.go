package book

import (
	"context"
	"errors"
	"iter"
)

// maxGap is how many numbers a walk tries past the last that it could read,
// where damage hides how far they go.
const maxGap = 2000

// Numbers walks a book's record numbers in order, past what is damaged: of a
// stretch that cannot be read it gives the first number and the error, and goes
// on behind it. Any other error than ErrDamaged ends the walk.
func Numbers(ctx context.Context, s Store) iter.Seq2[int64, error] {
	return walkOn(ctx, s, func(n int64) int64 { return n })
}

// StretchNumbers is how many numbers lie in a stretch: so few that what is read of
// one is little memory, and many enough for one question to be worth it.
const StretchNumbers = 128

// Stretches is Numbers by stretches: of each that has a record it gives the lowest.
func Stretches(ctx context.Context, s Store) iter.Seq2[int64, error] {
	return walkOn(ctx, s, StretchEnd)
}

// StretchEnd is the last number of the stretch that a number lies in.
func StretchEnd(n int64) int64 { return n | (StretchNumbers - 1) }

// walkOn gives a number and goes on behind what end says of it.
func walkOn(ctx context.Context, s Store, end func(int64) int64) iter.Seq2[int64, error] {
	return func(yield func(int64, error) bool) {
		last, lastErr := s.Last(ctx)
		if lastErr != nil && !errors.Is(lastErr, ErrDamaged) {
			yield(0, lastErr)
			return
		}
		tried, gap := int64(0), int64(0) // gap: numbers in a row that could not be read
		for {
			n, err := s.Next(ctx, tried)
			switch {
			case err == nil && n == 0:
				return
			case err == nil:
				if !yield(n, nil) {
					return
				}
				tried, gap = end(n), 0
			case !errors.Is(err, ErrDamaged):
				yield(tried+1, err)
				return
			default:
				if gap == 0 && !yield(tried+1, err) {
					return
				}
				tried, gap = tried+1, gap+1
				if lastErr == nil && tried >= last || gap > maxGap {
					return
				}
			}
		}
	}
}
