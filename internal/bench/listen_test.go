package bench

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/casetest"
	"ringtrue/internal/necktest"
	"ringtrue/internal/recording"
)

// smallNeck is a neck of two strings and six frets.
const smallNeck = `name = "Small"
[scale]
length = "640 mm"
frets = 6
[board]
radius = "300 mm"
width = ["43 mm", "50 mm"]
[strings]
spread = "20 mm"
set = [{ pitch = "E4", gauge = "0.254 mm" }, { pitch = "G3", gauge = "0.432 mm" }]
[level]
zone = "0.03 mm"
`

// playedSmall is every note of the small neck, string 1 first, with a room's noise, 16 bits
// at 48000.
func playedSmall(t *testing.T) []int16 {
	t.Helper()
	m, l := necktest.Of(t, smallNeck)
	_, data, err := answer.SoundAll(context.Background(), answer.SoundRequest{PlayRequest: answer.PlayRequest{Model: m, Layout: l}, Seconds: 0.8}, nil)
	if err != nil {
		t.Fatal(err)
	}
	c, err := recording.Channels(data)
	if err != nil || c[1].RateHz != 48000 {
		t.Fatal(err, c[1].RateHz)
	}
	r := rand.New(rand.NewPCG(1, 1))
	out := make([]int16, len(c[1].Samples))
	for i, v := range c[1].Samples {
		out[i] = int16(30000*v + 20*r.NormFloat64())
	}
	return out
}

func pcm(x []int16) []byte {
	var b []byte
	for _, v := range x {
		b = binary.LittleEndian.AppendUint16(b, uint16(v))
	}
	return b
}

// openSmall takes the small neck into work.
func (b *try) openSmall() string {
	b.t.Helper()
	w := b.send("/necks", "small.toml", []byte(smallNeck), "from", "file")
	path := strings.TrimSuffix(w.Header().Get("Location"), "/pass")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(path, "/necks/") {
		b.t.Fatalf("%d %s", w.Code, w.Body)
	}
	return path
}

// listening is what the bench answers while a neck is played.
type listening struct {
	Take, Now, List, Heard, Hint string
	Have                         int
	Done, Full                   bool
	Plates                       map[string]string
	Wrong                        []string
}

func (b *try) listens(r *http.Request, status int) (a listening) {
	b.t.Helper()
	r.Header.Set("Accept", "application/json")
	w := b.do(r)
	if err := json.Unmarshal(w.Body.Bytes(), &a); err != nil || w.Code != status {
		b.t.Fatalf("%s: %d, %v, %.300s", r.URL, w.Code, err, w.Body)
	}
	return a
}

func sound(path, take string, at int, x []int16, marks ...string) *http.Request {
	query := fmt.Sprintf("?take=%s&at=%d", take, at)
	for _, m := range marks {
		query += "&mark=" + m
	}
	return httptest.NewRequest(http.MethodPost, path+"/listen/sound"+query, bytes.NewReader(pcm(x)))
}

// A neck is played through in stretches, one of them sent twice and one too early: each
// note is ticked off, the next is named, what was said of notes is kept, and the end tells
// what the command tells of the same sound.
func TestListen_PlayedThrough(t *testing.T) {
	casetest.OneByOne(t)
	b := newTry(t, nil)
	path, x := b.openSmall(), playedSmall(t)
	page := b.get(path + "/listen")
	if p := page.Header().Get("Permissions-Policy"); !strings.Contains(p, "microphone=(self)") {
		t.Error("the page may not ask for the microphone:", p)
	}
	if p := b.get(path + "/play").Header().Get("Permissions-Policy"); !strings.Contains(p, "microphone=()") {
		t.Error("another page may:", p)
	}
	a := b.listens(posted(path+"/listen/begin", "rate", "48000", "string", "up", "touch", "x"), http.StatusOK)
	if !strings.Contains(a.Now, "<b>1</b>") || !strings.Contains(a.Now, "open string") || a.Plates["1-0"] != "next" || len(a.Plates) != 14 {
		t.Fatalf("at first: %+v", a)
	}
	const step = 48000 / 2
	var ticked []string
	for at := 0; at < len(x); at += step {
		end := min(at+step, len(x))
		marks := []string{}
		switch at / step {
		case 1: // the open string sounds
			marks = []string{fmt.Sprintf("%d:clear", at+100), fmt.Sprintf("%d:clear", at)}
		case 3: // fret 1 does
			marks = []string{fmt.Sprintf("%d:buzzes", at)}
		case 4: // a gap is not taken
			if g := b.listens(sound(path, a.Take, at+step, x[end:end+step]), http.StatusOK); g.Have != at {
				t.Errorf("a gap was taken: %d", g.Have)
			}
		}
		before := a
		a = b.listens(sound(path, before.Take, at, x[at:end], marks...), http.StatusOK)
		if a.Have != end {
			t.Fatalf("%d samples, not %d", a.Have, end)
		}
		if again := b.listens(sound(path, a.Take, at, x[at:end], marks...), http.StatusOK); fmt.Sprint(again) != fmt.Sprint(a) {
			t.Fatalf("sent again it is another: %+v", again)
		}
		if a.Heard != before.Heard {
			ticked = append(ticked, strings.TrimPrefix(a.Heard, "Heard: "))
		}
	}
	var want []string
	for s := 1; s <= 2; s++ {
		for f := range 7 {
			want = append(want, fmt.Sprintf("string %d, fret %d", s, f))
		}
	}
	if got := strings.Join(ticked, "; "); got != strings.Join(want, "; ") {
		t.Errorf("heard %s", got)
	}
	if !a.Done || a.Hint != "" || a.Plates["1-0"] != "clear" || a.Plates["1-1"] != "buzzes" || a.Plates["2-6"] != "heard" || !strings.Contains(a.List, "7 of 7 heard. Buzzes at fret 1. Clear at fret 0") {
		t.Errorf("at last: %+v", a)
	}
	if w := b.post(path+"/listen/end", "take", a.Take, "keep", "1"); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	b.sees(path+"/listen", "14 of 14 notes heard", "Moves from now, mm", "Notes you judged: 2. Clear: 1. Buzzes: 1.", `<th scope="row">both: nut</th>`)
	if got := b.get(path + "/listen/answers.csv").Body.String(); got != "string,fret,touch,heard\n1,0,light,clear\n1,1,light,buzzes\n" {
		t.Errorf("answers: %s", got)
	}
	if got := b.get(path + "/listen/strings.toml").Body.String(); !strings.Contains(got, "stiffness = ") || !strings.Contains(got, "damping = ") {
		t.Errorf("strings: %s", got)
	}
	kept := b.get(path + "/listen/sound.wav").Body.Bytes()
	if c, err := recording.Channels(kept); err != nil || len(c) != 1 || len(c[0].Samples) != len(x) || c[0].RateHz != 48000 {
		t.Error("the recording kept:", err)
	}
	if w := b.post(path+"/listen/end", "take", a.Take); w.Code != http.StatusGone {
		t.Error("ended twice:", w.Code)
	}
	// The same as a recording: the same answer, no answers by ear, and no sound is kept.
	said := b.get(path + "/listen").Body.String()
	if w := b.send(path+"/listen", "played.wav", kept, "string", "up"); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	handed := b.get(path + "/listen").Body.String()
	table := func(text string) string {
		return text[strings.Index(text, `id="listen-notes"`):strings.Index(text, `id="listen-begin"`)]
	}
	if table(said) != table(handed) {
		t.Error("handed in, the recording tells something else")
	}
	for _, file := range []string{"answers.csv", "sound.wav"} {
		if w := b.get(path + "/listen/" + file); w.Code != http.StatusNotFound {
			t.Errorf("%s of a recording: %d", file, w.Code)
		}
	}
}

// What is wrong is said: of a recording, of what is asked, of a play-through that is over;
// and what the sound lacks.
func TestListen_BadInput(t *testing.T) {
	b := newTry(t, nil)
	path := b.openSmall()
	for name, c := range map[string]struct {
		w    *httptest.ResponseRecorder
		code int
		want string
	}{
		"no file":    {b.send(path+"/listen", "", nil), 422, "No file received."},
		"an MP3":     {b.send(path+"/listen", "a.wav", []byte("ID3 no sound at all")), 422, "is an MP3 file, not WAV"},
		"a string":   {b.send(path+"/listen", "a.wav", []byte("RIFF"), "string", "3"), 422, "no string 3; this neck has 1 to 2"},
		"frets":      {b.send(path+"/listen", "a.wav", []byte("RIFF"), "from", "x"), 422, "Choose strings and frets"},
		"a rate":     {b.post(path+"/listen/begin", "rate", "NaN"), 422, "not a usable rate"},
		"another":    {b.post(path+"/listen/end", "take", "x"), 410, "This play-through is over"},
		"no answers": {b.get(path + "/listen/answers.csv"), 404, "Nothing of that kind"},
	} {
		if c.w.Code != c.code || !strings.Contains(c.w.Body.String(), c.want) {
			t.Errorf("%s: %d, without %q", name, c.w.Code, c.want)
		}
	}
	a := b.listens(posted(path+"/listen/begin", "rate", "8000"), http.StatusOK)
	for _, query := range []string{"&at=x", "&at=0&mark=5", "&at=0&mark=-1:clear", "&at=0&mark=5:loud", "&at=-1"} {
		r := httptest.NewRequest(http.MethodPost, path+"/listen/sound?take="+a.Take+query, strings.NewReader("12"))
		b.listens(r, http.StatusBadRequest)
	}
	if got := b.listens(sound(path, a.Take, 0, make([]int16, 5*8000), "100:clear"), http.StatusOK); got.Hint != "No sound arrives. Check the microphone." {
		t.Errorf("silence: %q", got.Hint)
	}
	if w := b.post(path+"/listen/end", "take", a.Take); w.Code != 422 || !strings.Contains(w.Body.String(), "the recording is silent") {
		t.Errorf("silence: %d", w.Code)
	}
	// One a neck: the second ends the first, and a page that is left its own.
	first := b.listens(posted(path+"/listen/begin", "rate", "8000"), http.StatusOK)
	second := b.listens(posted(path+"/listen/begin", "rate", "8000"), http.StatusOK)
	b.listens(sound(path, first.Take, 0, nil), http.StatusGone)
	loud := make([]int16, 8000)
	for i := range loud {
		loud[i] = 32767
	}
	if got := b.listens(sound(path, second.Take, 0, loud), http.StatusOK); got.Hint != "Too loud: it clips. Turn the input down." {
		t.Errorf("clipped: %q", got.Hint)
	}
	if w := b.post(path+"/listen/left", "take", second.Take); w.Code != http.StatusNoContent {
		t.Error(w.Code)
	}
	b.listens(sound(path, second.Take, 8000, nil), http.StatusGone)
}
