package browser

import (
	"fmt"
	"testing"

	"github.com/chromedp/cdproto/input"

	"ringtrue/internal/casetest"
)

// stubs stand in for the sound, the voice and the screen's lock, which a machine
// without a head has not got, and write down what is asked of them.
const stubs = `(() => {
	window.notes = []; window.spoken = []; window.locks = 0;
	const param = () => ({ setValueAtTime: (v) => { window.notes.push(v); }, exponentialRampToValueAtTime: () => {} });
	const node = () => ({ frequency: param(), gain: { setValueAtTime: () => {}, exponentialRampToValueAtTime: () => {} }, connect: (n) => n, start: () => {}, stop: () => {} });
	window.AudioContext = class { currentTime = 0; destination = node(); createOscillator() { return node(); } createGain() { return node(); } };
	Object.defineProperty(window, "SpeechSynthesisUtterance", { value: class { constructor(text) { this.text = text; } } });
	Object.defineProperty(window, "speechSynthesis", { value: { getVoices: () => [{ localService: true, lang: "en-GB" }], speak: (u) => window.spoken.push(u.text), cancel: () => {} } });
	Object.defineProperty(navigator, "wakeLock", { value: { request: async () => { window.locks++; } } });
	return true;
})()`

// At every size the switches for sound and voice are on the panel, one press each:
// a tick for kept, a low tone for doubt, the next crown by voice. A key takes back
// the last reading, and the screen is kept awake.
func TestAloud_SixSizes(t *testing.T) {
	t.Parallel()
	b := serve(t)
	c := newClient(t, b.base)
	browser := startChromium(t)
	for i, s := range sizes() {
		w := open(t, browser, b.base, s)
		w.visit(c.begin("0412"))
		get[bool](w, `(localStorage.clear(), true)`)
		get[bool](w, stubs)
		w.press("[data-aloud=tone]")
		w.press("[data-aloud=speech]")
		get[bool](w, `(window.notes.length = 0, true)`)
		w.keys("0.400\r")
		w.at("2@1")
		w.until(`window.notes.some((hz) => hz > 800) && window.spoken.at(-1) === "fret 2, lane 1" && window.locks > 0`)
		if i > 0 && !casetest.Long() {
			continue // what follows asks nothing of the size
		}
		w.keys("\b") // back to the first, where a reading is: another is asked of
		w.at("1@1")
		w.keys("0.444\r")
		w.until(`window.notes.some((hz) => hz < 300) && document.querySelector("#reading").value === "0.444"`)
		get[bool](w, `(document.querySelector("#reading").value = "", window.notes.length = 0, true)`)
		w.keys("\r")
		w.at("2@1")
		for _, mm := range []float64{0.401, 0.402, 0.403, 0.404} {
			w.keys(fmt.Sprintf("%.3f\r", mm))
		}
		w.at("6@1")
		w.keys("3.72\r")
		w.until(`window.notes.some((hz) => hz < 300) && window.spoken.some((words) => /Read it again/.test(words))`)
		w.undoKey()
		w.until(`/Undone/.test(document.querySelector("#said").innerText) && !document.querySelector(".alarm")`)
		w.at("6@1")
		w.press("[data-aloud=tone]")
		get[bool](w, `(window.notes.length = 0, true)`)
		w.keys("0.405\r")
		w.at("7@1")
		if n := get[int](w, `window.notes.length`); n != 0 {
			t.Errorf("%s: %d notes, though the sound is off", s.name, n)
		}
	}
}

// undoKey presses Ctrl+Z.
func (w *window) undoKey() {
	w.t.Helper()
	for _, kind := range []input.DispatchKeyEventType{input.DispatchKeyEventTypeRawKeyDown, input.DispatchKeyEventTypeKeyUp} {
		send(w, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: kind, Modifiers: 2, Key: "z", Code: "KeyZ", WindowsVirtualKeyCode: 90})
	}
}
