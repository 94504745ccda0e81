package bench

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"sync"
	"sync/atomic"
	"time"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/bench/playthrough"
	"ringtrue/internal/bench/serialgauge"
	"ringtrue/internal/book"
	"ringtrue/internal/neck"
)

// Config is what a bench works with.
type Config struct {
	Folder  *draft.Folder
	Book    book.Store // nil: no book can be opened; why is said in NoBook
	NoBook  string
	Shop    neck.Shop        // what holds for all necks; the zero one: as usual
	Inches  bool             // the pages are in inches, not mm
	Program string           // the version of this program, for records
	Now     func() time.Time // the clock
	Log     io.Writer        // what went wrong inside; the pages do not tell it

	// Share lets others than this machine in: each screen pairs itself with a
	// one-time code first. Addresses and Names are this machine's own, by which it
	// may be called; Calls are the addresses to open, the best first
	// (http://192.168.1.20:8021). Code is told each new code. Screens is the file
	// that keeps which are paired, over a restart; empty: none.
	Share     bool
	Addresses []netip.Addr
	Names     []string
	Calls     []string
	Secure    bool // it is called by https
	Code      func(code string)
	Screens   string

	Gauge *serialgauge.Gauge // a gauge on a serial line; nil: none

	Times Times
}

// Times limit how long a client may take. Zero values are the defaults.
type Times struct {
	Header, Read, Write, Idle time.Duration
	Look                      time.Duration // how often the list of the shop looks whether the book has changed
	Poll                      time.Duration // how long a screen waits for news
	Answer                    time.Duration // how long a press waits for what its reading means; a neck that takes longer is shown as it was, and the screen asks again
	Stop                      time.Duration // how long requests may end when the bench stops
	Between                   time.Duration // how long a screen may be between two waits for news and still count as there
}

func (t Times) orDefault() Times {
	set := func(d *time.Duration, v time.Duration) {
		if *d <= 0 {
			*d = v
		}
	}
	set(&t.Header, 5*time.Second)
	set(&t.Read, 30*time.Second)
	set(&t.Write, 60*time.Second)
	set(&t.Idle, 2*time.Minute)
	set(&t.Look, time.Second)
	set(&t.Poll, 25*time.Second)
	set(&t.Answer, 400*time.Millisecond)
	set(&t.Stop, 150*time.Millisecond) // a reading is kept in a few; what only calculates is left
	set(&t.Between, 3*time.Second)
	return t
}

// Server serves the bench's pages.
type Server struct {
	trying    sync.Mutex // the example is being made
	cfg       Config
	times     Times
	renderer  *renderer
	log       *log.Logger
	pairing   *pairing
	analyst   *analyst
	answers   *answers
	questions questions
	judged    judgements
	leads     leads
	line      line
	takes     playthrough.Room
	heardLast heardLast
	listened  atomic.Int64 // recordings that were listened to
	handler   http.Handler
	stop      context.CancelFunc // ends requests that wait for news
	stopped   context.Context
}

// New makes a bench. An error: its own pages are broken.
func New(cfg Config) (*Server, error) {
	renderer, err := newRenderer(cfg.Inches)
	if err != nil {
		return nil, fmt.Errorf("bench: %w", err)
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	if cfg.Shop.Air == (neck.ShopAir{}) {
		cfg.Shop = neck.UsualShop()
	}
	if cfg.Log == nil {
		cfg.Log = io.Discard
	}
	s := &Server{cfg: cfg, times: cfg.Times.orDefault(), renderer: renderer, log: log.New(cfg.Log, "", log.LstdFlags|log.LUTC), answers: newAnswers()}
	s.analyst = newAnalyst(s.inside)
	s.analyst.noted = s.note
	s.stopped, s.stop = context.WithCancel(context.Background())
	if cfg.Gauge != nil {
		s.line.begin(cfg.Gauge.Port(), cfg.Now())
	}
	if cfg.Share {
		if s.pairing, err = newPairing(cfg.Screens, cfg.Now, cfg.Code); err != nil {
			s.log.Printf("%s: %v; every screen needs a code again", cfg.Screens, err)
		}
	}
	s.handler = s.guarded(s.routes())
	return s, nil
}

// inside writes what failed inside to the log; the maker sees one plain line.
func (s *Server) inside(account error) error {
	s.log.Print(account)
	return refuse(http.StatusInternalServerError, s.renderer.words.Say("refused.inside"))
}

// Handler is the bench as one handler, guards and all.
func (s *Server) Handler() http.Handler { return s.handler }

// most bytes of a request's head.
const maxHead = 16 << 10

// Serve answers on a listener until ctx is done; requests under way then end.
// It returns nil after such a stop.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	h := &http.Server{
		Handler:           s.handler,
		ReadHeaderTimeout: s.times.Header,
		ReadTimeout:       s.times.Read,
		WriteTimeout:      s.times.Write,
		IdleTimeout:       s.times.Idle,
		MaxHeaderBytes:    maxHead,
		ErrorLog:          s.log,
	}
	defer s.listen(ctx)()
	ended := make(chan error, 1)
	go func() { ended <- h.Serve(l) }()
	select {
	case err := <-ended:
		s.stop()
		return err
	case <-ctx.Done():
	}
	s.stop()
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), s.times.Stop)
	defer cancel()
	err := h.Shutdown(last)
	if errors.Is(err, context.DeadlineExceeded) {
		err = h.Close()
	}
	if served := <-ended; err == nil && !errors.Is(served, http.ErrServerClosed) {
		err = served
	}
	return err
}
