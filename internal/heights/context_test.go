package heights

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"

	"ringtrue/internal/reading"
)

// countdown is a context that is done after so many looks at it.
type countdown struct {
	context.Context
	left, after atomic.Int64
}

func (c *countdown) Err() error {
	if c.left.Add(-1) >= 0 {
		return nil
	}
	c.after.Add(1)
	return context.Canceled
}

// An estimate ends with the first look that finds its context done, wherever it
// is: at most once a start, which run side by side.
func TestFromContext_EndsAtOnce(t *testing.T) {
	for _, m := range []reading.Method{reading.Beam, reading.Bridge} {
		s := newSimulated(t, 5, 10, 3)
		for lane := range 3 {
			if m == reading.Beam {
				s.beam(float64(lane+1), 0.003, "a")
				s.beam(float64(lane+1), 0.003, "b")
			} else {
				s.bridge(float64(lane+1), 0.003)
			}
		}
		in := Input{Layout: s.layout, Readings: s.out}
		whole := &countdown{Context: t.Context()}
		whole.left.Store(1 << 40)
		if _, err := FromContext(whole, in); err != nil {
			t.Fatal(err)
		}
		looks := 1<<40 - whole.left.Load()
		if looks < 5 {
			t.Errorf("%s: looks at its context %d times only", m, looks)
		}
		for n := range looks {
			c := &countdown{Context: t.Context()}
			c.left.Store(n)
			e, err := FromContext(c, in)
			if !errors.Is(err, context.Canceled) || e != nil || c.after.Load() > int64(len(beginnings())) {
				t.Errorf("%s: done after %d of %d looks: %v, %d looks more", m, n, looks, err, c.after.Load())
			}
		}
	}
}
