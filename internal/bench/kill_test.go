package bench

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/bench/serialgauge"
	"ringtrue/internal/casetest"
)

// childDir names the folder to the process that TestKill_NoneLost kills, childPort
// the port of its gauge.
const (
	childDir  = "RINGTRUE_TEST_BENCH_DIR"
	childPort = "RINGTRUE_TEST_BENCH_PORT"
)

// kills sets how often, for a long run: go test ./internal/bench -run Kill -kills 100
var kills = flag.Int("kills", 10, "how often the bench is killed")

// TestMain makes the test's own program be a bench that is to be killed.
func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		fmt.Fprintln(os.Stderr, serveUntilKilled(dir))
		os.Exit(1)
	}
	casetest.Main(m)
}

func serveUntilKilled(dir string) error {
	f, notes, err := draft.Open(dir, time.Now)
	if err != nil {
		return err
	}
	for _, n := range notes {
		fmt.Fprintln(os.Stderr, n)
	}
	cfg := Config{Folder: f}
	if port := os.Getenv(childPort); port != "" {
		speed, wrongSpeed := serialgauge.NewSpeed("9600")
		pattern, wrongPattern := serialgauge.NewPattern("")
		if err := errors.Join(wrongSpeed, wrongPattern); err != nil {
			return err
		}
		cfg.Gauge = serialgauge.New(port, speed, pattern)
	}
	s, err := New(cfg)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	fmt.Println("at", l.Addr())
	return s.Serve(context.Background(), l)
}

// killable is a bench in a process of its own.
type killable struct {
	cmd  *exec.Cmd
	base string
}

func startKillable(t *testing.T, dir string, more ...string) *killable {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(append(os.Environ(), childDir+"="+dir), more...)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if at, ok := strings.CutPrefix(lines.Text(), "at "); ok {
			return &killable{cmd, "http://" + at}
		}
	}
	t.Fatalf("the bench does not start: %v", cmd.Wait())
	return nil
}

// kill is kill -9: nothing of the process runs after it.
func (k *killable) kill() {
	_ = k.cmd.Process.Kill() // it may be dead already
	_ = k.cmd.Wait()         // it says that it was killed
}

// keep sends one reading; ok is false where the bench died before it answered.
func (k *killable) keep(path, at, text string, seen int) (now int, ok bool) {
	form := url.Values{"pass": {"1"}, "at": {at}, "seen": {strconv.Itoa(seen)}, "reading": {text}}
	r, err := http.NewRequest(http.MethodPost, k.base+path+"/read", strings.NewReader(form.Encode()))
	if err != nil {
		return seen, false
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Accept", "application/json")
	w, err := http.DefaultClient.Do(r)
	if err != nil {
		return seen, false
	}
	defer w.Body.Close()
	var a stateAnswer
	if json.NewDecoder(w.Body).Decode(&a) != nil || w.StatusCode != http.StatusOK {
		return seen, false
	}
	return a.Seen, true
}

// The bench is killed at any moment between and within readings: whatever it
// answered is there when it starts again, and the one it did not answer is there
// whole or not at all.
func TestKill_NoneLost(t *testing.T) {
	kills := *kills
	if testing.Short() {
		kills = min(kills, 2)
	}
	dir := t.TempDir()
	f, _, err := draft.Open(dir, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	k, err := f.Begin("heron.toml", example(t, "heron.toml"), "0412", "")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := k.Begin(draft.Pass{Method: "height", Unit: "mm", Lanes: []float64{1, 2, 3, 4, 5, 6}, From: 1, To: 22, Every: 1}, ""); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	path := "/necks/" + k.ID()
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, seed))
	answered, asked := map[string]string{}, map[string][]string{}
	n, seen := 0, 2
	for round := range kills {
		b := startKillable(t, dir)
		until := rnd.IntN(4)
		doomed := time.AfterFunc(time.Hour, func() {})
		for i := 0; ; i++ {
			if i == until { // from here on it may die within any reading
				doomed = time.AfterFunc(time.Duration(rnd.IntN(6000))*time.Microsecond, func() { _ = b.cmd.Process.Kill() })
			}
			at := string(draft.NewSite(float64(1+n%6), 1+n/6%22))
			text := fmt.Sprintf("1.%03d", n%1000)
			n++
			asked[at] = append(asked[at], text)
			now, ok := b.keep(path, at, text, seen)
			if !ok {
				break
			}
			answered[at], asked[at], seen = text, nil, now
		}
		doomed.Stop()
		b.kill()
		g, _, err := draft.Open(dir, time.Now)
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		k, err := g.Get(k.ID())
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		k.Read(func(s *draft.State) {
			seen = s.Version
			for at, want := range answered {
				e := s.Entry(1, draft.Site(at))
				if e == nil || e.Reading != want && !slices.Contains(asked[at], e.Reading) {
					t.Errorf("round %d: %s was answered at %s and is lost: %+v", round, want, at, e)
				}
			}
		})
		if err := g.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if len(answered) < kills {
		t.Errorf("only %d readings were answered in %d rounds: the test says little", len(answered), kills)
	}
	t.Logf("%d kills, %d readings sent", kills, n)
}
