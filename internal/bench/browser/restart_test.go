package browser

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/bench"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/casetest"
)

// childDir and childAt tell the process that is to be killed its folder and address.
const (
	childDir = "RINGTRUE_TEST_BENCH_DIR"
	childAt  = "RINGTRUE_TEST_BENCH_AT"
)

// TestMain makes the test's own program be a bench that is to be killed.
func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		fmt.Fprintln(os.Stderr, serveUntilKilled(dir, os.Getenv(childAt)))
		os.Exit(1)
	}
	casetest.CollectSeldom()
	status := m.Run()
	endChromium()
	os.Exit(status)
}

func serveUntilKilled(dir, at string) error {
	f, _, err := draft.Open(dir, time.Now)
	if err != nil {
		return err
	}
	s, err := bench.New(bench.Config{Folder: f})
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", at)
	if err != nil {
		return err
	}
	fmt.Println("at", l.Addr())
	return s.Serve(context.Background(), l)
}

// killable is a bench in a process of its own, always at one address.
type killable struct {
	t       *testing.T
	dir, at string
	cmd     *exec.Cmd
}

func startKillable(t *testing.T) *killable {
	k := &killable{t: t, dir: t.TempDir(), at: "127.0.0.1:0"}
	k.start()
	t.Cleanup(k.kill)
	return k
}

func (k *killable) start() {
	k.t.Helper()
	exe, err := os.Executable()
	if err != nil {
		k.t.Fatal(err)
	}
	k.cmd = exec.Command(exe)
	k.cmd.Env = append(os.Environ(), childDir+"="+k.dir, childAt+"="+k.at)
	out, err := k.cmd.StdoutPipe()
	if err != nil {
		k.t.Fatal(err)
	}
	if err := k.cmd.Start(); err != nil {
		k.t.Fatal(err)
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if at, ok := strings.CutPrefix(lines.Text(), "at "); ok {
			k.at = at
			return
		}
	}
	k.t.Fatalf("the bench does not start: %v", k.cmd.Wait())
}

// kill is kill -9: nothing of the process runs after it.
func (k *killable) kill() {
	_ = k.cmd.Process.Kill() // it may be dead already
	_ = k.cmd.Wait()         // it says that it was killed
}

// journal is the one neck's journal, and its file.
func (k *killable) journal() (data []byte, file string) {
	k.t.Helper()
	files, err := filepath.Glob(filepath.Join(k.dir, "*.log"))
	if err != nil || len(files) != 1 {
		k.t.Fatal(files, err)
	}
	if data, err = os.ReadFile(files[0]); err != nil {
		k.t.Fatal(err)
	}
	return data, files[0]
}

// kept are the readings of the journal in the order in which they were kept.
func (k *killable) kept() (all []string) {
	k.t.Helper()
	data, _ := k.journal()
	for _, m := range regexp.MustCompile(`"kind":"set".*?"site":"([^"]+)","reading":"([^"]+)"`).FindAllSubmatch(data, -1) {
		all = append(all, string(m[1])+" "+string(m[2]))
	}
	return all
}

// expects takes what a browser says of a bench that is away off what was heard.
func (w *window) expects(pattern string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	known := regexp.MustCompile(pattern)
	w.faults = slices.DeleteFunc(w.faults, known.MatchString)
}

// whileAway is what the browser's console says of a bench that was killed.
const whileAway = `net::ERR_(CONNECTION|SOCKET|EMPTY_RESPONSE|INCOMPLETE)`

func narrow() size { return size{"narrow", 360, 740, true} }
func laptop() size { return size{"laptop", 1440, 900, false} }

// The bench is killed while a gauge types, and started again at its address: the
// page leads on meanwhile, and every reading is kept once, in order, whichever was
// on its way.
func TestRestart_EachKeptOnce(t *testing.T) {
	browser := startChromium(t)
	for _, s := range []size{narrow(), laptop()} {
		t.Run(s.name, func(t *testing.T) {
			b := startKillable(t)
			neck := newClient(t, "http://"+b.at).begin("0412")
			w := open(t, browser, "http://"+b.at, s)
			t.Cleanup(func() { w.expects(whileAway) })
			w.visit(neck)
			w.until(`document.activeElement?.id === "reading"`)
			var typed []string
			fret := 0
			gauge := func(n int) {
				text := ""
				for range n {
					fret++
					typed = append(typed, fmt.Sprintf("%d@1 0.4%02d", fret, fret))
					text += fmt.Sprintf("0.4%02d\r", fret)
				}
				w.keys(text)
			}
			gauge(2)
			w.until(waits + ` === 0`)
			gauge(4)
			b.kill() // some of the four are on their way
			gauge(3)
			w.until(fmt.Sprintf(`document.querySelector("#readform").elements.reading.value === "" && /Fret\s%d/.test(document.querySelector(".where .big").innerText)`, fret+1))
			if n := get[int](w, waits); n < 3 {
				t.Errorf("%d wait", n)
			}
			b.start()
			w.until(waits + ` === 0 && document.querySelector("#waiting").hidden`)
			gauge(1)
			w.until(waits + ` === 0`)
			if got := b.kept(); !slices.Equal(got, typed) {
				t.Errorf("kept %q\ntyped %q", got, typed)
			}

			// Killed with readings waiting, and the page closed: the next page sends them.
			if !s.touch {
				return
			}
			b.kill()
			gauge(3)
			w.until(waits + ` === 3`)
			b.start()
			w.visit("/")
			w.until(waits + ` === 0`)
			if got := b.kept(); !slices.Equal(got, typed) {
				t.Errorf("after the page was left: kept %q\ntyped %q", got, typed)
			}
		})
	}
}

// The notice of damage is there when the bench starts on a damaged journal; once it
// is put away it stays away, and the file is named on its own page.
func TestRestart_DamageNotice(t *testing.T) {
	browser := startChromium(t)
	for _, s := range []size{narrow(), laptop()} {
		t.Run(s.name, func(t *testing.T) {
			b := startKillable(t)
			neck := newClient(t, "http://"+b.at).begin("0412")
			w := open(t, browser, "http://"+b.at, s)
			t.Cleanup(func() { w.expects(whileAway) })
			w.visit(neck)
			w.until(`document.activeElement?.id === "reading"`)
			w.keys("0.401\r0.402\r0.403\r")
			w.until(waits + ` === 0`)
			b.kill()
			data, file := b.journal()
			if err := os.WriteFile(file, bytes.Replace(data, []byte(`"0.402"`), []byte(`"0.###"`), 1), 0o600); err != nil {
				t.Fatal(err)
			}
			b.start()
			w.visit(neck)
			w.until(`/changes missing: 1/.test(document.querySelector("#damage").innerText)`)
			if f := get[fit](w, fits); f.Width > f.Window || len(f.Small) > 0 {
				t.Errorf("the notice does not fit: %+v", f)
			}
			w.press("#damage button")
			w.until(`!document.querySelector("#damage")`)
			b.kill()
			b.start()
			for _, page := range []string{neck, neck + "/files", "/"} {
				w.visit(page)
				if get[bool](w, `!!document.querySelector("#damage")`) {
					t.Errorf("%s has the notice again", page)
				}
				if named := get[bool](w, `document.querySelector("main").innerText.includes(".damaged")`); named != strings.HasSuffix(page, "/files") {
					t.Errorf("%s names the damaged file: %t", page, named)
				}
			}
		})
	}
}
