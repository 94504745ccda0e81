package browser

import (
	"bufio"
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"

	"ringtrue/internal/bench"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
)

// maxBytes is what a first visit may bring over the line, all in all.
const maxBytes = 150_000

// light visits a page for the first time: it brings at most 150 kB, with style,
// script, icon and pictures.
func (w *window) light(path, name string) {
	w.t.Helper()
	w.forget()
	w.mu.Lock()
	w.bytes, w.asked = 0, nil
	w.mu.Unlock()
	w.visit(path)
	w.mu.Lock()
	bytes, asked := w.bytes, len(w.asked)
	w.mu.Unlock()
	if bytes < 1000 || asked < 3 {
		w.t.Errorf("%s: %.0f bytes in %d requests: that is no page with its style", name, bytes, asked)
	}
	if bytes > maxBytes {
		w.t.Errorf("%s: %.0f bytes", name, bytes)
	}
	w.t.Logf("%-20s %6.1f kB, %d requests", name, bytes/1000, asked)
}

// Twenty benches read at once, each its own neck: no reading is lost or lands
// on another crown, or another neck.
func TestFigures_TwentyAtOnce(t *testing.T) {
	const screens = 20
	frets := 22
	if testing.Short() {
		frets = 4
	}
	b := serve(t)
	necks := make([]string, screens)
	for i := range necks {
		necks[i] = newClient(t, b.base).begin(fmt.Sprintf("%04d", i))
	}
	value := func(screen, fret int) string { return fmt.Sprintf("0.%02d%02d", screen, fret) }
	var all sync.WaitGroup
	faults := make(chan error, screens)
	for i, neck := range necks {
		all.Add(1)
		c := newClient(t, b.base)
		go func() {
			defer all.Done()
			s := stands{Pass: 1, At: "1@1", Seen: 2}
			for fret := 1; fret <= frets; fret++ {
				now, err := c.read(neck, s, value(i, fret))
				if err != nil {
					faults <- fmt.Errorf("screen %d, fret %d: %w", i, fret, err)
					return
				}
				s = now
			}
		}()
	}
	all.Wait()
	close(faults)
	for err := range faults {
		t.Fatal(err)
	}
	c := newClient(t, b.base)
	for i, neck := range necks {
		text, _ := c.get(neck + "/readings.csv")
		kept, err := reading.Parse("kept", strings.NewReader(text), reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
		if err != nil || len(kept.Readings) != frets {
			t.Fatalf("screen %d: %d readings of %d: %v", i, len(kept.Readings), frets, err)
		}
		for n, r := range kept.Readings {
			want, _ := strconv.ParseFloat(value(i, n+1), 64)
			if r.Lane != 1 || !slices.Equal(r.Frets, []int{n + 1}) || r.Value != want {
				t.Errorf("screen %d: %+v, want %v at fret %d", i, r, want, n+1)
			}
		}
	}
}

// ownFolder names the folder to the process whose memory is weighed.
const ownFolder = "RINGTRUE_TEST_WEIGHED"

// TestWeighed_Child is no test of its own: it serves a bench until it is ended.
func TestWeighed_Child(t *testing.T) {
	dir := os.Getenv(ownFolder)
	if dir == "" {
		t.Skip("run by TestFigures_Memory")
	}
	f, _, err := draft.Open(dir, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	s, err := bench.New(bench.Config{Folder: f})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println("at", l.Addr())
	t.Fatal(s.Serve(context.Background(), l))
}

// maxMB is what a bench may take of the machine's memory.
const maxMB = 150

// A bench that took 10,000 readings, a few hundred one by one and the rest by
// file, in 77 necks that stay in work, takes less than 150 MB.
func TestFigures_Memory(t *testing.T) {
	files := 75
	if testing.Short() {
		files = 3
	}
	base, pid := weighed(t)
	c := newClient(t, base)
	readings := 0
	for n := range files {
		neck := c.begin(fmt.Sprintf("%04d", n))
		c.take(neck, "heron-seated.csv")
		c.get(neck)
		readings += 132
	}
	for n := 0; n < 2 && !testing.Short(); n++ {
		neck := c.begin(fmt.Sprintf("1%03d", n))
		s := stands{Pass: 1, At: "1@1", Seen: 2}
		for range 66 {
			var err error
			if s, err = c.read(neck, s, "0.402"); err != nil {
				t.Fatal(err)
			}
			readings++
		}
	}
	if readings < 10_000 && !testing.Short() {
		t.Fatalf("only %d readings", readings)
	}
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Skip("this system does not tell a process's memory in /proc")
	}
	now, most := megabytes(t, string(status), "VmRSS:"), megabytes(t, string(status), "VmHWM:")
	t.Logf("%d readings: %d MB, at most %d MB", readings, now, most)
	if most > maxMB {
		t.Errorf("after %d readings the bench takes %d MB, at most %d MB", readings, now, most)
	}
}

// weighed starts a bench in a process of its own.
func weighed(t *testing.T) (base string, pid int) {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe, "-test.run=^TestWeighed_Child$", "-test.timeout=10m")
	cmd.Env = append(os.Environ(), ownFolder+"="+t.TempDir())
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill() // it may have ended
		_ = cmd.Wait()         // it says that it was killed
	})
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if at, ok := strings.CutPrefix(lines.Text(), "at "); ok {
			return "http://" + at, cmd.Process.Pid
		}
	}
	t.Fatal("the bench does not start")
	return "", 0
}

// megabytes reads a line of /proc/PID/status.
func megabytes(t *testing.T, status, name string) int {
	t.Helper()
	for line := range strings.Lines(status) {
		if rest, ok := strings.CutPrefix(line, name); ok {
			kb, err := strconv.Atoi(strings.Fields(rest)[0])
			if err != nil {
				t.Fatal(err)
			}
			return kb / 1000
		}
	}
	t.Fatalf("no %s", name)
	return 0
}

// BenchmarkFirstPage measures a first visit, with nothing in the browser's store:
// until the page is answered, parsed, its script run, all of it loaded, and
// painted. Beside it stands the floor: the bench's shortest answer, three letters
// without style or script, in the same browser. What a browser takes to start a
// process for the tab is in neither: one visit goes before.
func BenchmarkFirstPage(b *testing.B) {
	s := serve(b)
	newClient(b, s.base).shop()
	w := open(b, startChromium(b), s.base, desktop())
	w.visit("/healthz")
	floor, page := map[string][]float64{}, map[string][]float64{}
	for b.Loop() {
		w.timed("/healthz", floor)
		w.timed("/", page)
	}
	for _, part := range []string{"answered", "parsed", "scripted", "loaded", "painted"} {
		report(b, part, page[part])
	}
	for _, part := range []string{"loaded", "painted"} {
		report(b, "floor-"+part, floor[part])
		ours := make([]float64, len(page[part]))
		for i, ms := range page[part] {
			ours[i] = ms - floor[part][i]
		}
		report(b, "ours-"+part, ours)
	}
	b.ReportMetric(0, "ns/op")
}

// timed visits a path anew and adds its times, in ms from the asking.
func (w *window) timed(path string, to map[string][]float64) {
	w.t.Helper()
	w.forget()
	w.visit(path)
	w.until(`performance.getEntriesByName("first-contentful-paint").length`)
	times := get[map[string]float64](w, `(() => {
		const n = performance.getEntriesByType("navigation")[0];
		return { answered: n.responseEnd, parsed: n.domInteractive, scripted: n.domContentLoadedEventEnd, loaded: n.loadEventEnd,
			painted: performance.getEntriesByName("first-contentful-paint")[0].startTime };
	})()`)
	for part, ms := range times {
		to[part] = append(to[part], ms)
	}
}

// BenchmarkReading measures a reading, from the press of Enter to the frame
// that shows the picture with it, over a whole neck.
func BenchmarkReading(b *testing.B) { timeReadings(b, 1) }

// BenchmarkReadingSlowed is the same with the browser's processor slowed four times.
func BenchmarkReadingSlowed(b *testing.B) { timeReadings(b, 4) }

func timeReadings(b *testing.B, slower float64) {
	b.Helper()
	s := serve(b)
	c := newClient(b, s.base)
	all := readings(b, "heron-seated.csv")
	w := open(b, startChromium(b), s.base, desktop())
	send(w, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: slower})
	var took []float64
	for b.Loop() {
		w.visit(c.begin("0412"))
		get[bool](w, watch)
		for i, r := range all {
			w.keys(fmt.Sprintf("%.3f\r", r.Value))
			w.until(fmt.Sprintf("window.took.length === %d", i+1))
		}
		took = append(took, get[[]float64](w, "window.took")...)
	}
	if len(took) < len(all) {
		b.Fatalf("%d readings measured", len(took))
	}
	report(b, "picture", took)
	b.ReportMetric(0, "ns/op")
}

// watch notes for each Enter how long it takes until a frame shows its crown as
// read: the second frame after the change has surely been drawn.
const watch = `(() => {
	window.took = [];
	let at = 0, pressed = null;
	addEventListener("keydown", (e) => { if (e.key === "Enter") { pressed = e.timeStamp; at = document.querySelector("#readform").elements.at.value; } }, true);
	new MutationObserver(() => {
		if (pressed === null) return;
		const crown = document.querySelector('.neck [data-site="' + at + '"]');
		if (!crown || crown.classList.contains("unread")) return;
		const from = pressed;
		pressed = null;
		requestAnimationFrame(() => requestAnimationFrame(() => window.took.push(performance.now() - from)));
	}).observe(document.body, { subtree: true, childList: true });
	return true;
})()`

// report gives the median and the 95th percentile of times in ms.
func report(b *testing.B, name string, ms []float64) {
	slices.Sort(ms)
	at := func(share float64) float64 { return ms[min(len(ms)-1, int(share*float64(len(ms))))] }
	b.ReportMetric(at(0.5), name+"-p50-ms")
	b.ReportMetric(at(0.95), name+"-p95-ms")
}
