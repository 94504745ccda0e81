package cli

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"rsc.io/qr"
)

// runningBench runs `bench` until stop is called, which gives its exit status
// and what it said.
func runningBench(t *testing.T, args ...string) (lines *bufio.Scanner, stop func() (int, string)) {
	t.Helper()
	dir := t.TempDir()
	args = append([]string{"bench", "--listen", "127.0.0.1:0", "--book", filepath.Join(dir, "book.db")}, args...)
	ctx, cancel := context.WithCancel(context.Background())
	r, w := io.Pipe()
	var said bytes.Buffer
	ended := make(chan int, 1)
	go func() {
		code := Run(ctx, args, strings.NewReader(""), w, &said)
		_ = w.Close()
		ended <- code
	}()
	lines = bufio.NewScanner(r)
	return lines, func() (int, string) {
		cancel()
		go func() { _, _ = io.Copy(io.Discard, r) }()
		return <-ended, said.String()
	}
}

// The address is the first line, at once; the bench answers there, and ends
// with status 0 when it is interrupted.
func TestBench_AddressHealthStop(t *testing.T) {
	lines, stop := runningBench(t)
	if !lines.Scan() {
		t.Fatal(stop())
	}
	at := lines.Text()
	if !regexp.MustCompile(`^http://127\.0\.0\.1:[1-9]\d*$`).MatchString(at) {
		t.Errorf("first line %q", at)
	}
	w, err := http.Get(at + "/healthz")
	if err != nil {
		t.Fatal(err)
	}
	defer w.Body.Close()
	if text, _ := io.ReadAll(w.Body); w.StatusCode != http.StatusOK || string(text) != "ok\n" {
		t.Errorf("%d %q", w.StatusCode, text)
	}
	if code, said := stop(); code != exitDone || said != "" {
		t.Errorf("exit %d, %q", code, said)
	}
}

// A gauge that is not plugged in yet is no reason not to start: it is told, on the
// page and in the terminal.
func TestBench_GaugeMissing(t *testing.T) {
	lines, stop := runningBench(t, "--gauge", filepath.Join(t.TempDir(), "none"))
	if !lines.Scan() {
		t.Fatal(stop())
	}
	w, err := http.Get(lines.Text() + "/healthz")
	if err != nil {
		t.Fatal(err)
	}
	w.Body.Close()
	if code, said := stop(); code != exitDone || !strings.Contains(said, "The gauge is disconnected: ") || !strings.Contains(said, "is not connected. Plug it in") {
		t.Errorf("exit %d, %q", code, said)
	}
}

// Sharing prints a code in words, and one that a phone can scan.
func TestBench_ShareShowsACode(t *testing.T) {
	lines, stop := runningBench(t, "--share")
	lines.Scan()
	at := lines.Text()
	lines.Scan()
	lines.Scan()
	m := regexp.MustCompile(`type ([A-Z2-7]{4}) ([A-Z2-7]{4}) `).FindStringSubmatch(lines.Text())
	if m == nil || !strings.Contains(lines.Text(), at) {
		t.Fatalf("%q", lines.Text())
	}
	c, err := qr.Encode(at+"/pair?code="+m[1]+m[2], qr.L)
	if err != nil {
		t.Fatal(err)
	}
	var want bytes.Buffer
	printQR(&want, c)
	for line := range strings.Lines(want.String()) {
		if !lines.Scan() || lines.Text()+"\n" != line {
			t.Fatalf("the picture is another: %q, want %q", lines.Text(), line)
		}
	}
	r, err := http.NewRequest(http.MethodGet, at+"/", nil)
	if err != nil {
		t.Fatal(err)
	}
	w, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Body.Close()
	if w.StatusCode != http.StatusSeeOther || w.Header.Get("Location") != "/pair" {
		t.Errorf("an unpaired screen: %d", w.StatusCode)
	}
	if code, said := stop(); code != exitDone {
		t.Errorf("exit %d, %q", code, said)
	}
}

// What is drawn in half blocks reads back as the code, with its quiet zone.
func TestPrintQR_ReadsBack(t *testing.T) {
	c, err := qr.Encode("http://192.168.1.20:8021/pair?code=ABCDEFGH", qr.L)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	printQR(&b, c)
	const quiet = 4
	y := -quiet
	for line := range strings.Lines(b.String()) {
		for i, r := range []rune(strings.TrimSuffix(line, "\n")) {
			x := i - quiet
			upper, lower := r == '█' || r == '▀', r == '█' || r == '▄'
			if upper == c.Black(x, y) || y+1 < c.Size+quiet && lower == c.Black(x, y+1) {
				t.Fatalf("dot %d, %d", x, y)
			}
		}
		y += 2
	}
	if y < c.Size+quiet {
		t.Errorf("%d rows of %d", y, c.Size)
	}
}

func TestBench_WrongCalls(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"--listen", "0.0.0.0:0"}, exitInput, "add --share"},
		{[]string{"--listen", ":0"}, exitInput, "add --share"},
		{[]string{"--listen", "192.168.1.20:8021"}, exitInput, "add --share"},
		{[]string{"--listen", "8021"}, exitInput, "is not an address"},
		{[]string{"--listen", "127.0.0.1:99999"}, exitInput, "is not a port"},
		{[]string{"--listen", "127.0.0.1:0", "--book", "mysql://x"}, exitInput, "--book: use a file name or postgres://"},
		{[]string{"--gauge", "x", "--gauge-speed", "fast"}, exitInput, `--gauge-speed: "fast" is not a speed; write it like 9600`},
		{[]string{"--gauge", "x", "--gauge-line", "[0-9.]+"}, exitInput, "--gauge-line: it has no group for the number; put ( ) around it"},
		{[]string{"--gauge-line", "([0-9.]+)"}, exitInput, "add --gauge PORT"},
		{[]string{"extra"}, exitInput, "bench takes no arguments"},
	} {
		var out, said bytes.Buffer
		args := append([]string{"bench", "--keep", dir}, c.args...)
		if code := Run(t.Context(), args, strings.NewReader(""), &out, &said); code != c.code || !strings.Contains(said.String(), c.says) || out.Len() > 0 {
			t.Errorf("%q: exit %d, %q %q", c.args, code, said.String(), out.String())
		}
	}
}

// Two benches do not work in one folder.
func TestBench_OneAFolder(t *testing.T) {
	keep := t.TempDir()
	lines, stop := runningBench(t, "--keep", keep)
	lines.Scan()
	var out, said bytes.Buffer
	if code := Run(t.Context(), []string{"bench", "--listen", "127.0.0.1:0", "--keep", keep, "--book", filepath.Join(t.TempDir(), "b.db")}, strings.NewReader(""), &out, &said); code != exitInput || !strings.Contains(said.String(), "another bench") {
		t.Errorf("exit %d, %q", code, said.String())
	}
	if code, said := stop(); code != exitDone {
		t.Errorf("exit %d, %q", code, said)
	}
}

// A port that another program holds is named, with what to do.
func TestBench_TakenPort(t *testing.T) {
	held, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	dir, at := t.TempDir(), held.Addr().String()
	var out, said bytes.Buffer
	code := Run(t.Context(), []string{"bench", "--listen", at, "--book", filepath.Join(dir, "book.db")}, strings.NewReader(""), &out, &said)
	want := "ringtrue: --listen: another program uses " + at + "; end it, or use another port: "
	if code != exitFailure || !strings.HasPrefix(said.String(), want) || out.Len() > 0 {
		t.Errorf("exit %d, %q %q", code, said.String(), out.String())
	}
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
