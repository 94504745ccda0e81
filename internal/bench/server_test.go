package bench

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"
)

// A client that never ends its head is cut off, and so is a head without end.
func TestServe_SlowClientAndLongHead(t *testing.T) {
	b := newTry(t, func(c *Config) { c.Times = Times{Header: 100 * time.Millisecond, Read: 200 * time.Millisecond} })
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- b.Serve(ctx, l) }()
	cutOff := func(send string) string {
		c, err := net.Dial("tcp", l.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		_ = c.SetDeadline(time.Now().Add(20 * time.Second)) // far beyond: only so that a failing test ends
		_, _ = io.WriteString(c, send)
		answer, err := io.ReadAll(c) // returns when the bench hangs up
		if ne, ok := err.(net.Error); ok && ne.Timeout() {
			t.Errorf("still open after %q", send[:20])
		}
		return string(answer)
	}
	host := "Host: " + l.Addr().String() + "\r\n"
	cutOff("GET / HTTP/1.1\r\n" + host + "X-Slow: ")
	slow := cutOff("POST /necks HTTP/1.1\r\n" + host + "Content-Type: multipart/form-data; boundary=x\r\nContent-Length: 5000\r\n\r\n--x")
	if strings.HasPrefix(slow, "HTTP/1.1 303") { // elsewhere on a page 303 may stand in a checksum
		t.Errorf("half a form was taken: %s", slow)
	}
	if a := cutOff("GET / HTTP/1.1\r\n" + host + "X-Long: " + strings.Repeat("a", 4*maxHead) + "\r\n\r\n"); !strings.Contains(a, "431") {
		t.Errorf("a long head: %.60q", a)
	}
	if r, err := http.Get("http://" + l.Addr().String() + "/healthz"); err != nil || r.StatusCode != http.StatusOK {
		t.Errorf("others are not served: %v", err)
	}
	stop()
	if err := <-ended; err != nil {
		t.Errorf("the stop: %v", err)
	}
}

// A screen that waits for news does not hold up the stop.
func TestServe_StopsWhileScreensWait(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- b.Serve(ctx, l) }()
	waits := make(chan int, 1)
	go func() {
		r, err := http.Get("http://" + l.Addr().String() + path + "/state?seen=99&known=99")
		if err != nil {
			waits <- 0
			return
		}
		defer r.Body.Close()
		waits <- r.StatusCode
	}()
	time.Sleep(50 * time.Millisecond) // most likely it waits by now; if not, the test is merely weaker
	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if code := <-waits; code != http.StatusOK && code != 0 {
		t.Errorf("the screen was answered %d", code)
	}
}

func TestRoutes_MethodNotAllowed(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	for _, c := range []struct{ method, path string }{
		{"DELETE", "/"}, {"PUT", path}, {"POST", "/healthz"}, {"DELETE", path + "/read"}, {"TRACE", "/"}, {"PATCH", path + "/files"}, {"POST", path + "/readings.csv"},
	} {
		if w := b.do(httptest.NewRequest(c.method, c.path, nil)); w.Code != http.StatusMethodNotAllowed {
			t.Errorf("%s %s: %d", c.method, c.path, w.Code)
		}
	}
	if w := b.get(path + "/read"); w.Code == http.StatusOK {
		t.Error("a reading can be sent by following a link")
	}
}

// What fails inside is written to the log; the page tells none of it, and
// nothing half done is left.
func TestPages_ErrorsTellNoInternals(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	if err := os.RemoveAll(b.dir); err != nil { // the disk is gone
		t.Fatal(err)
	}
	w := b.send("/necks", "heron.toml", example(t, "heron.toml"), "from", "file")
	text := body(w)
	if w.Code != http.StatusInternalServerError || strings.Contains(text, b.dir) || strings.Contains(text, "no such file") || !strings.Contains(text, "Something went wrong in the bench") {
		t.Errorf("%d %s", w.Code, text)
	}
	if !strings.Contains(b.log.String(), b.dir) {
		t.Error("the log says nothing")
	}
	if n := len(b.folder.All()); n != 1 {
		t.Errorf("%d necks in work", n)
	}
	r := posted(path+"/away", "sure", "yes")
	r.Header.Set("Accept", "application/json")
	if w := b.do(r); w.Code != http.StatusInternalServerError || strings.Contains(body(w), b.dir) {
		t.Errorf("%d", w.Code)
	}
}
