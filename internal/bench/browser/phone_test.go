package browser

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image/png"
	"net/http"
	"net/url"
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"ringtrue/internal/bench"
)

// far is the address that a shared bench under test says it has: the tests' own is
// this machine's, which no phone can call.
const far = "http://192.168.7.7:8021"

// codes are those that a bench told, the last one last.
type codes struct {
	mu   sync.Mutex
	told []string
}

func (c *codes) last() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.told[len(c.told)-1]
}

// share starts a bench that lets paired screens in.
func share(t testing.TB) (*served, *codes) {
	t.Helper()
	told := &codes{}
	b := serveAs(t, func(c *bench.Config) {
		c.Share, c.Calls = true, []string{far, "http://laptop.local:8021"}
		c.Code = func(code string) {
			told.mu.Lock()
			defer told.mu.Unlock()
			told.told = append(told.told, code)
		}
	})
	return b, told
}

// pair pairs a window as one that scanned the code.
func (w *window) pair(code string) {
	w.t.Helper()
	w.visit("/pair?code=" + code)
	w.leave("form .main", "^/paired$")
}

// paired is a screen without a browser, paired.
func paired(t testing.TB, base, code string) *client {
	t.Helper()
	c := newClient(t, base)
	r, err := c.http.PostForm(base+"/pair", url.Values{"code": {code}})
	if err != nil {
		t.Fatal(err)
	}
	_ = r.Body.Close()
	if len(r.Cookies()) != 1 {
		t.Fatal(r.Status)
	}
	c.http.Transport = withCookie{r.Cookies()[0], c.http.Transport}
	return c
}

// withCookie sends a cookie with each request.
type withCookie struct {
	cookie *http.Cookie
	next   http.RoundTripper
}

func (w withCookie) RoundTrip(r *http.Request) (*http.Response, error) {
	r = r.Clone(r.Context())
	r.AddCookie(w.cookie)
	return w.next.RoundTrip(r)
}

// A phone is paired from the page of the first screen: a camera reads the code there
// in both schemes, the address stands beside it, the code works, and the page then
// has another and names the phone.
func TestPhone_PairedFromThePage(t *testing.T) {
	b, told := share(t)
	first := open(t, startChromium(t), b.base, laptop())
	first.pair(told.last())
	for _, s := range []size{laptop(), narrow()} {
		first.resize(s)
		for _, scheme := range []string{"light", "dark"} {
			first.scheme(scheme)
			for n, call := range []string{far, "http://laptop.local:8021"} {
				first.visit(fmt.Sprintf("/screens?at=%d", n))
				if got := first.scan(".qr"); got != call+"/pair?code="+told.last() {
					t.Errorf("%s, %s: a camera reads %q", s.name, scheme, got)
				}
				if words := get[string](first, `document.querySelector(".byhand").innerText`); !strings.Contains(words, call) || !strings.Contains(words, bench.Spaced(told.last())) {
					t.Errorf("%s: in words: %s", s.name, words)
				}
			}
		}
	}
	first.visit("/screens")
	code := told.last()
	scanned, err := url.Parse(first.scan(".qr"))
	if err != nil {
		t.Fatal(err)
	}
	phone := open(t, startChromium(t), b.base, narrow())
	phone.visit(scanned.RequestURI())
	phone.leave("form .main", "^/paired$")
	phone.until(`/Add this page to the home screen/.test(document.querySelector("main").innerText)`)
	first.until(`document.querySelectorAll("#screens form").length === 2`)
	if told.last() == code || first.scan(".qr") != far+"/pair?code="+told.last() {
		t.Error("the code that was used is shown still")
	}
	first.press(`#screens li:first-child button`) // the last paired stands first
	first.until(`document.readyState === "complete" && document.querySelectorAll("#screens form").length === 1`)
	phone.visit("/")
	if at := phone.path(); at != "/pair" {
		t.Errorf("the removed phone is on %s", at)
	}
}

// scan reads the code in an element as a camera would.
func (w *window) scan(selector string) string {
	w.t.Helper()
	data := ask(w, chromedp.Screenshot(chromedp.CSS(selector)))
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		w.t.Fatal(err)
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(m)
	if err != nil {
		w.t.Fatal(err)
	}
	r, err := qrcode.NewQRCodeReader().Decode(bits, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
	if err != nil {
		w.t.Fatalf("%s: no camera reads it: %v", w.size.name, err)
	}
	return r.GetText()
}

// A screen whose pairing is taken away with readings waiting is led to the page to
// pair; paired again, each reading is kept once, in order.
func TestPhone_PairedAgainWithReadingsWaiting(t *testing.T) {
	b, told := share(t)
	admin := paired(t, b.base, told.last())
	for n, s := range []size{narrow(), laptop()} {
		neck := admin.begin(fmt.Sprintf("041%d", n))
		w := open(t, startChromium(t), b.base, s) // cookies and store of its own
		w.pair(told.last())
		w.visit(neck)
		w.until(`document.activeElement?.id === "reading"`)
		w.keys("0.401\r0.402\r")
		w.until(waits + ` === 0`)
		w.goAway()
		w.keys("0.403\r0.404\r0.405\r")
		w.until(waits + ` === 3`)
		page, _ := admin.get("/screens")
		_, rest, _ := strings.Cut(page, `name="paired" value="`)
		name, _, _ := strings.Cut(rest, `"`)
		if _, err := admin.form("/screens", "paired", name); err != nil {
			t.Fatal(err)
		}
		w.back()
		w.until(`location.pathname === "/pair" && document.readyState === "complete"`)
		w.expects("401")
		if n := get[int](w, waits); n != 3 {
			t.Errorf("%s: %d wait on the page to pair", s.name, n)
		}
		w.write("#code", told.last())
		w.leave("form .main", "^/paired$")
		w.until(waits + ` === 0 && document.querySelector("#waiting").hidden`)
		w.expects("401")
		text, _ := admin.get(neck + "/readings.csv")
		var got []string
		for _, line := range strings.Split(strings.TrimSpace(text), "\n")[1:] {
			got = append(got, strings.Join(strings.Split(line, ",")[1:4], " "))
		}
		if want := "1 1 0.401|1 2 0.402|1 3 0.403|1 4 0.404|1 5 0.405"; strings.Join(got, "|") != want {
			t.Errorf("%s: kept %q", s.name, got)
		}
	}
}

// The pages of pairing keep the rules of axe-core and fit, at both sizes and in both
// schemes.
func TestPhone_PagesAccessible(t *testing.T) {
	b, told := share(t)
	w := open(t, startChromium(t), b.base, laptop())
	look := func(what string) {
		t.Helper()
		for _, s := range []size{narrow(), laptop()} {
			w.resize(s)
			for _, scheme := range []string{"light", "dark"} {
				w.scheme(scheme)
				for _, v := range w.rules() {
					t.Errorf("%s, %s, %s: %s", what, s.name, scheme, v.words())
				}
				if f := get[fit](w, fits); f.Width > f.Window || len(f.Small) > 0 {
					t.Errorf("%s, %s: %+v", what, s.name, f)
				}
				if dir := os.Getenv("RINGTRUE_TEST_PICTURES"); dir != "" {
					if err := os.WriteFile(fmt.Sprintf("%s/phone-%s_%s_%s.png", dir, what, s.name, scheme), ask(w, chromedp.FullScreenshot(100)), 0o600); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
	}
	w.visit("/pair")
	look("pair")
	w.write("#code", "AAAA AAAA\r")
	w.until(`document.querySelector("main .wrong")`)
	w.expects("403")
	look("wrong")
	w.pair(told.last())
	look("paired")
	w.visit("/screens")
	look("screens")
	w.base = serve(t).base
	w.visit("/screens")
	look("alone")
}

// Times are in the zone of the browser; without the script they are in UTC, and say
// so.
func TestPhone_TimesInTheBrowsersZone(t *testing.T) {
	b := serve(t)
	newClient(t, b.base).begin("0412")
	w := open(t, startChromium(t), b.base, narrow())
	send(w, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: "Asia/Kathmandu"}) // UTC+5:45
	for _, s := range []size{narrow(), laptop()} {
		w.resize(s)
		w.visit("/")
		type shown struct{ Text, Title, UTC string }
		got := get[shown](w, `(() => { const t = document.querySelector("main time"); return { Text: t.textContent, Title: t.title, UTC: t.dateTime }; })()`)
		want := get[string](w, `new Date(Date.parse(document.querySelector("main time").dateTime) + (5 * 60 + 45) * 60000).toISOString().slice(0, 16).replace("T", " ")`)
		if got.Text != want || got.Title != strings.Replace(got.UTC[:16], "T", " ", 1)+" UTC" {
			t.Errorf("%s: %+v, want %s", s.name, got, want)
		}
	}
	send(w, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	w.run(chromedp.Navigate(b.base + "/"))
	w.until(`document.readyState === "complete"`)
	if text := get[string](w, `document.querySelector("main time").textContent`); !strings.HasSuffix(text, " UTC") {
		t.Errorf("without the script: %s", text)
	}
}

// A browser finds nothing wrong with what makes an icon of the bench.
func TestPhone_Manifest(t *testing.T) {
	b, told := share(t)
	w := open(t, startChromium(t), b.base, narrow())
	for _, visit := range []func(){func() { w.visit("/pair") }, func() { w.pair(told.last()) }} {
		visit()
		m := send(w, page.GetAppManifest, page.GetAppManifestParams{})
		var is struct {
			Name  string
			Icons []struct{ Purpose string }
		}
		if len(m.Errors) > 0 || !strings.HasSuffix(m.URL, "/manifest.webmanifest") {
			t.Errorf("%s: %+v", m.URL, m.Errors)
		}
		if err := json.Unmarshal([]byte(m.Data), &is); err != nil || is.Name != "ringtrue bench, 127.0.0.1" || len(is.Icons) != 2 {
			t.Errorf("%s %v", m.Data, err)
		}
		for _, e := range send(w, page.GetInstallabilityErrors, cdp.Empty{}).InstallabilityErrors {
			if e.ErrorID != "in-incognito" {
				t.Errorf("it can't be kept: %s", e.ErrorID)
			}
		}
	}
}
