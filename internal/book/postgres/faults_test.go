package postgres

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/book/booktest"
)

// ledger is what benches were told: each record's number and serial.
type ledger struct {
	mu     sync.Mutex
	fresh  map[int64]string // said to be new
	serial map[int64]string
}

func newLedger() *ledger { return &ledger{fresh: map[int64]string{}, serial: map[int64]string{}} }

func (l *ledger) note(t *testing.T, serial string, r book.Receipt) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if was, twice := l.fresh[r.Number]; twice && r.New {
		t.Errorf("record %d is new for %s, before for %s", r.Number, serial, was)
	}
	if r.New {
		l.fresh[r.Number] = serial
	}
	l.serial[r.Number] = serial
}

// compare holds the book against the ledger: nothing lost, nothing twice.
func (l *ledger) compare(t *testing.T, s book.Store, want int) {
	t.Helper()
	there := booktest.Whole(t, s)
	seen := map[string]int64{}
	for n, serial := range there {
		if l.serial[n] != serial || l.fresh[n] != serial {
			t.Errorf("record %d is of %s; the benches were told %q, new for %q", n, serial, l.serial[n], l.fresh[n])
		}
		if other, twice := seen[serial]; twice {
			t.Errorf("%s is there twice, as %d and %d", serial, other, n)
		}
		seen[serial] = n
	}
	if len(there) != want || len(l.serial) != want {
		t.Errorf("the book holds %d records, the benches were told of %d; want %d", len(there), len(l.serial), want)
	}
}

// addMany adds necks and notes what is said.
func (l *ledger) addMany(t *testing.T, s book.Store, necks []int) {
	for _, n := range necks {
		e := booktest.Entry(n, "seated", 1)
		r, err := s.Add(context.Background(), e)
		if err != nil {
			t.Errorf("neck %d: %v", n, err)
			return
		}
		l.note(t, e.Serial, r)
	}
}

// importMany imports necks in batches and notes what is said.
func (l *ledger) importMany(t *testing.T, s book.Store, necks []int) {
	for batch := range slices.Chunk(necks, 10) {
		var entries []*book.Entry
		for _, n := range batch {
			entries = append(entries, booktest.Entry(n, "seated", 1))
		}
		in, err := s.Import(context.Background(), entries)
		if err != nil {
			t.Errorf("necks %v: %v", batch, err)
			return
		}
		for i, r := range in {
			l.note(t, entries[i].Serial, r)
		}
	}
}

func span(first, many int) []int {
	var all []int
	for n := first; n < first+many; n++ {
		all = append(all, n)
	}
	return all
}

// Eight benches, each a program of its own to the server, six adding and two
// importing; a third of the necks are everybody's.
func testEightBenches(t *testing.T, server *booktest.Server) {
	address := server.Database(t)
	const benches, own, shared = 8, 20, 10
	l := newLedger()
	var wg sync.WaitGroup
	begin := make(chan struct{})
	for bench := range benches {
		s := newBook(t, address, time.Now)
		necks := append(span(0, shared), span(100+bench*own, own)...) // everybody's at the same time
		wg.Go(func() {
			<-begin
			if bench%4 == 3 {
				l.importMany(t, s, necks)
				return
			}
			l.addMany(t, s, necks)
		})
	}
	close(begin)
	wg.Wait()
	l.compare(t, newBook(t, address, time.Now), shared+benches*own)
}

func testManyBegin(t *testing.T, server *booktest.Server) {
	address := server.Database(t)
	l := newLedger()
	var wg sync.WaitGroup
	for bench := range 6 {
		wg.Go(func() {
			s, err := Open(context.Background(), address, Options{Create: true, Now: time.Now})
			if err != nil {
				t.Error(err)
				return
			}
			defer s.Close()
			l.addMany(t, s, []int{bench})
		})
	}
	wg.Wait()
	l.compare(t, newBook(t, address, time.Now), 6)
}

// wait waits until the benches were told of so many records, so that what comes
// next meets them at work, however fast they are.
func (l *ledger) wait(t *testing.T, want int) {
	t.Helper()
	told := func() int {
		l.mu.Lock()
		defer l.mu.Unlock()
		return len(l.serial)
	}
	for told() < want && !t.Failed() {
		time.Sleep(time.Millisecond)
	}
}

// testHangsUp cuts the benches' connections while they work, again and again.
func testHangsUp(t *testing.T, server *booktest.Server) {
	address := server.Database(t)
	l := newLedger()
	adder, importer := newBook(t, address, time.Now), newBook(t, address, time.Now)
	var wg sync.WaitGroup
	wg.Go(func() { l.addMany(t, adder, span(0, 40)) })
	wg.Go(func() { l.importMany(t, importer, span(100, 60)) })
	for cut := range 7 {
		l.wait(t, 10*(cut+1))
		server.Exec(t, "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name = 'ringtrue'")
	}
	wg.Wait()
	l.compare(t, newBook(t, address, time.Now), 100)
}

// testRestarts stops the server and starts it while two benches work: as on an
// update, and as when its power fails.
func testRestarts(t *testing.T, server *booktest.Server) {
	address := server.Database(t)
	l := newLedger()
	adder, importer := newBook(t, address, time.Now), newBook(t, address, time.Now)
	next := 0
	for _, stop := range []func(testing.TB){server.Stop, server.Kill} {
		before := len(l.serial)
		var wg sync.WaitGroup
		first := next
		wg.Go(func() { l.addMany(t, adder, span(first, 60)) })
		wg.Go(func() { l.importMany(t, importer, span(first+1000, 100)) })
		l.wait(t, before+20)
		stop(t)
		server.Start(t)
		wg.Wait()
		next += 5000
	}
	l.compare(t, newBook(t, address, time.Now), 2*160)
}

// testHangs has the server take a question and never answer: the other end of a
// pulled cable.
func testHangs(t *testing.T, server *booktest.Server) {
	ctx := context.Background()
	s, err := Open(ctx, server.Database(t), Options{Create: true, Now: time.Now, Patience: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.Add(ctx, booktest.Entry(1, "seated", 1)); err != nil {
		t.Fatal(err)
	}
	thaw := server.Freeze(t)
	defer thaw()
	start := time.Now()
	_, err = s.Add(ctx, booktest.Entry(2, "seated", 1))
	if !errors.Is(err, book.ErrLost) || book.IsCall(err) {
		t.Errorf("%v; want %v", err, book.ErrLost)
	}
	if took := time.Since(start); took > 30*time.Second {
		t.Errorf("it took %v to say so", took)
	}
	thaw()
	if r, err := s.Add(ctx, booktest.Entry(3, "seated", 1)); err != nil || !r.New {
		t.Errorf("afterwards: %+v, %v", r, err)
	}
}

// testGone stops the server for good: a plain word, in reasonable time, from a
// bench at work and from one that comes.
func testGone(t *testing.T, server *booktest.Server) {
	ctx := context.Background()
	address := server.Database(t)
	s, err := Open(ctx, address, Options{Create: true, Now: time.Now, Patience: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	server.Stop(t)
	start := time.Now()
	_, addErr := s.Add(ctx, booktest.Entry(1, "seated", 1))
	_, importErr := s.Import(ctx, []*book.Entry{booktest.Entry(2, "seated", 1)})
	_, listErr := s.Serials(ctx)
	_, openErr := Open(ctx, address, Options{Now: time.Now})
	for what, err := range map[string]error{"add": addErr, "import": importErr, "list": listErr, "open": openErr} {
		if !errors.Is(err, book.ErrLost) || book.IsCall(err) {
			t.Errorf("%s: %v; want %v", what, err, book.ErrLost)
		}
	}
	if took := time.Since(start); took > 30*time.Second {
		t.Errorf("it took %v to say so", took)
	}
	cancelled, cancel := context.WithCancel(ctx)
	s.Try = tryFor(time.Hour)
	go cancel()
	if _, err := s.Serials(cancelled); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled wait: %v", err)
	}
}
