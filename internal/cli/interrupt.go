package cli

import (
	"context"
	"io"
	"os"
	"os/signal"
	"sync"
	"syscall"
	"time"
)

// Signals is a context that is done once the program is interrupted, told to end
// or has lost its terminal. A second signal ends the program at once. What the one
// who started it has ignored, as nohup does, stays ignored.
func Signals(parent context.Context) (ctx context.Context, stop func()) {
	var heard []os.Signal
	for _, s := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} {
		if !signal.Ignored(s) {
			heard = append(heard, s)
		}
	}
	if len(heard) == 0 { // none would mean all
		return context.WithCancel(parent)
	}
	ctx, stop = signal.NotifyContext(parent, heard...)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}

// graceTime is how long a command that was interrupted may put its things in
// order: undo what it wrote in part, close the book. What it only calculates is
// left at once when that time is over, wherever it is.
const graceTime = 100 * time.Millisecond

// closingTime is how long the books of a command that was left may take to close.
const closingTime = 30 * time.Millisecond

// edge runs a command and leaves it where it does not end by itself once ctx is
// done. The loops that write look at ctx themselves, and what they write appears
// whole or not at all; a calculation holds nothing that could be left in part.
type edge struct {
	grace, closing time.Duration
	gates          []*gate

	mu    sync.Mutex
	books map[io.Closer]bool
	own   bool // the command ends by itself, and says when
}

// run is a command's end, or ctx's where the command was left.
func (e *edge) run(ctx context.Context, do func(context.Context) error) error {
	ended := make(chan error, 1)
	go func() { ended <- do(ctx) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	if e.endsItself() {
		return <-ended
	}
	late := time.NewTimer(e.grace)
	defer late.Stop()
	select {
	case err := <-ended:
		return err
	case <-late.C:
	}
	for _, g := range e.gates {
		g.close()
	}
	e.closeBooks()
	return ctx.Err()
}

// endsItself says whether the command sees to its own end.
func (e *edge) endsItself() bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.own
}

// seesToItsEnd is called by a command that serves others, who are to be answered
// before it ends.
func (e *edge) seesToItsEnd() {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.own = true
}

// opened has a book closed where its command is left; closed takes that back.
func (e *edge) opened(b io.Closer) (closed func()) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.books == nil {
		e.books = map[io.Closer]bool{}
	}
	e.books[b] = true
	return func() {
		e.mu.Lock()
		defer e.mu.Unlock()
		delete(e.books, b)
	}
}

// closeBooks closes the books that a calculation was left with, so that no
// journal lies beside them. One that is busy is left as it is: its stores are
// made to be killed.
func (e *edge) closeBooks() {
	e.mu.Lock()
	defer e.mu.Unlock()
	closed := make(chan struct{})
	books := e.books
	e.books = nil
	go func() {
		defer close(closed)
		for b := range books {
			_ = b.Close() // the interrupt is told, not this
		}
	}()
	late := time.NewTimer(e.closing)
	defer late.Stop()
	select {
	case <-closed:
	case <-late.C:
	}
}

// gated is a stream that is shut where the command is left. A file stays what it
// is: the talk looks whether it is a terminal, and its lines go out whole.
func (e *edge) gated(w io.Writer) io.Writer {
	if f, ok := w.(*os.File); ok {
		return f
	}
	g := &gate{w: w}
	e.gates = append(e.gates, g)
	return g
}

// gate is a stream that a command no longer writes to once it was left.
type gate struct {
	mu     sync.Mutex
	w      io.Writer
	closed bool
}

func (g *gate) Write(p []byte) (int, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.closed {
		return 0, io.ErrClosedPipe
	}
	return g.w.Write(p)
}

func (g *gate) close() {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.closed = true
}
