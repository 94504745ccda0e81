package bench

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"testing"
	"time"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/casetest"
)

// news is what a page that waits is told; ok is false where the bench died.
func (k *killable) news(path string, now stateAnswer, line int) (stateAnswer, bool) {
	q := url.Values{"seen": {strconv.Itoa(now.Seen)}, "known": {"9999"}, "pass": {"1"}, "at": {now.At}, "screen": {"page"}, "lead": {strconv.Itoa(now.Lead)}, "gauge": {strconv.Itoa(line)}}
	w, err := http.Get(k.base + path + "/state?" + q.Encode())
	if err != nil {
		return now, false
	}
	defer w.Body.Close()
	var a stateAnswer
	if json.NewDecoder(w.Body).Decode(&a) != nil || w.StatusCode != http.StatusOK {
		return now, false
	}
	return a, true
}

// The bench is killed at any moment while a gauge on a line sends: what the page
// was told as kept is there when it starts again, at the crown that was said.
func TestKill_GaugeOnALine(t *testing.T) {
	line := casetest.NewSerialLine(t)
	rounds := min(*kills, 20)
	if testing.Short() {
		rounds = 2
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
	path, kept := "/necks/"+k.ID(), regexp.MustCompile(`Saved (1\.\d+) mm at fret (\d+), lane (\d+)`)
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, seed))
	shown := map[draft.Site]string{} // by crown, what the page was told
	for n := range rounds {
		b := startKillable(t, dir, childPort+"="+line.Port)
		now, ok := b.news(path, stateAnswer{}, 0) // opened: the first crown that is not read
		if !ok {
			t.Fatal("no answer")
		}
		until := rnd.IntN(3)
		doomed := time.AfterFunc(time.Hour, func() {})
		for i := 0; ok; i++ {
			if i == until {
				doomed = time.AfterFunc(time.Duration(rnd.IntN(6000))*time.Microsecond, func() { _ = b.cmd.Process.Kill() })
			}
			line.Send(t, fmt.Sprintf("1.%03d\r\n", n*50+i))
			for told := now.Gauge.Number; ok && now.Gauge.Number == told; {
				now, ok = b.news(path, now, now.Gauge.Number)
			}
			if m := kept.FindStringSubmatch(now.Gauge.Said); ok && m != nil {
				shown[draft.Site(m[2]+"@"+m[3])] = m[1]
			}
		}
		doomed.Stop()
		b.kill()
		g, _, err := draft.Open(dir, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		k, err := g.Get(k.ID())
		if err != nil {
			t.Fatal(err)
		}
		k.Read(func(s *draft.State) {
			for at, want := range shown {
				if e := s.Entry(1, at); e == nil || e.Reading != want {
					t.Errorf("round %d: the page was told that %s is kept at %s: %+v", n, want, at, e)
				}
			}
		})
		if err := g.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if len(shown) == 0 {
		t.Error("nothing was kept: the test says little")
	}
	t.Logf("%d kills, %d readings told as kept", rounds, len(shown))
}
