package bench

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
)

// quick is a bench that works nothing out: what is fuzzed here is what takes
// requests in, not the estimate, which is slow under a fuzzer.
func quick(f *testing.F) *try {
	b := newTry(f, nil)
	b.analyst.analyse = func(k *draft.Neck) *analysis {
		n := &analysis{}
		k.Read(func(s *draft.State) { n.version, n.stage = s.Version, s.Stage() })
		return n
	}
	return b
}

// FuzzPost sends any form to any handler that takes one: the bench answers,
// never fails inside, and what is then in the file is readings.
func FuzzPost(f *testing.F) {
	paths := []string{"/read", "/pass", "/files", "/stage", "/serial", "/book", "/away"}
	forms := []string{
		"pass=1&at=1@1&seen=2&reading=0,4&do=keep", "pass=1&at=1@1&do=undo&seen=9", "do=misread&at=1@1&pass=1", "do=rocks", "pass=9&at=&reading=%ff",
		"method=rocker&unit=in&from=1&to=22&every=1&lane=1&lane=2&order=across&u=0.001&temperature=70 F&humidity=45 %25&by=Ines",
		"number=0&word=levelled", "serial=0413", "serial=a/b", "sure=", "reading=1e999&pass=1&at=1@1", "do=stands 1 1@1&pass=1&seen=9", "%", "a=%zz", "reading=0.4&reading=0.5&pass=1&at=2@1",
	}
	for i := range paths {
		for _, form := range forms {
			f.Add(uint8(i), form)
		}
	}
	b := quick(f)
	path := b.open()
	f.Fuzz(func(t *testing.T, which uint8, form string) {
		b.t = t
		p := paths[int(which)%len(paths)]
		if p == "/away" { // it would end the others' neck
			form = strings.ReplaceAll(form, "sure", "sur")
		}
		r := httptest.NewRequest(http.MethodPost, path+p, strings.NewReader(form))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Accept", "application/json")
		w := b.do(r)
		if p == "/away" && w.Code == http.StatusSeeOther {
			path = b.open()
		}
		stillWhole(t, b, path, w)
	})
}

// FuzzOpen takes any bytes as a neck file.
func FuzzOpen(f *testing.F) {
	f.Add(example(f, "heron.toml"), "heron.toml")
	f.Add([]byte("x = 1"), "../../x")
	f.Add([]byte{0, 0xff}, "\x00\n")
	b := quick(f)
	f.Fuzz(func(t *testing.T, data []byte, name string) {
		b.t = t
		cleared(t, b)
		w := sendAny(t, b, "/necks", name, data)
		answered(t, b, w)
		if at := w.Header().Get("Location"); w.Code == http.StatusSeeOther {
			if p := b.get(strings.TrimSuffix(at, "/pass")); p.Code != http.StatusOK {
				t.Errorf("a neck that was taken cannot be shown: %d", p.Code)
			}
		}
	})
}

// FuzzTake takes any bytes as a readings file.
func FuzzTake(f *testing.F) {
	for _, name := range []string{"heron-seated.csv", "heron-shop.csv", "heron-board.csv"} {
		f.Add(bytes.Join(bytes.SplitAfterN(example(f, name), []byte("\n"), 20)[:19], nil))
	}
	f.Add([]byte("method,lane,fret,reading,unit\nrocker,1,6-7-8,rocks,mm\n"))
	f.Add([]byte("method;lane;fret;reading;unit;pass\nbeam;1;1;0,4;mm;=1\n"))
	b := quick(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		b.t = t
		cleared(t, b) // files that pile up on one neck would slow all that come after
		path := b.open()
		w := sendAny(t, b, path+"/files", "x.csv", data)
		stillWhole(t, b, path, w)
		if w.Code == http.StatusSeeOther {
			b.post(path+"/read", "do", "undo", "pass", "1", "seen", "1000000000")
		}
	})
}

// cleared puts every neck away.
func cleared(t *testing.T, b *try) {
	t.Helper()
	for _, k := range b.folder.All() {
		if err := b.folder.PutAway(k.ID()); err != nil {
			t.Fatal(err)
		}
	}
}

func sendAny(t *testing.T, b *try, path, name string, data []byte) *httptest.ResponseRecorder {
	t.Helper()
	return b.send(path, strings.ToValidUTF8(name, "?")+"x", data, "from", "file")
}

// answered says that a request was answered and did not fail inside.
func answered(t *testing.T, b *try, w *httptest.ResponseRecorder) {
	t.Helper()
	if w.Code >= http.StatusInternalServerError || w.Code < http.StatusOK {
		t.Fatalf("%d %s\n%s", w.Code, w.Body, b.log)
	}
}

// stillWhole says that after any request the neck can be shown and its file read.
func stillWhole(t *testing.T, b *try, path string, w *httptest.ResponseRecorder) {
	t.Helper()
	answered(t, b, w)
	if p := b.get(path); p.Code != http.StatusOK {
		t.Fatalf("the neck cannot be shown: %d\n%s", p.Code, b.log)
	}
	if c := b.get(path + "/readings.csv"); c.Code == http.StatusOK {
		if _, err := reading.Parse("x", c.Body, reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6}); err != nil {
			t.Fatalf("the file is no readings: %v", err)
		}
	}
}
