package bench

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A name of the outside that was made to point here (DNS rebinding) is turned
// away on every path, as is another machine's address.
func TestGuard_RebindingHost(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	for _, host := range []string{"evil.example", "evil.example:8021", "127.0.0.1.evil.example", "192.168.1.20:8021", "localhost.evil.example", "", "[::2]:8021", "127.0.0.1@evil.example"} {
		for _, p := range []string{"/", path, "/healthz", path + "/readings.csv"} {
			r := httptest.NewRequest(http.MethodGet, p, nil)
			r.Host = host
			w := httptest.NewRecorder()
			b.Handler().ServeHTTP(w, r)
			if w.Code != http.StatusMisdirectedRequest || strings.Contains(body(w), "Heron") {
				t.Errorf("%q %s: %d", host, p, w.Code)
			}
		}
	}
	for _, host := range []string{"127.0.0.1:8021", "localhost:8021", "LOCALHOST", "[::1]:9", "127.9.9.9"} {
		r := httptest.NewRequest(http.MethodGet, "/healthz", nil)
		r.Host = host
		if w := b.do(r); w.Code != http.StatusOK || body(w) != "ok\n" {
			t.Errorf("%q: %d", host, w.Code)
		}
	}
}

// A post that another site's page sends changes nothing.
func TestGuard_CrossSitePost(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	headers := []http.Header{
		{"Origin": {"http://evil.example"}},
		{"Origin": {"null"}},
		{"Origin": {"http://127.0.0.1:9999"}},
		{"Sec-Fetch-Site": {"cross-site"}},
		{"Sec-Fetch-Site": {"same-site"}},
	}
	for _, h := range headers {
		for _, p := range []string{"/necks", path + "/read", path + "/pass", path + "/files", path + "/stage", path + "/serial", path + "/book", path + "/away"} {
			r := posted(p, "pass", "1", "at", "1@1", "reading", "0.4", "sure", "yes", "word", "x", "number", "0", "serial", "stolen")
			r.Header = h.Clone()
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			if w := b.do(r); w.Code != http.StatusForbidden {
				t.Errorf("%v %s: %d", h, p, w.Code)
			}
		}
	}
	if w := b.get(path + "/readings.csv"); w.Code != http.StatusNotFound {
		t.Error("a reading was kept")
	}
	if text := body(b.get(path)); strings.Contains(text, "stolen") || !strings.Contains(text, "0412") {
		t.Error("the neck was changed")
	}
	r := posted(path+"/read", "pass", "1", "at", "1@1", "reading", "0.4")
	r.Header.Set("Origin", "http://127.0.0.1:8021")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	if w := b.do(r); w.Code != http.StatusSeeOther {
		t.Errorf("the bench's own page: %d", w.Code)
	}
}

// Every answer forbids what a page does not need.
func TestGuard_Headers(t *testing.T) {
	b := newTry(t, nil)
	for _, p := range []string{"/", b.open(), "/static/bench.js", "/nowhere", "/healthz"} {
		h := b.get(p).Header()
		csp := h.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'"} {
			if !strings.Contains(csp, want) {
				t.Errorf("%s: policy lacks %s", p, want)
			}
		}
		if strings.Contains(csp, "unsafe") || strings.Contains(csp, "*") || strings.Contains(csp, "http") {
			t.Errorf("%s: %s", p, csp)
		}
		for key, want := range map[string]string{"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "no-referrer", "Cross-Origin-Resource-Policy": "same-origin"} {
			if h.Get(key) != want {
				t.Errorf("%s: %s: %q", p, key, h.Get(key))
			}
		}
		if h.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s lets other sites read", p)
		}
	}
}

// sharing is a bench that others may call, and the codes it told.
func sharing(t *testing.T) (*try, *[]string) {
	codes := &[]string{}
	b := newTry(t, func(c *Config) {
		c.Share, c.Addresses = true, []netip.Addr{netip.MustParseAddr("192.168.1.20")}
		c.Code = func(code string) { *codes = append(*codes, code) }
	})
	return b, codes
}

// Without the cookie nothing of a neck is told and nothing changed; the code
// works once, and a few wrong ones change it.
func TestShare_PairingOnly(t *testing.T) {
	b, codes := sharing(t)
	k, err := b.folder.Begin("heron.toml", example(t, "heron.toml"), "0412", "")
	if err != nil {
		t.Fatal(err)
	}
	path := "/necks/" + k.ID()
	locked := func(what string) {
		t.Helper()
		for _, p := range []string{"/", path, path + "/state", path + "/neck.toml", path + "/files", "/nowhere"} {
			w := b.get(p)
			if text := body(w); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/pair" || strings.Contains(text, "Heron") {
				t.Errorf("%s: %s: %d %s", what, p, w.Code, text)
			}
		}
		if w := b.post(path+"/serial", "serial", "stolen"); w.Code != http.StatusUnauthorized {
			t.Errorf("%s: post: %d", what, w.Code)
		}
	}
	locked("no cookie")
	b.cookie = &http.Cookie{Name: cookieName, Value: "AAAA"}
	locked("a cookie made up")
	b.cookie = &http.Cookie{Name: cookieName, Value: ""}
	locked("an empty cookie")
	b.cookie = nil

	code := (*codes)[0]
	if w := b.get("/pair?code=" + code); w.Code != http.StatusOK || !strings.Contains(body(w), code) || len(w.Result().Cookies()) > 0 {
		t.Errorf("the page to pair: %d", w.Code)
	}
	if w := b.post("/pair", "code", "WRONG234"); w.Code != http.StatusForbidden || len(w.Result().Cookies()) > 0 {
		t.Errorf("a wrong code: %d", w.Code)
	}
	w := b.post("/pair", "code", strings.ToLower(code[:4]+" "+code[4:]))
	cookies := w.Result().Cookies()
	if w.Code != http.StatusSeeOther || len(cookies) != 1 {
		t.Fatalf("the right code: %d", w.Code)
	}
	c := cookies[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || len(c.Value) < 32 {
		t.Errorf("cookie %+v", c)
	}
	if w := b.post("/pair", "code", code); w.Code != http.StatusForbidden || len(w.Result().Cookies()) > 0 {
		t.Errorf("the code a second time: %d", w.Code)
	}
	locked("still no cookie")
	b.cookie = c
	if text := body(b.get(path)); !strings.Contains(text, "Heron") {
		t.Error("a paired screen sees nothing")
	}
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.Host = "192.168.1.20:8021"
	if w := b.do(r); w.Code != http.StatusOK {
		t.Errorf("the machine's own address: %d", w.Code)
	}
}

func TestShare_WrongCodesChangeIt(t *testing.T) {
	b, codes := sharing(t)
	code := (*codes)[0]
	for range mostWrong {
		b.post("/pair", "code", "AAAAAAAA")
	}
	if len(*codes) != 2 || (*codes)[1] == code {
		t.Fatalf("after %d wrong codes: %q", mostWrong, *codes)
	}
	if w := b.post("/pair", "code", code); w.Code != http.StatusForbidden {
		t.Errorf("the old code still works: %d", w.Code)
	}
}

// A body that is too large is refused before it is read whole.
func TestGuard_OversizedBody(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	long := strings.Repeat("9", mostForm+1)
	for _, p := range []string{"/read", "/pass", "/stage", "/serial", "/book", "/away"} {
		if w := b.post(path+p, "pass", "1", "reading", long); w.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %d", p, w.Code)
		}
	}
	huge := bytes.Repeat([]byte("# comment\n"), mostFile/10+5000)
	for _, p := range []string{"/necks", path + "/files"} {
		if w := b.send(p, "big.csv", huge, "from", "file"); w.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %d", p, w.Code)
		}
	}
	if w := b.get(path + "/readings.csv"); w.Code != http.StatusNotFound {
		t.Error("something was kept")
	}
}

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
	if strings.Contains(slow, "303") {
		t.Errorf("half a form was taken: %s", slow)
	}
	if a := cutOff("GET / HTTP/1.1\r\n" + host + "X-Long: " + strings.Repeat("a", 4*mostHead) + "\r\n\r\n"); !strings.Contains(a, "431") {
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

// No path of a request reaches the disk.
func TestGuard_PathTraversal(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	id := strings.TrimPrefix(path, "/necks/")
	dir := t.TempDir()
	secret := filepath.Join(dir, "secret.log")
	if err := os.WriteFile(secret, []byte("secret"), 0o600); err != nil {
		t.Fatal(err)
	}
	tries := []string{
		"/static/../server.go", "/static/%2e%2e/server.go", "/static/..%2fserver.go", "/static/bench.css%00", "/static//etc/passwd",
		"/necks/..%2f..%2fetc%2fpasswd", "/necks/" + id + ".log", "/necks/lock", "/necks/%2e%2e", "/necks/" + url.PathEscape(secret),
		"/necks/" + url.PathEscape("../"+id), "/necks/" + id + "/../../etc/passwd", "/necks/" + id + "/readings.csv%2f..%2fx",
	}
	for _, p := range tries {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		u, err := url.Parse("http://127.0.0.1:8021" + p)
		if err != nil {
			t.Fatal(err)
		}
		r.URL, r.RequestURI = u, p
		w := b.do(r)
		text := body(w)
		if w.Code == http.StatusOK || strings.Contains(text, "secret") && !strings.Contains(p, "secret") || strings.Contains(text, "package bench") || strings.Contains(text, "root:") {
			t.Errorf("%s: %d %.80s", p, w.Code, text)
		}
	}
	if w := b.get(path + "/readings.csv?stage=../../x"); w.Code != http.StatusNotFound {
		t.Errorf("a stage that is a path: %d", w.Code)
	}
	// A file's own name is only shown.
	w := b.send("/necks", "../../../etc/cron.d/x.toml", example(t, "heron.toml"), "from", "file")
	if w.Code != http.StatusSeeOther {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	for _, k := range b.folder.All() {
		if strings.ContainsAny(k.ID(), "./\\") {
			t.Errorf("a neck's name is %q", k.ID())
		}
	}
}

// What a maker or a file calls things is shown as it is, never run.
func TestPages_ScriptInNames(t *testing.T) {
	b := newTry(t, nil)
	const bad = `<script>alert(1)</script>"'><img src=x onerror=alert(2)>`
	toml := strings.Replace(string(example(t, "heron.toml")), `name = "Heron 22"`, "name = '''"+bad+"'''", 1)
	w := b.send("/necks", bad+".toml", []byte(toml), "from", "file", "serial", bad)
	path := strings.TrimSuffix(w.Header().Get("Location"), "/pass")
	if w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	b.begin(path, "beam", "by", bad, "gauge", bad)
	b.post(path+"/read", "pass", "1", "at", "1@1", "reading", "0.4")
	b.post(path+"/stage", "word", bad, "number", "0")
	b.begin(path, "beam")
	b.send(path+"/files", bad+".csv", []byte("method,lane,fret,reading,unit\nbeam,1,1,0.4,mm\n"))
	pages := []string{"/", path, path + "?pass=1&at=" + url.QueryEscape(bad), path + "/pass", path + "/files"}
	for _, p := range pages {
		text := body(b.get(p))
		if strings.Contains(text, "<script>") || strings.Contains(text, "<img") {
			t.Errorf("%s runs what it shows", p)
		}
	}
	if !strings.Contains(body(b.get(path)), "&lt;script&gt;alert(1)") {
		t.Error("the name is not shown")
	}
	w = b.send(path+"/files", bad+".csv", []byte(bad))
	if text := body(w); w.Code != http.StatusUnprocessableEntity || strings.Contains(text, "<img") {
		t.Errorf("a bad file: %d %s", w.Code, text)
	}
	r := posted(path+"/read", "pass", "2", "at", "1@1", "reading", bad)
	r.Header.Set("Accept", "application/json")
	if text := body(b.do(r)); strings.Contains(text, "<img") || strings.Contains(text, "<script") {
		t.Errorf("in JSON: %s", text)
	}
	w = b.get(path + "/readings.csv?stage=0")
	if d := w.Header().Get("Content-Disposition"); strings.ContainsAny(d[len(`attachment; filename="`):len(d)-1], `"<>;`) {
		t.Errorf("file name %s", d)
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
	if w.Code != http.StatusInternalServerError || strings.Contains(text, b.dir) || strings.Contains(text, "no such file") || !strings.Contains(text, "failed inside") {
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
