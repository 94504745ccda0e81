package bench

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

// maxAnswer is what the answer to a reading may weigh, in bytes.
const maxAnswer = 12_000

// The answer to a reading brings what changed: under 12 kB for each example in the
// middle of a pass, and put in place part by part it makes the page that a screen
// gets that comes anew.
func TestParts_WhatChanged(t *testing.T) {
	casetest.OneByOne(t)
	for name, lanes := range map[string]int{"heron.toml": 6, "heron-twelve.toml": 12} {
		b := newTry(t, nil)
		k, err := b.folder.Begin(name, example(t, name), "", "")
		if err != nil {
			t.Fatal(err)
		}
		path := "/necks/" + k.ID()
		pairs := []string{"method", "beam", "unit", "mm", "from", "1", "to", "20", "every", "1"}
		for lane := range lanes {
			pairs = append(pairs, "lane", strconv.Itoa(lane+1))
		}
		b.post(path+"/pass", pairs...)
		s := b.screen(path)
		shown, sums := s.Parts, s.Sums
		most := 0
		for i := range 50 {
			var list []string
			for part, sum := range sums {
				list = append(list, part+":"+sum)
			}
			r := posted(path+"/read", "do", "keep", "reading", strconv.FormatFloat(0.4+0.002*float64(i%7), 'f', 3, 64), "pass", "1", "at", s.At, "seen", strconv.Itoa(s.Seen), "have", strings.Join(list, " "))
			r.Header.Set("Accept", "application/json")
			r.Header.Set("Accept-Encoding", "gzip")
			w := b.do(r)
			most = max(most, w.Body.Len())
			unpack(t, w)
			s.stateAnswer = stateAnswer{}
			if err := json.Unmarshal(w.Body.Bytes(), &s.stateAnswer); err != nil {
				t.Fatal(err)
			}
			for part, html := range s.Parts {
				shown[part] = html
			}
			for part, sum := range s.Sums {
				sums[part] = sum
			}
		}
		if most > maxAnswer {
			t.Errorf("%s: an answer of %d bytes", name, most)
		}
		t.Logf("%s: at most %d bytes", name, most)
		r := b.get(path + "/state?seen=0&pass=1&at=" + s.At + "&have=picture:" + sums["picture"])
		var anew stateAnswer
		if err := json.Unmarshal(r.Body.Bytes(), &anew); err != nil {
			t.Fatal(err)
		}
		for part, html := range anew.Parts {
			if now, ok := shown[part]; now != html && (ok || !strings.Contains(shown["picture"], html)) {
				t.Errorf("%s: part %s is not what it would be anew:\n%s\n%s", name, part, now, html)
			}
		}
		if len(anew.Parts) < 20*lanes+6 {
			t.Errorf("%s: only %d parts", name, len(anew.Parts))
		}
	}
}

// unpack replaces a packed answer by what is in it.
func unpack(t *testing.T, w *httptest.ResponseRecorder) {
	t.Helper()
	if w.Header().Get("Content-Encoding") != "gzip" {
		return
	}
	from, err := gzip.NewReader(w.Body)
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(from)
	if err != nil {
		t.Fatal(err)
	}
	w.Body = bytes.NewBuffer(data)
}
