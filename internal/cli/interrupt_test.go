package cli

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"
	"time"
)

type closed struct{ times int }

func (c *closed) Close() error { c.times++; return nil }

// A calculation that never looks whether it is wanted is left: its book is
// closed, and what it would print afterwards goes nowhere.
func TestEdge_LeavesACalculation(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	var out bytes.Buffer
	e := &edge{grace: 1, closing: time.Hour}
	w := e.gated(&out)
	left, written := make(chan bool), make(chan error)
	defer close(written)
	var held, given closed
	err := e.run(ctx, func(context.Context) error {
		e.opened(&held)
		e.opened(&given)()
		if _, err := w.Write([]byte("before")); err != nil {
			t.Error(err)
		}
		cancel()
		<-left
		_, err := w.Write([]byte("after"))
		written <- err
		return nil
	})
	close(left)
	if !errors.Is(err, context.Canceled) {
		t.Errorf("left with %v", err)
	}
	if err := <-written; err == nil || out.String() != "before" {
		t.Errorf("printed %q, %v", out.String(), err)
	}
	if held.times != 1 || given.times != 0 {
		t.Errorf("books closed %d and %d times", held.times, given.times)
	}
}

// A command that looks itself says how it ended, and one that serves others is
// waited for.
func TestEdge_WaitsForWhatEnds(t *testing.T) {
	for _, own := range []bool{false, true} {
		ctx, cancel := context.WithCancel(t.Context())
		e, done := &edge{grace: time.Hour}, errors.New("undone")
		if own {
			e.grace = 1
		}
		err := e.run(ctx, func(ctx context.Context) error {
			if own {
				e.seesToItsEnd()
			}
			cancel()
			<-ctx.Done()
			return done
		})
		if !errors.Is(err, done) {
			t.Errorf("own %v: %v", own, err)
		}
	}
}

// Whatever command is interrupted, it says one line and ends with 3.
func TestRun_Interrupted(t *testing.T) {
	const neck, readings = "../../examples/heron.toml", "../../examples/heron-seated.csv"
	for _, args := range [][]string{
		{"frets", neck, readings}, {"board", neck, "../../examples/heron-board.csv"}, {"play", neck, readings},
		{"plan", neck}, {"gauge", "../../examples/gauge-study.csv"}, {"book", "list", "--book", "none.db"},
	} {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		var out, said bytes.Buffer
		// A reader that gives nothing stands for a calculation without an end.
		if status := runWithin(ctx, 1, append(args, "--shop", "-"), never{}, &out, &said); status != exitFailure || out.Len() > 0 || said.String() != "ringtrue: interrupted\n" {
			t.Errorf("%s: %d, %q, %q", strings.Join(args, " "), status, out.String(), said.String())
		}
	}
}

// never is a stream on which nothing ever comes.
type never struct{}

func (never) Read([]byte) (int, error) { select {} }
