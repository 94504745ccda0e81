package serialgauge

import (
	"context"
	"io"
	"time"
)

// Gauge is a gauge on a port.
type Gauge struct {
	port    string
	speed   Speed
	pattern Pattern
	open    func(string, Speed) (io.ReadCloser, error)
	pause   func(context.Context, time.Duration)
}

// New is a gauge on the port of that name: /dev/ttyUSB0, /dev/cu.usbserial-1 or
// COM3. Nothing is opened yet.
func New(port string, s Speed, p Pattern) *Gauge {
	return &Gauge{port: port, speed: s, pattern: p, open: open, pause: pause}
}

// Port is the port's name.
func (g *Gauge) Port() string { return g.port }

// Kind is what an Event tells.
type Kind int

// The kinds of events.
const (
	Ready Kind = iota // the port is open
	Gone              // the port is not there, or no longer; Err says why
	Read              // a reading came
	Unfit             // a line came that does not fit
)

// Event is what a gauge, or its port, did.
type Event struct {
	Kind    Kind
	Line    string // Read, Unfit: as it came; what is no text in it as \xff
	Cut     bool   // Unfit: there was more of the line, or its end never came
	Reading Reading
	Err     error
}

const (
	firstPause = 100 * time.Millisecond
	lastPause  = 2 * time.Second
)

// Run reads until ctx is done, and tells what comes, one after the other: the
// next line is read when tell returns. That the port is gone is told once for
// each reason, until it is back.
func (g *Gauge) Run(ctx context.Context, tell func(Event)) {
	wait, told := firstPause, ""
	gone := func(err error) {
		if told != err.Error() {
			told = err.Error()
			tell(Event{Kind: Gone, Err: err})
		}
	}
	for {
		p, err := g.open(g.port, g.speed)
		if err == nil {
			if told = ""; ctx.Err() == nil {
				tell(Event{Kind: Ready})
			}
			var came bool
			came, err = g.read(ctx, p, tell)
			_ = p.Close() // it was only read
			if came {     // it did work: what comes now is a new trouble
				wait = firstPause
			}
			if ctx.Err() != nil {
				return
			}
			err = plainly(err)
		}
		if gone(err); ctx.Err() != nil {
			return
		}
		g.pause(ctx, wait)
		wait = min(2*wait, lastPause)
	}
}

// read tells what comes from an open port, until it is gone.
func (g *Gauge) read(ctx context.Context, p io.Reader, tell func(Event)) (came bool, err error) {
	var l lines
	buffer := make([]byte, 256)
	for ctx.Err() == nil {
		n, err := p.Read(buffer)
		came = came || n > 0
		l.add(buffer[:n], func(line string, cut bool) {
			tell(g.event(line, cut))
		})
		if err != nil {
			if line, ok := l.end(); ok { // its end never came
				tell(Event{Kind: Unfit, Line: line, Cut: true})
			}
			return came, err
		}
	}
	return came, ctx.Err()
}

func (g *Gauge) event(line string, cut bool) Event {
	r, err := g.pattern.Read(line)
	if cut || err != nil {
		return Event{Kind: Unfit, Line: line, Cut: cut}
	}
	return Event{Kind: Read, Line: line, Reading: r}
}

func pause(ctx context.Context, d time.Duration) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
	case <-ctx.Done():
	}
}
