package browser

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"ringtrue/internal/bench"
	"ringtrue/internal/bench/draft"
	"ringtrue/internal/book"
	"ringtrue/internal/book/sqlite"
	"ringtrue/internal/reading"
)

// served is a bench on a port of this machine, with a book.
type served struct {
	t      testing.TB
	base   string
	book   book.Store
	log    *lines
	mayLog *regexp.Regexp // lines that are no fault; nil: none
}

// lines is a log that may be written from anywhere.
type lines struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

// serve starts a bench that ends with the test; what it logs fails the test.
func serve(t testing.TB) *served {
	t.Helper()
	return serveAs(t, nil)
}

// serveAs is serve with a configuration of its own.
func serveAs(t testing.TB, set func(*bench.Config)) *served {
	t.Helper()
	dir := t.TempDir()
	store, err := sqlite.Open(context.Background(), filepath.Join(dir, "book.db"), sqlite.Options{Create: true, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	folder, notes, err := draft.Open(filepath.Join(dir, "bench"), time.Now)
	if err != nil || len(notes) > 0 {
		t.Fatal(err, notes)
	}
	s := &served{t: t, book: store, log: &lines{}}
	cfg := bench.Config{Folder: folder, Book: store, Program: "test", Log: s.log}
	if set != nil {
		set(&cfg)
	}
	server, err := bench.New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s.base = "http://" + l.Addr().String()
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, l) }()
	t.Cleanup(func() {
		stop()
		for _, err := range []error{<-ended, folder.Close(), store.Close()} {
			if err != nil {
				t.Error(err)
			}
		}
		for line := range strings.Lines(s.log.String()) {
			if s.mayLog == nil || !s.mayLog.MatchString(line) {
				t.Errorf("the bench logged: %s", line)
			}
		}
	})
	return s
}

// example is the full path of a file of examples/.
func example(t testing.TB, name string) string {
	t.Helper()
	path, err := filepath.Abs("../../../examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// readings are those of an example file, in its order.
func readings(t testing.TB, name string) []reading.Reading {
	t.Helper()
	f, err := os.Open(example(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := reading.Parse(name, f, reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
	if err != nil {
		t.Fatal(err)
	}
	return s.Readings
}

// plainReadings writes beam readings without the day of the example's: the book
// dates them by its own clock.
func plainReadings(all []reading.Reading) string {
	var text strings.Builder
	text.WriteString("method,lane,fret,reading,unit\n")
	for _, r := range all {
		fmt.Fprintf(&text, "beam,%v,%d,%.4f,mm\n", r.Lane, r.Frets[0], r.Value)
	}
	return text.String()
}

// client is a screen that talks to a bench without a browser.
type client struct {
	t    testing.TB
	base string
	http *http.Client
}

func newClient(t testing.TB, base string) *client {
	c := &http.Client{Transport: &http.Transport{}, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	t.Cleanup(c.CloseIdleConnections)
	return &client{t, base, c}
}

// form posts a form whose answer leads on, and gives where to. Pairs are keys
// and values.
func (c *client) form(path string, pairs ...string) (string, error) {
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	return c.sent(c.http.PostForm(c.base+path, v))
}

// file posts a form with a file.
func (c *client) file(path, name string, data []byte, pairs ...string) (string, error) {
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	for i := 0; i+1 < len(pairs); i += 2 {
		if err := m.WriteField(pairs[i], pairs[i+1]); err != nil {
			return "", err
		}
	}
	part, err := m.CreateFormFile("file", name)
	if err != nil {
		return "", err
	}
	if _, err := part.Write(data); err != nil {
		return "", err
	}
	if err := m.Close(); err != nil {
		return "", err
	}
	return c.sent(c.http.Post(c.base+path, m.FormDataContentType(), &body))
}

func (c *client) sent(r *http.Response, err error) (string, error) {
	if err != nil {
		return "", err
	}
	defer r.Body.Close()
	data, err := io.ReadAll(r.Body)
	if err != nil {
		return "", err
	}
	if r.StatusCode != http.StatusSeeOther {
		return "", fmt.Errorf("%s: %s %s", r.Request.URL.Path, r.Status, data)
	}
	return r.Header.Get("Location"), nil
}

// get gives what stands at a path.
func (c *client) get(path string) (text, kind string) {
	c.t.Helper()
	r, err := c.http.Get(c.base + path)
	if err != nil {
		c.t.Fatal(err)
	}
	defer r.Body.Close()
	data, err := io.ReadAll(r.Body)
	if err != nil || r.StatusCode != http.StatusOK {
		c.t.Fatalf("%s: %s %v", path, r.Status, err)
	}
	return string(data), r.Header.Get("Content-Type")
}

// stands is what the bench answers to a reading: where the gauge goes now.
type stands struct {
	Pass, Seen int
	At, Said   string
}

// read keeps one reading.
func (c *client) read(neck string, s stands, text string) (stands, error) {
	form := url.Values{"do": {"keep"}, "pass": {strconv.Itoa(s.Pass)}, "at": {s.At}, "seen": {strconv.Itoa(s.Seen)}, "reading": {text}, "screen": {"c"}}
	r, err := http.NewRequest(http.MethodPost, c.base+neck+"/read", strings.NewReader(form.Encode()))
	if err != nil {
		return s, err
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Accept", "application/json")
	return c.answer(r)
}

func (c *client) answer(r *http.Request) (stands, error) {
	var now stands
	w, err := c.http.Do(r)
	if err != nil {
		return now, err
	}
	defer w.Body.Close()
	if err := json.NewDecoder(w.Body).Decode(&now); err != nil {
		return now, err
	}
	if w.StatusCode != http.StatusOK {
		return now, fmt.Errorf("%s: %s", w.Status, now.Said)
	}
	return now, nil
}

// begin takes the Heron into work with one beam pass, and gives its path.
func (c *client) begin(serial string) string {
	c.t.Helper()
	data, err := os.ReadFile(example(c.t, "heron.toml"))
	if err != nil {
		c.t.Fatal(err)
	}
	to, err := c.file("/necks", "heron.toml", data, "from", "file", "serial", serial)
	if err != nil {
		c.t.Fatal(err)
	}
	path := strings.TrimSuffix(to, "/pass")
	c.pass(path)
	return path
}

// beginFile takes a neck file into work with one beam pass over all of it.
func (c *client) beginFile(name string, data []byte, lanes, frets int) string {
	c.t.Helper()
	to, err := c.file("/necks", name, data, "from", "file")
	if err != nil {
		c.t.Fatal(err)
	}
	path := strings.TrimSuffix(to, "/pass")
	pairs := []string{"method", "beam", "unit", "mm", "from", "1", "to", strconv.Itoa(frets), "every", "1"}
	for lane := range lanes {
		pairs = append(pairs, "lane", strconv.Itoa(lane+1))
	}
	if _, err := c.form(path+"/pass", pairs...); err != nil {
		c.t.Fatal(err)
	}
	return path
}

// pass begins a beam pass over every lane.
func (c *client) pass(neck string) {
	c.t.Helper()
	_, err := c.form(neck+"/pass", "method", "beam", "unit", "mm", "from", "1", "to", "22", "every", "1",
		"lane", "1", "lane", "2", "lane", "3", "lane", "4", "lane", "5", "lane", "6")
	if err != nil {
		c.t.Fatal(err)
	}
}

// take takes an example's readings in.
func (c *client) take(neck, name string) {
	c.t.Helper()
	data, err := os.ReadFile(example(c.t, name))
	if err != nil {
		c.t.Fatal(err)
	}
	if _, err := c.file(neck+"/files", name, data); err != nil {
		c.t.Fatal(err)
	}
}

// shop is a bench with necks in every state: not yet read; read, levelled and in
// the book with a few like it; and one in work, whose path it gives.
func (c *client) shop() (inWork string) {
	c.t.Helper()
	must := func(_ string, err error) {
		c.t.Helper()
		if err != nil {
			c.t.Fatal(err)
		}
	}
	for n := range 4 { // enough necks for a chart of how they drift
		c.like(c.begin(fmt.Sprintf("030%d", n)), 0.001*float64(n%3))
	}
	c.begin("0411")
	done := c.begin("0412")
	c.take(done, "heron-seated.csv")
	must(c.form(done+"/book", "serial", "0412", "by", "Ines", "tags", "wire=lot7"))
	must(c.form(done+"/stage", "word", "levelled", "number", "0"))
	must(c.file(done+"/files", "levelled.csv", []byte(plainReadings(readings(c.t, "heron-levelled.csv")))))
	must(c.form(done+"/book", "serial", "0412", "by", "Ines", "tags", "wire=lot7"))
	inWork = c.begin("0413")
	c.take(inWork, "heron-seated.csv")
	return inWork
}

// like puts a neck like the example's in the book, its fret 14 higher by so much.
func (c *client) like(neck string, higherMM float64) {
	c.t.Helper()
	all := readings(c.t, "heron-seated.csv")
	for i := range all {
		if all[i].Frets[0] == 14 {
			all[i].Value += higherMM
		}
	}
	if _, err := c.file(neck+"/files", "like.csv", []byte(plainReadings(all))); err != nil {
		c.t.Fatal(err)
	}
	if _, err := c.form(neck+"/book", "by", "Ines", "tags", "wire=lot7"); err != nil {
		c.t.Fatal(err)
	}
}
