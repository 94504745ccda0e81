package browser

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"ringtrue/internal/answer"
	"ringtrue/internal/necktest"
	"ringtrue/internal/recording"
	"ringtrue/internal/sound"
)

// oneString is a neck of one string to be heard quickly.
const oneString = `name = "Small"
[scale]
length = "640 mm"
frets = 4
[board]
radius = "300 mm"
width = ["43 mm", "50 mm"]
[strings]
spread = "20 mm"
set = [{ pitch = "E4", gauge = "0.254 mm" }, { pitch = "G3", gauge = "0.432 mm" }]
[level]
zone = "0.03 mm"
`

// microphone writes a file that Chromium takes for its microphone: after half a second,
// string 1 from the open string to fret 4 without fret 2.
func microphone(t *testing.T) string {
	t.Helper()
	m, l := necktest.Of(t, oneString)
	a, data, err := answer.SoundAll(context.Background(), answer.SoundRequest{PlayRequest: answer.PlayRequest{Model: m, Layout: l}, Seconds: 0.8}, nil)
	if err != nil {
		t.Fatal(err)
	}
	c, err := recording.Channels(data)
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float64, sound.RateHz/2)
	for _, fret := range []int{0, 1, 3, 4} {
		n := a.Notes[fret]
		if n.String != 1 || n.Fret != fret {
			t.Fatalf("string %d, fret %d", n.String, n.Fret)
		}
		x = append(x, c[1].Samples[int(n.TimeS*sound.RateHz):][:int(n.SecondsS*sound.RateHz)]...)
		x = append(x, make([]float64, sound.RateHz/5)...)
	}
	x = append(x, make([]float64, 2*sound.RateHz)...)
	r := rand.New(rand.NewPCG(1, 1))
	for i := range x {
		x[i] = 0.9*x[i] + 0.0005*r.NormFloat64()
	}
	wav, err := sound.WAV(x)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "played.wav")
	if err := os.WriteFile(file, wav, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// A neck is played into the microphone: the page asks for it raw, names the note to
// play, ticks off what it hears, goes on where a note was left out, keeps what a key says
// of a note, and says at the end what the recording tells. Its pages keep the rules of
// axe-core, light and dark, and fit their screens.
func TestListen_ByMicrophone(t *testing.T) {
	t.Parallel()
	b := serve(t)
	c := newClient(t, b.base)
	to, err := c.file("/necks", "small.toml", []byte(oneString), "from", "file")
	if err != nil {
		t.Fatal(err)
	}
	neck := strings.TrimSuffix(to, "/pass")
	w := open(t, startChromium(t, chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-audio-capture", microphone(t)+"%noloop")), b.base, desktop())
	w.visit(neck + "/listen")
	get[bool](w, `(() => { const f = document.querySelector("#listen-begin").elements; f.string.value = "1"; f.to.value = "4"; return true; })()`)
	w.press("#listen-begin button")
	w.until(`document.querySelector("#listen-now b")`)
	if now := get[string](w, `document.querySelector("#listen-now").innerText`); !strings.Contains(now, "open string") {
		t.Errorf("at first: %s", now)
	}
	sign := func(fret int) string {
		return fmt.Sprintf(`document.querySelector('[data-note="1-%d"]').dataset.sign`, fret)
	}
	w.until(sign(0) + ` === "heard"`)
	w.keys("b")
	w.goAway() // what is played meanwhile waits
	w.until(`document.querySelector("#listen-hint").innerText.includes("No answer from the bench")`)
	w.back()
	w.until(`document.querySelector("#listen-now").innerText.includes("No more notes to play")`)
	for fret, want := range map[int]string{2: "left", 3: "heard", 4: "heard"} {
		if got := get[string](w, sign(fret)); got != want {
			t.Errorf("fret %d: %s, not %s", fret, got, want)
		}
	}
	if s := get[string](w, `document.querySelector("#listen-settings").innerText`); s != "" {
		t.Errorf("settings: %s", s)
	}
	w.listenLooks("playing")
	w.resize(desktop())
	w.leave("#listen-end button", neck+"/listen$")
	says := get[string](w, `document.querySelector("#listen-answer").innerText`)
	for _, want := range []string{"4 of 5 notes heard", "not heard: string 1 fret 2", "Notes you judged: 1. Clear: 0. Buzzes: 1."} {
		if !strings.Contains(says, want) {
			t.Errorf("without %q: %s", want, says)
		}
	}
	csv, _ := c.get(neck + "/listen/answers.csv")
	if got := strings.Split(csv, "\n"); len(got) != 3 || !strings.HasSuffix(got[1], ",light,buzzes") || !strings.HasPrefix(got[1], "1,") {
		t.Errorf("answers: %q", csv)
	}
	w.unfold()
	w.listenLooks("heard")
	// A page that is left listens no more, and the bench forgets what it sent.
	w.resize(desktop())
	w.press("#listen-begin button")
	w.until(`document.querySelector("#listen-end").elements.take.value`)
	sounds := neck + "/listen/sound?take=" + get[string](w, `document.querySelector("#listen-end").elements.take.value`)
	if _, err := c.form(sounds); err == nil || !strings.Contains(err.Error(), "400") { // no sound came with it
		t.Errorf("while it is played: %v", err)
	}
	w.visit("/")
	for end := time.Now().Add(answerWait); ; time.Sleep(5 * time.Millisecond) {
		if _, err := c.form(sounds); err != nil && strings.Contains(err.Error(), "410") {
			break
		} else if time.Now().After(end) {
			t.Fatalf("a page that was left still listens: %v", err)
		}
	}
}

// listenLooks tries a state of the page: rules of axe-core, and every screen.
func (w *window) listenLooks(state string) {
	w.t.Helper()
	for _, scheme := range []string{"light", "dark"} {
		w.scheme(scheme)
		for _, v := range w.rules() {
			w.t.Errorf("%s, %s: %s", state, scheme, v.words())
		}
		for _, s := range []size{{"360", 360, 740, true}, {"820", 820, 1180, true}, {"2560", 2560, 1440, false}} {
			w.resize(s)
			if f := get[fit](w, fits); f.Width > f.Window || len(f.Small) > 0 {
				w.t.Errorf("%s, %s: %+v", state, s.name, f)
			}
			if dir := os.Getenv("RINGTRUE_TEST_PICTURES"); dir != "" {
				if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("listen-%s-%s-%s.png", state, s.name, scheme)), ask(w, chromedp.FullScreenshot(100)), 0o600); err != nil {
					w.t.Fatal(err)
				}
			}
		}
	}
}

// Where there is no microphone the page says so, and takes a recording: one that is no
// sound is refused in the page, one that is no WAV file is turned into one there. Without
// script a WAV file is taken as it is.
func TestListen_HandedIn(t *testing.T) {
	t.Parallel()
	b := serve(t)
	c := newClient(t, b.base)
	to, err := c.file("/necks", "small.toml", []byte(oneString), "from", "file")
	if err != nil {
		t.Fatal(err)
	}
	path := strings.TrimSuffix(to, "/pass") + "/listen"
	w := open(t, startChromium(t), b.base, phone())
	send(w, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
		Source: `Object.defineProperty(navigator, "mediaDevices", { value: undefined })`}) // as over http from another machine
	w.visit(path)
	if !get[bool](w, `document.querySelector("#listen-begin").hidden && document.querySelector("#listen-none").checkVisibility()`) {
		t.Error("the page doesn't say that it can't listen")
	}
	if p := get[primary](w, primaries); p.N != 1 {
		t.Errorf("%d primary actions: %s", p.N, p.Where)
	}
	choose := `(() => { const f = document.querySelector("#listen-hand").elements; f.string.value = "1"; return true; })()`
	hand := func(file string) {
		w.upload("#recording", file)
		get[bool](w, choose)
		w.press("#listen-hand button")
	}
	song := filepath.Join(t.TempDir(), "song.mp3")
	if err := os.WriteFile(song, []byte("ID3 no sound at all"), 0o600); err != nil {
		t.Fatal(err)
	}
	hand(song)
	w.until(`document.querySelector("#listen-hand [role=status]").innerText.includes("can't read that file")`)
	played, err := filepath.Abs("testdata/played.ogg")
	if err != nil {
		t.Fatal(err)
	}
	const heard = `document.querySelector("#listen-says")?.innerText === "4 of 5 notes heard"`
	hand(played)
	w.until(heard)
	send(w, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	w.visit(path + "?") // what was heard before is replaced
	w.upload("#recording", microphone(t))
	w.press("#listen-hand button")
	w.until(`document.querySelector("#listen-says")?.innerText === "4 of 10 notes heard"`)
}
