package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"ringtrue/internal/book/booktest"
)

// answerWait is how long a page may take before a test gives up. It is no
// measure: only a page that never comes meets it.
const answerWait = 60 * time.Second

// size is a screen.
type size struct {
	name          string
	width, height int64
	touch         bool
}

func phone() size   { return size{"phone", 390, 844, true} }
func desktop() size { return size{"desktop", 1366, 768, false} }

// chromium is the one browser of all tests, nil where the machine has none: to start
// one takes longer than most tests need it.
var chromium = sync.OnceValues(func() (context.Context, error) {
	ctx, end, err := launch()
	if end != nil {
		chromiumEnds <- end
	}
	return ctx, err
})

// launch starts a browser with more options, nil where the machine has none. Its own
// calls home are off; what pages ask for is watched in window.
func launch(more ...chromedp.ExecAllocatorOption) (context.Context, context.CancelFunc, error) {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		path, err := exec.LookPath(name)
		if err != nil {
			continue
		}
		options := append(chromedp.DefaultExecAllocatorOptions[:],
			chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
			chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-dev-shm-usage", true),
			chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND , EXCLUDE 127.0.0.1"),
			chromedp.WSURLReadTimeout(answerWait),
		)
		ctx, end := chromedp.NewExecAllocator(context.Background(), append(options, more...)...)
		ctx, _ = chromedp.NewContext(ctx, chromedp.WithErrorf(func(string, ...any) {})) // it ends with the one above
		if err := chromedp.Do(ctx); err != nil {
			return nil, end, fmt.Errorf("%s does not start: %w", path, err)
		}
		return ctx, end, nil
	}
	return nil, nil, nil
}

// chromiumEnds holds what ends the browser, once one was started.
var chromiumEnds = make(chan context.CancelFunc, 1)

func endChromium() {
	select {
	case end := <-chromiumEnds:
		end()
	default: // no test needed one
	}
}

// startChromium gives a profile of a browser of its own (cookies, store and cache
// that no other test has), which ends with the test. With more options it is a browser
// of its own.
func startChromium(t testing.TB, more ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	browser, err := chromium()
	if len(more) > 0 {
		var end context.CancelFunc
		if browser, end, err = launch(more...); end != nil {
			t.Cleanup(end)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	if browser == nil {
		booktest.Missing(t, "a browser (Debian package chromium)")
	}
	ctx, cancel := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// window is one tab of a browser, on one bench.
type window struct {
	t    testing.TB
	ctx  context.Context
	base string
	size size

	mu     sync.Mutex
	faults []string // what the console, exceptions and requests elsewhere said
	bytes  float64  // that came over the line
	asked  []string // addresses that were asked for
}

// open opens a tab of a size. Where the test ends with anything on the console,
// or a request to anywhere but the bench, it fails.
func open(t testing.TB, browser context.Context, base string, s size) *window {
	t.Helper()
	ctx, cancel := chromedp.NewContext(browser)
	t.Cleanup(cancel)
	w := &window{t: t, ctx: ctx, base: base, size: s}
	if err := chromedp.Listen(ctx, w.hear); err != nil {
		t.Fatal(err)
	}
	send(w, network.Enable, network.EnableParams{})
	send(w, log.Enable, cdp.Empty{})
	send(w, runtime.Enable, cdp.Empty{})
	w.resize(s)
	t.Cleanup(w.quiet)
	return w
}

// quiet fails the test where anything was heard.
func (w *window) quiet() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, f := range w.faults {
		w.t.Errorf("%s: %s", w.size.name, f)
	}
	w.faults = nil
}

// hear takes what the browser tells of the tab.
func (w *window) hear(event any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	fault := func(format string, args ...any) { w.faults = append(w.faults, fmt.Sprintf(format, args...)) }
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		if kind := string(e.Type); kind == "error" || kind == "warning" || kind == "assert" {
			fault("console %s: %s", e.Type, consoleWords(e.Args))
		}
	case *runtime.EventExceptionThrown:
		fault("exception: %s", (&chromedp.ExceptionError{ExceptionDetails: e.ExceptionDetails}).Error())
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError || e.Entry.Level == log.EntryLevelWarning {
			fault("console %s: %s %s", e.Entry.Level, e.Entry.Text, e.Entry.URL)
		}
	case *network.EventRequestWillBeSent:
		w.asked = append(w.asked, e.Request.URL)
		if !strings.HasPrefix(e.Request.URL, w.base+"/") && !strings.HasPrefix(e.Request.URL, "data:") {
			fault("a request to elsewhere: %s", e.Request.URL)
		}
	case *network.EventLoadingFinished:
		w.bytes += e.EncodedDataLength
	}
}

func consoleWords(args []*runtime.RemoteObject) string {
	var words []string
	for _, a := range args {
		words = append(words, strings.TrimSpace(string(a.Value)+" "+a.Description))
	}
	return strings.Join(words, " ")
}

// run does steps, one after another.
func (w *window) run(steps ...chromedp.Action[chromedp.Void]) {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(w.ctx, answerWait)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		w.t.Fatalf("%s: %v", w.size.name, err)
	}
}

// ask does what gives a value.
func ask[T any](w *window, action chromedp.Action[T]) T {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(w.ctx, answerWait)
	defer cancel()
	v, err := chromedp.Run(ctx, action)
	if err != nil {
		w.t.Fatalf("%s: %v", w.size.name, err)
	}
	return v
}

// send sends a command of the debugger.
func send[P, R any](w *window, c cdp.Command[P, R], params P) R {
	w.t.Helper()
	return ask(w, func(ctx context.Context, t *chromedp.Target) (R, error) { return cdp.Call(ctx, t, c, params) })
}

func (w *window) resize(s size) {
	w.t.Helper()
	w.size = s
	send(w, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: s.width, Height: s.height, DeviceScaleFactor: 1, Mobile: s.touch})
	send(w, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: s.touch})
}

// scheme sets what the maker asked the system for: light or dark.
func (w *window) scheme(name string) {
	w.t.Helper()
	send(w, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: name}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
}

// eval evaluates an expression by the debugger, whom the page's policy does not
// bind, and gives its value.
func eval[T any](w *window, expression string) (T, error) {
	ctx, cancel := context.WithTimeout(w.ctx, answerWait)
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

// get is the value of an expression; it must not fail.
func get[T any](w *window, expression string) T {
	w.t.Helper()
	v, err := eval[T](w, expression)
	if err != nil {
		w.t.Fatalf("%s: %s: %v", w.size.name, expression, err)
	}
	return v
}

// until waits for an expression to be true. A page that is just being left
// answers with an error: it is asked again.
func (w *window) until(expression string) {
	w.t.Helper()
	end, pause := time.Now().Add(answerWait), 2*time.Millisecond
	for time.Now().Before(end) {
		if yes, err := eval[bool](w, "(async () => !!(await ("+expression+")))()"); err == nil && yes {
			return
		}
		time.Sleep(pause) // longer each time: the page needs the processor to get there
		pause = min(2*pause, 32*time.Millisecond)
	}
	words, _ := eval[string](w, `location.pathname + " " + document.querySelector("main")?.innerText.slice(0, 600)`)
	w.t.Fatalf("%s: never came: %s\non %s", w.size.name, expression, words)
}

// visit opens a path of the bench.
func (w *window) visit(path string) {
	w.t.Helper()
	w.run(chromedp.Navigate(w.base + path))
	w.until(`document.readyState === "complete"`)
}

// spot is where an element can be pressed.
type spot struct {
	X, Y float64
	Hit  bool
	Over string // what lies over it
}

// press clicks or taps an element in its middle, as a hand would: where
// something lies over it, the press would not reach it and the test fails.
func (w *window) press(selector string) {
	w.t.Helper()
	quoted, _ := json.Marshal(selector)
	w.until(`document.querySelector(` + string(quoted) + `)`)
	if get[bool](w, `(() => { const menu = document.querySelector(`+string(quoted)+`).closest(".menu .tabs")?.parentElement; return !!menu && !menu.open && menu.querySelector("summary").checkVisibility(); })()`) {
		w.press(".menu > summary")
	}
	at := get[spot](w, `(() => {
		const el = document.querySelector(`+string(quoted)+`);
		el.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
		const b = el.getBoundingClientRect(), X = b.x + b.width / 2, Y = b.y + b.height / 2;
		const top = document.elementFromPoint(X, Y);
		return { X, Y, Hit: !!top && (el === top || el.contains(top)), Over: top ? top.outerHTML.slice(0, 120) : "nothing" };
	})()`)
	if !at.Hit {
		w.t.Fatalf("%s: %s cannot be pressed: over its middle lies %s", w.size.name, selector, at.Over)
	}
	if w.size.touch {
		w.run(chromedp.TapXY(at.X, at.Y))
		return
	}
	w.run(chromedp.MouseClickXY(at.X, at.Y))
}

// leave presses what leads to another page and waits for it.
func (w *window) leave(selector, path string) {
	w.t.Helper()
	get[bool](w, `window.left = true`)
	w.press(selector)
	quoted, _ := json.Marshal(path)
	w.until(`!window.left && document.readyState === "complete" && new RegExp(` + string(quoted) + `).test(location.pathname)`)
}

// keys types as a keyboard does, or a gauge that is one: into whatever has the
// focus. Enter is \r.
func (w *window) keys(text string) {
	w.t.Helper()
	w.run(chromedp.KeyEvent(text))
}

// write puts the caret into a field and types.
func (w *window) write(selector, text string) {
	w.t.Helper()
	w.press(selector)
	quoted, _ := json.Marshal(selector)
	w.until(`document.activeElement === document.querySelector(` + string(quoted) + `)`)
	w.keys(text)
}

// upload chooses a file in a field.
func (w *window) upload(selector, file string) {
	w.t.Helper()
	w.run(chromedp.SetUploadFiles(chromedp.CSS(selector), []string{file}))
}

// forget empties the browser's store.
func (w *window) forget() {
	w.t.Helper()
	send(w, network.ClearBrowserCache, cdp.Empty{})
}

// path is the path of the page that is open.
func (w *window) path() string {
	w.t.Helper()
	u, err := url.Parse(get[string](w, "location.href"))
	if err != nil {
		w.t.Fatal(err)
	}
	return u.Path
}
