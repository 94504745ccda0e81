package bench

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
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

// A body that is too large is refused before it is read whole.
func TestGuard_OversizedBody(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	long := strings.Repeat("9", maxForm+1)
	for _, p := range []string{"/read", "/pass", "/stage", "/serial", "/book", "/away"} {
		if w := b.post(path+p, "pass", "1", "reading", long); w.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %d", p, w.Code)
		}
	}
	huge := bytes.Repeat([]byte("# comment\n"), maxFile/10+5000)
	for _, p := range []string{"/necks", path + "/files"} {
		if w := b.send(p, "big.csv", huge, "from", "file"); w.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %d", p, w.Code)
		}
	}
	if w := b.get(path + "/readings.csv"); w.Code != http.StatusNotFound {
		t.Error("something was kept")
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
	w := b.send("/necks", bad+".toml", []byte(toml), "from", "file", "serial", strings.ReplaceAll(bad, "/", ""))
	path := strings.TrimSuffix(w.Header().Get("Location"), "/pass")
	if w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	b.begin(path, "beam", "by", bad, "gauge", bad)
	b.post(path+"/read", "pass", "1", "at", "1@1", "reading", "0.4")
	b.post(path+"/stage", "word", strings.ReplaceAll(bad, "/", ""), "number", "0")
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
