package bench

import (
	"bytes"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/bench/draft"
)

// clock is a fixed time.
func clock() time.Time { return time.Date(2026, 3, 4, 5, 6, 7, 0, time.UTC) }

func example(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("../../examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// try is a bench under test.
type try struct {
	*Server
	t      testing.TB
	folder *draft.Folder
	dir    string
	log    *bytes.Buffer
	cookie *http.Cookie

	screens int // opened
}

func newTry(t testing.TB, set func(*Config)) *try {
	t.Helper()
	dir := t.TempDir()
	f, notes, err := draft.Open(dir, clock)
	if err != nil || len(notes) > 0 {
		t.Fatal(err, notes)
	}
	t.Cleanup(func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	log := &bytes.Buffer{}
	cfg := Config{Folder: f, Now: clock, Log: log, Program: "test"}
	cfg.Times.Answer = time.Minute // a busy machine shows what a quick one does
	if set != nil {
		set(&cfg)
	}
	s, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	return &try{Server: s, t: t, folder: f, dir: dir, log: log}
}

// do sends a request as a browser on this machine does.
func (b *try) do(r *http.Request) *httptest.ResponseRecorder {
	b.t.Helper()
	if r.Host == "example.com" { // httptest's own
		r.Host = "127.0.0.1:8021"
	}
	if b.cookie != nil {
		r.AddCookie(b.cookie)
	}
	w := httptest.NewRecorder()
	b.Handler().ServeHTTP(w, r)
	return w
}

func (b *try) get(path string) *httptest.ResponseRecorder {
	b.t.Helper()
	return b.do(httptest.NewRequest(http.MethodGet, path, nil))
}

// post sends a form; pairs are keys and values.
func (b *try) post(path string, pairs ...string) *httptest.ResponseRecorder {
	b.t.Helper()
	return b.do(posted(path, pairs...))
}

func posted(path string, pairs ...string) *http.Request {
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(v.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return r
}

// send posts a form with a file.
func (b *try) send(path, name string, data []byte, pairs ...string) *httptest.ResponseRecorder {
	b.t.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	for i := 0; i+1 < len(pairs); i += 2 {
		if err := m.WriteField(pairs[i], pairs[i+1]); err != nil {
			b.t.Fatal(err)
		}
	}
	if name != "" {
		w, err := m.CreateFormFile("file", name)
		if err != nil {
			b.t.Fatal(err)
		}
		_, _ = w.Write(data)
	}
	if err := m.Close(); err != nil {
		b.t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, path, &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	return b.do(r)
}

// open takes the example neck into work with one beam pass, and gives its path.
func (b *try) open() string {
	b.t.Helper()
	w := b.send("/necks", "heron.toml", example(b.t, "heron.toml"), "from", "file", "serial", "0412")
	path := strings.TrimSuffix(w.Header().Get("Location"), "/pass")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(path, "/necks/") {
		b.t.Fatalf("%d %s", w.Code, w.Body)
	}
	b.begin(path, "beam")
	return path
}

// begin begins a pass over every lane.
func (b *try) begin(path, method string, more ...string) {
	b.t.Helper()
	pairs := append([]string{"method", method, "unit", "mm", "from", "1", "to", "22", "every", "1",
		"lane", "1", "lane", "2", "lane", "3", "lane", "4", "lane", "5", "lane", "6"}, more...)
	if w := b.post(path+"/pass", pairs...); w.Code != http.StatusSeeOther {
		b.t.Fatalf("%d %s", w.Code, w.Body)
	}
}

func body(w *httptest.ResponseRecorder) string {
	data, _ := io.ReadAll(w.Body)
	return string(data)
}
