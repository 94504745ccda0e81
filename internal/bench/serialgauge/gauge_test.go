package serialgauge

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/casetest"
)

// testPatience is how long a test waits for what must come. It is no measure.
const testPatience = time.Minute

// running is a gauge that is read, and what it tells.
type running struct {
	t      testing.TB
	events chan Event
}

func run(t testing.TB, port, pattern string) *running {
	t.Helper()
	s, err := NewSpeed("9600")
	if err != nil {
		t.Fatal(err)
	}
	return start(t, New(port, s, mustPattern(t, pattern)))
}

func start(t testing.TB, g *Gauge) *running {
	t.Helper()
	r := &running{t, make(chan Event, 1000)}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan bool)
	go func() {
		g.Run(ctx, func(e Event) { r.events <- e })
		close(ended)
	}()
	t.Cleanup(func() {
		stop()
		<-ended
	})
	return r
}

// next is what is told next, in short.
func (r *running) next() string {
	r.t.Helper()
	select {
	case e := <-r.events:
		switch e.Kind {
		case Ready:
			return "ready"
		case Gone:
			return "gone: " + e.Err.Error()
		case Read:
			return "read " + e.Reading.Number + e.Reading.Unit
		}
		return fmt.Sprintf("unfit %s %v", e.Line, e.Cut)
	case <-time.After(testPatience):
		r.t.Fatal("nothing is told")
		return ""
	}
}

func (r *running) tells(want ...string) {
	r.t.Helper()
	for _, w := range want {
		if got := r.next(); got != w {
			r.t.Fatalf("tells %q, want %q", got, w)
		}
	}
}

// Lines in halves, with each end, empty ones, garbage and one without end.
func TestGauge_Lines(t *testing.T) {
	line := casetest.NewSerialLine(t)
	r := run(t, line.Port, "")
	r.tells("ready")
	line.Send(t, "+0.3")
	line.Send(t, "71\r")
	r.tells("read 0.371")
	line.Send(t, "\n\r\n0.372 mm\r\n0,373\n\n01A+00000.374\r")
	r.tells("read 0.372mm", "read 0.373", "read 0.374")
	line.Send(t, "\xff\xfe7\r0.3\x8075\r911\r")
	r.tells(`unfit \xff\xfe7 false`, `unfit 0.3\x8075 false`, "unfit 911 false")
	line.Send(t, "\x020.377\x03\r0.3\x1b[2J78\r0.379\u202e\r")
	r.tells("read 0.377", `unfit 0.3\u001b[2J78 false`, `unfit 0.379\u202e false`)
	line.Send(t, strings.Repeat("8", longest+20)+"\r0.376\r")
	r.tells("unfit "+strings.Repeat("8", longest)+" true", "read 0.376")
}

// None of 200 readings is lost, doubled or out of order.
func TestGauge_200InARow(t *testing.T) {
	line := casetest.NewSerialLine(t)
	r := run(t, line.Port, `D(?P<mm>.*)`)
	r.tells("ready")
	for k := range 200 {
		line.Send(t, fmt.Sprintf("D+%d.%03d\r\n", k/100, k))
	}
	for k := range 200 {
		r.tells(fmt.Sprintf("read %d.%03dmm", k/100, k))
	}
}

// A port that is not there is waited for, one that is unplugged is told and
// taken up again; half a line is no reading, also where its rest comes after.
func TestGauge_UnpluggedAndBack(t *testing.T) {
	port := filepath.Join(t.TempDir(), "gauge")
	r := run(t, port, "")
	r.tells("gone: " + ErrMissing.Error())
	for round := range 3 {
		line := casetest.NewSerialLine(t)
		if err := os.Symlink(line.Port, port); err != nil {
			t.Fatal(err)
		}
		r.tells("ready")
		line.Send(t, fmt.Sprintf("0.10%d\r0.9", round))
		r.tells(fmt.Sprintf("read 0.10%d", round))
		if err := os.Remove(port); err != nil {
			t.Fatal(err)
		}
		line.Unplug(t)
		r.tells("unfit 0.9 true", "gone: "+ErrMissing.Error())
	}
}

// What is no serial port is told.
func TestGauge_NoPort(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, []byte("0.371\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	r := run(t, file, "")
	r.tells("gone: " + ErrNoPort.Error())
}

// The pauses between two tries grow up to two seconds, and begin anew where the
// port did work.
func TestGauge_Pauses(t *testing.T) {
	var pauses []string
	tries := 0
	g := New("x", Speed{}, mustPattern(t, ""))
	ctx, stop := context.WithCancel(context.Background())
	g.open = func(string, Speed) (io.ReadCloser, error) {
		if tries++; tries == 8 {
			return io.NopCloser(strings.NewReader("0.1\r")), nil
		}
		return nil, errors.New("no")
	}
	g.pause = func(_ context.Context, d time.Duration) {
		if pauses = append(pauses, d.String()); len(pauses) == 10 {
			stop()
		}
	}
	var told []Kind
	g.Run(ctx, func(e Event) { told = append(told, e.Kind) })
	if want := "100ms 200ms 400ms 800ms 1.6s 2s 2s 100ms 200ms 400ms"; strings.Join(pauses, " ") != want {
		t.Errorf("pauses %v, want %s", pauses, want)
	}
	if !slices.Equal(told, []Kind{Gone, Ready, Read, Gone, Gone}) {
		t.Errorf("told %v", told)
	}
}

func TestNewSpeed(t *testing.T) {
	for text, ok := range map[string]bool{
		"9600": true, "4800,7e2": true, "115200,8N1": true, "": false, "fast": false, "9600,": false, "9600,9n1": false, "9600,8x1": false, "9600,8n3": false, "-1": false, "1e9": false,
	} {
		if _, err := NewSpeed(text); (err == nil) != ok {
			t.Errorf("%q: %v", text, err)
		}
	}
}
