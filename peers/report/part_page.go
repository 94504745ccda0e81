package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// page measures the bench's pages over HTTP, without a browser.
func page(r *run) error {
	return errors.Join(firstPage(r), typed(r), benchesAtOnce(r))
}

// served is one ringtrue bench.
type served struct {
	process *exec.Cmd
	at      string
	client  *http.Client
}

// serve starts a bench with nothing kept; end it with stop.
func (r *run) serve() (*served, error) {
	dir, err := os.MkdirTemp(r.build, "bench")
	if err != nil {
		return nil, err
	}
	s := &served{client: &http.Client{Timeout: time.Minute, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
	s.client.Transport = &http.Transport{MaxIdleConnsPerHost: 32}
	s.process = exec.CommandContext(r.ctx, r.program, "bench", "--listen", "127.0.0.1:0", "--keep", filepath.Join(dir, "keep"), "--book", filepath.Join(dir, "book.db"))
	out, err := s.process.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := s.process.Start(); err != nil {
		return nil, err
	}
	line := make([]byte, 256)
	n, err := out.Read(line)
	s.at = strings.TrimSpace(string(line[:n]))
	if err != nil || !strings.HasPrefix(s.at, "http://") {
		s.stop()
		return nil, fmt.Errorf("the bench did not say where it is")
	}
	return s, nil
}

func (s *served) stop() {
	_ = s.process.Process.Signal(os.Interrupt)
	_ = s.process.Wait()
}

// get fetches a path and returns it whole.
func (s *served) get(path string) ([]byte, error) {
	a, err := s.client.Get(s.at + path)
	if err != nil {
		return nil, err
	}
	defer a.Body.Close()
	body, err := io.ReadAll(a.Body)
	if err == nil && a.StatusCode != http.StatusOK {
		err = fmt.Errorf("%s: %s", path, a.Status)
	}
	return body, err
}

// post sends a form.
func (s *served) post(path string, form url.Values) (body []byte, to string, err error) {
	return s.send(path, "application/x-www-form-urlencoded", form.Encode())
}

// send posts a body and returns the answer and where it points.
func (s *served) send(path, kind, text string) (body []byte, to string, err error) {
	q, err := http.NewRequest(http.MethodPost, s.at+path, strings.NewReader(text))
	if err != nil {
		return nil, "", err
	}
	q.Header.Set("Content-Type", kind)
	q.Header.Set("Accept", "application/json")
	q.Header.Set("Origin", s.at)
	a, err := s.client.Do(q)
	if err != nil {
		return nil, "", err
	}
	defer a.Body.Close()
	body, err = io.ReadAll(a.Body)
	if err == nil && a.StatusCode >= 400 {
		err = fmt.Errorf("%s: %s %.200s", path, a.Status, body)
	}
	return body, a.Header.Get("Location"), err
}

// firstPage is what the first visitor waits for after a start: the page and all
// that it names.
func firstPage(r *run) error {
	var took []float64
	size := 0
	for range r.some(9, 2) {
		s, err := r.serve()
		if err != nil {
			return err
		}
		start := time.Now()
		body, err := s.get("/")
		size = len(body)
		for _, m := range regexp.MustCompile(`(?:src|href)="(/static/[^"]+)"`).FindAllSubmatch(body, -1) {
			if err != nil {
				break
			}
			var part []byte
			part, err = s.get(string(m[1]))
			size += len(part)
		}
		took = append(took, time.Since(start).Seconds())
		s.stop()
		if err != nil {
			return err
		}
	}
	r.atMost("bench, first page after a start, with all it names", median(took), 0.1, seconds)
	r.atMost("bench, size of the first page", float64(size)/1e3, 150, func(kB float64) string { return digits(kB) + " kB" })
	return nil
}

// reader reads one neck as a page does.
type reader struct {
	*served
	path string
	now  struct {
		Seen, Pass int
		At         string
		Parts      map[string]string
	}
}

// necks on which a pass over six lanes of 22 frets begins.
func (s *served) begin(serial string) (*reader, error) {
	var form strings.Builder // of the kind that files go in
	w := multipart.NewWriter(&form)
	for _, f := range [][2]string{{"from", "like"}, {"like", "electric"}, {"serial", serial}} {
		if err := w.WriteField(f[0], f[1]); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	_, to, err := s.send("/necks", w.FormDataContentType(), form.String())
	if err != nil {
		return nil, err
	}
	r := &reader{served: s, path: strings.TrimSuffix(to, "/pass")}
	pass := url.Values{"method": {"beam"}, "unit": {"mm"}, "from": {"1"}, "to": {"22"}, "every": {"1"}, "lane": {"1", "2", "3", "4", "5", "6"}}
	if _, _, err := s.post(r.path+"/pass", pass); err != nil {
		return nil, err
	}
	state, err := s.get(r.path + "/state")
	if err != nil {
		return nil, err
	}
	return r, json.Unmarshal(state, &r.now)
}

// read keeps one reading; in a hurry the picture is not drawn.
func (r *reader) read(value string, hurry bool) error {
	form := url.Values{"do": {"keep"}, "reading": {value}, "pass": {strconv.Itoa(r.now.Pass)}, "at": {r.now.At}, "seen": {strconv.Itoa(r.now.Seen)}, "screen": {"a"}}
	if hurry {
		form.Set("hurry", "yes")
	}
	body, _, err := r.post(r.path+"/read", form)
	if err != nil {
		return err
	}
	r.now.Parts = nil
	return json.Unmarshal(body, &r.now)
}

// crowns of one neck of the bench's measurements.
const crowns = 6 * 22

// valueOf is a reading that no other of some necks has at its place.
func valueOf(neck, n int) string { return fmt.Sprintf("%.3f", 0.4+0.001*float64((neck*7+n*3)%40)) }

// typed is from a reading sent to the answer with verdict and picture anew.
func typed(r *run) error {
	s, err := r.serve()
	if err != nil {
		return err
	}
	defer s.stop()
	n, err := s.begin("0412")
	if err != nil {
		return err
	}
	var took []float64
	for i := range r.some(crowns, 20) {
		start := time.Now()
		if err := n.read(valueOf(1, i), false); err != nil {
			return err
		}
		took = append(took, time.Since(start).Seconds())
		if n.now.Parts["picture"] == "" {
			return errors.New("the bench sent no picture")
		}
	}
	slices.Sort(took)
	r.atMost("bench, a reading sent to verdict and picture received, 95th percentile, over HTTP", took[len(took)*95/100], 0.1, seconds)
	r.leftOut("the bench in a real browser, from the key to the picture drawn: the bench's browser tests hold it")
	return nil
}

// benchesAtOnce has twenty benches read at once, then looks for every reading.
func benchesAtOnce(r *run) error {
	const benches = 20
	necks := r.some(4, 1) // a bench; 10,560 readings in all
	s, err := r.serve()
	if err != nil {
		return err
	}
	defer s.stop()
	var wait sync.WaitGroup
	lost, failed := make([]int, benches), make([]error, benches)
	start := time.Now()
	for b := range benches {
		wait.Go(func() {
			for k := range necks {
				n, err := s.readNeck(b*necks + k)
				if lost[b] += n; err != nil {
					failed[b] = err
					return
				}
			}
		})
	}
	wait.Wait()
	for _, err := range failed {
		if err != nil {
			return err // the others likely say the same
		}
	}
	total := 0
	for _, n := range lost {
		total += n
	}
	readings := benches * necks * crowns
	r.none(fmt.Sprintf("bench, %d benches at once, %d readings: lost or misplaced", benches, readings), total)
	rate := float64(readings) / time.Since(start).Seconds()
	r.add("bench, 20 benches at once: readings kept", perSecond("readings")(rate), "–", "–", "–", nil)
	kB, err := strconv.ParseFloat(strings.TrimSuffix(after(fmt.Sprintf("/proc/%d/status", s.process.Process.Pid), "VmHWM", ":"), " kB"), 64)
	if err != nil {
		return err
	}
	r.atMost("bench, 20 benches at once: most memory", kB/1024, 150, megabytes)
	return nil
}

// readNeck reads a whole neck and counts what its file then lacks.
func (s *served) readNeck(neck int) (lost int, err error) {
	n, err := s.begin(fmt.Sprintf("N%03d", neck))
	if err != nil {
		return 0, err
	}
	var sent []string
	for i := range crowns {
		fret, lane, ok := strings.Cut(n.now.At, "@")
		if !ok {
			return 0, fmt.Errorf("the bench leads to %q", n.now.At)
		}
		v := valueOf(neck, i)
		sent = append(sent, fmt.Sprintf("%s,%s,%s", lane, fret, v))
		if err := n.read(v, true); err != nil {
			return 0, err
		}
	}
	kept, err := s.get(n.path + "/readings.csv")
	if err != nil {
		return 0, err
	}
	for _, row := range sent {
		if !strings.Contains(string(kept), ","+row+",") {
			lost++
		}
	}
	return lost, nil
}
