package bench

import (
	"encoding/json"
	"fmt"
	"image/png"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"rsc.io/qr"
)

// sharing is a bench that others may call, and the codes it told.
func sharing(t *testing.T) (*try, *[]string) {
	codes := &[]string{}
	b := newTry(t, func(c *Config) {
		c.Share, c.Addresses = true, []netip.Addr{netip.MustParseAddr("192.168.1.20")}
		c.Code = func(code string) { *codes = append(*codes, code) }
	})
	return b, codes
}

// Without the cookie nothing of a neck is told and nothing changed; the code
// works once, and a few wrong ones change it.
func TestShare_PairingOnly(t *testing.T) {
	b, codes := sharing(t)
	k, err := b.folder.Begin("heron.toml", example(t, "heron.toml"), "0412", "")
	if err != nil {
		t.Fatal(err)
	}
	path := "/necks/" + k.ID()
	locked := func(what string) {
		t.Helper()
		for _, p := range []string{"/", path, path + "/state", path + "/neck.toml", path + "/files", "/nowhere"} {
			w := b.get(p)
			if text := body(w); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/pair" || strings.Contains(text, "Heron") {
				t.Errorf("%s: %s: %d %s", what, p, w.Code, text)
			}
		}
		if w := b.post(path+"/serial", "serial", "stolen"); w.Code != http.StatusUnauthorized {
			t.Errorf("%s: post: %d", what, w.Code)
		}
	}
	locked("no cookie")
	b.cookie = &http.Cookie{Name: cookieName, Value: "AAAA"}
	locked("a cookie made up")
	b.cookie = &http.Cookie{Name: cookieName, Value: ""}
	locked("an empty cookie")
	b.cookie = nil

	code := (*codes)[0]
	if w := b.get("/pair?code=" + code); w.Code != http.StatusOK || !strings.Contains(body(w), code) || len(w.Result().Cookies()) > 0 {
		t.Errorf("the page to pair: %d", w.Code)
	}
	if w := b.post("/pair", "code", "WRONG234"); w.Code != http.StatusForbidden || len(w.Result().Cookies()) > 0 {
		t.Errorf("a wrong code: %d", w.Code)
	}
	w := b.post("/pair", "code", strings.ToLower(code[:4]+" "+code[4:]))
	cookies := w.Result().Cookies()
	if w.Code != http.StatusSeeOther || len(cookies) != 1 {
		t.Fatalf("the right code: %d", w.Code)
	}
	c := cookies[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || len(c.Value) < 32 {
		t.Errorf("cookie %+v", c)
	}
	if w := b.post("/pair", "code", code); w.Code != http.StatusForbidden || len(w.Result().Cookies()) > 0 {
		t.Errorf("the code a second time: %d", w.Code)
	}
	locked("still no cookie")
	b.cookie = c
	if text := body(b.get(path)); !strings.Contains(text, "Heron") {
		t.Error("a paired screen sees nothing")
	}
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.Host = "192.168.1.20:8021"
	if w := b.do(r); w.Code != http.StatusOK {
		t.Errorf("the machine's own address: %d", w.Code)
	}
}

// A wrong code slows down the address that sends it, and it alone: the code stays
// as it is, and another screen is paired meanwhile.
func TestShare_WrongCodesSlowTheirSender(t *testing.T) {
	var now time.Time
	codes := []string{}
	b := newTry(t, func(c *Config) {
		c.Share, c.Code = true, func(code string) { codes = append(codes, code) }
		c.Now = func() time.Time { return now }
	})
	try := func(from, code string) *httptest.ResponseRecorder {
		r := posted("/pair", "code", code)
		r.RemoteAddr = from
		return b.do(r)
	}
	const bad, near, good = "192.168.1.66:4000", "192.168.1.67:4000", "192.168.1.20:4000"
	late := 0
	for range 300 {
		if w := try(bad, "AAAAAAAA"); w.Code == http.StatusTooManyRequests {
			late++
		}
	}
	if late != 300-freeTries || len(codes) != 1 {
		t.Errorf("%d of 300 came too early; %d codes", late, len(codes))
	}
	if w := try(bad, codes[0]); w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") != "1" || len(w.Result().Cookies()) > 0 {
		t.Errorf("too early: %d %q", w.Code, w.Header().Get("Retry-After"))
	}
	if w := try(near, "AAAAAAAA"); w.Code != http.StatusForbidden {
		t.Errorf("another address: %d", w.Code)
	}
	if w := try(good, codes[0]); w.Code != http.StatusSeeOther || len(codes) != 2 {
		t.Errorf("another screen is locked out: %d", w.Code)
	}
	waits := []time.Duration{}
	for range 9 {
		now = now.Add(b.pairing.tries.wait(netip.MustParseAddr("192.168.1.66"), now))
		try(bad, "AAAAAAAA")
		waits = append(waits, b.pairing.tries.wait(netip.MustParseAddr("192.168.1.66"), now))
	}
	if waits[0] != 2*time.Second || waits[3] != 16*time.Second || waits[8] != longestWait {
		t.Errorf("waits %v", waits)
	}
	now = now.Add(longestWait)
	if w := try(bad, codes[1]); w.Code != http.StatusSeeOther {
		t.Errorf("after its wait, with the code: %d", w.Code)
	}
}

// A pairing outlives the bench; of the cookie only a checksum is on disk. A page
// lists the screens, and one that is removed there needs a code again.
func TestShare_PairingsOutliveARestart(t *testing.T) {
	file := filepath.Join(t.TempDir(), "screens.json")
	start := func() (*try, *string) {
		var code string
		b := newTry(t, func(c *Config) {
			c.Share, c.Screens, c.Code = true, file, func(is string) { code = is }
		})
		return b, &code
	}
	b, code := start()
	var cookies []*http.Cookie
	for _, agent := range []string{"Mozilla/5.0 (iPad; CPU OS)", "Mozilla/5.0 (Linux; Android 16)"} {
		r := posted("/pair", "code", *code)
		r.Header.Set("User-Agent", agent)
		w := b.do(r)
		if len(w.Result().Cookies()) != 1 || w.Result().Cookies()[0].MaxAge <= 0 {
			t.Fatalf("%d %v", w.Code, w.Result().Cookies())
		}
		cookies = append(cookies, w.Result().Cookies()[0])
	}
	data, err := os.ReadFile(file)
	if err != nil || strings.Contains(string(data), cookies[0].Value) {
		t.Fatalf("on disk: %s %v", data, err)
	}
	if b.get("/screens").Code != http.StatusSeeOther {
		t.Error("a screen that is not paired sees the others")
	}
	b, _ = start()
	b.cookie = cookies[1]
	page := b.sees("/screens", "iPad, paired", "Android, paired", "this screen")
	_, rest, _ := strings.Cut(page[strings.Index(page, "iPad"):], `name="paired" value="`)
	name, _, _ := strings.Cut(rest, `"`)
	if w := b.post("/screens", "paired", name); w.Code != http.StatusSeeOther {
		t.Fatalf("%d", w.Code)
	}
	for range 2 {
		b.cookie = cookies[0]
		if w := b.get("/"); w.Code != http.StatusSeeOther {
			t.Errorf("the screen removed: %d", w.Code)
		}
		b.cookie = cookies[1]
		if w := b.get("/"); w.Code != http.StatusOK {
			t.Errorf("the screen that stays: %d", w.Code)
		}
		b, _ = start()
	}
	if err := os.WriteFile(file, []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	b, _ = start()
	b.cookie = cookies[1]
	if w := b.get("/"); w.Code != http.StatusSeeOther || !strings.Contains(b.log.String(), "needs a code again") {
		t.Errorf("with a damaged file: %d %q", w.Code, b.log)
	}
}

// qrDots reads the picture of a code back: its dark dots.
func qrDots(t *testing.T, page string) (dark map[[2]int]bool, size int) {
	t.Helper()
	m := regexp.MustCompile(`<svg class="qr" viewBox="0 0 (\d+) \d+"[^>]*>.*?<path d="([^"]+)" fill="#000"/></svg>`).FindStringSubmatch(page)
	if m == nil {
		t.Fatal("there is no code to scan")
	}
	size, _ = strconv.Atoi(m[1])
	dark = map[[2]int]bool{}
	for _, run := range regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`).FindAllStringSubmatch(m[2], -1) {
		x, _ := strconv.Atoi(run[1])
		y, _ := strconv.Atoi(run[2])
		n, _ := strconv.Atoi(run[3])
		for i := range n {
			dark[[2]int{x + i, y}] = true
		}
	}
	return dark, size
}

// The page of the screens shows the code for the next one, to scan and in words, to
// paired screens only; used, or seen by a screen that is removed, it is another.
func TestScreens_CodeForTheNext(t *testing.T) {
	var code string
	b := newTry(t, func(c *Config) {
		c.Share, c.Addresses, c.Names = true, []netip.Addr{netip.MustParseAddr("192.168.1.20")}, []string{"laptop.local", "laptop"}
		c.Calls = []string{"http://192.168.1.20:8021", "http://laptop.local:8021"}
		c.Code = func(is string) { code = is }
	})
	for _, p := range []string{"/screens", "/screens?at=1", "/paired", "/"} {
		if w := b.get(p); w.Code != http.StatusSeeOther || strings.Contains(body(w), code) || strings.Contains(body(w), Spaced(code)) {
			t.Errorf("%s tells a screen that is not paired", p)
		}
	}
	if text := body(b.get("/pair")); strings.Contains(text, code) || strings.Contains(text, Spaced(code)) || strings.Contains(text, `class="qr"`) {
		t.Error("the page to pair tells the code")
	}
	pair := func() *http.Cookie {
		t.Helper()
		w := b.post("/pair", "code", code)
		if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/paired" || w.Result().Cookies()[0].Secure {
			t.Fatalf("%d %s", w.Code, w.Header().Get("Location"))
		}
		return w.Result().Cookies()[0]
	}
	first := pair()
	b.cookie = first
	b.sees("/paired", "Add this page to the home screen", "http://192.168.1.20:8021", "http://laptop.local:8021")
	reads := func(page, call string) {
		t.Helper()
		text := b.sees(page, call, Spaced(code), "a page use the microphone", pieces("--cert bench.pem"))
		dark, size := qrDots(t, text)
		c, err := qr.Encode(call+"/pair?code="+code, qr.L)
		if err != nil {
			t.Fatal(err)
		}
		if size != c.Size+8 {
			t.Errorf("%d dots", size)
		}
		for y := range size {
			for x := range size {
				if dark[[2]int{x, y}] != c.Black(x-4, y-4) {
					t.Fatalf("%s: dot %d, %d", page, x, y)
				}
			}
		}
	}
	reads("/screens", "http://192.168.1.20:8021")
	reads("/screens?at=1", "http://laptop.local:8021")
	reads("/screens?at=9", "http://192.168.1.20:8021")
	was := code
	second := pair()
	if code == was {
		t.Fatal("a code that was used is shown still")
	}
	reads("/screens", "http://192.168.1.20:8021")
	b.cookie = second
	b.sees("/screens", Spaced(code))
	was = code
	b.cookie = first
	page := b.sees("/screens", "this screen")
	_, rest, _ := strings.Cut(page, `name="paired" value="`) // the last paired stands first
	name, _, _ := strings.Cut(rest, `"`)
	if w := b.post("/screens", "paired", name); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code)
	}
	b.cookie = nil
	if w := b.post("/pair", "code", was); w.Code != http.StatusForbidden {
		t.Errorf("a removed screen comes back by the code that it saw: %d", w.Code)
	}
	b.cookie = second
	if w := b.get("/screens"); w.Code != http.StatusSeeOther {
		t.Errorf("the removed screen: %d", w.Code)
	}
}

// pieces is a command as a page shows it: no option is broken over two lines.
func pieces(command string) string {
	return "<code>" + strings.ReplaceAll(command, " ", "</code> <code>") + "</code>"
}

// A bench that no other machine can call says how to start it so.
func TestScreens_SaysHowToShare(t *testing.T) {
	start := pieces("ringtrue bench --share --listen 0.0.0.0:8021")
	b := newTry(t, nil)
	if text := b.sees("/screens", "Only this computer can connect", start); strings.Contains(text, `class="qr"`) {
		t.Error("there is a code")
	}
	if w := b.post("/screens", "paired", "x"); w.Code != http.StatusNotFound {
		t.Error(w.Code)
	}
	b.sees("/", `href="/screens"`)
	var code string
	b = newTry(t, func(c *Config) {
		c.Share, c.Secure, c.Calls, c.Code = true, true, []string{"https://127.0.0.1:8021"}, func(is string) { code = is }
	})
	w := b.post("/pair", "code", code)
	if b.cookie = w.Result().Cookies()[0]; !b.cookie.Secure {
		t.Error("by https the cookie is not for https alone")
	}
	if text := b.sees("/screens", "started for this computer only", start); strings.Contains(text, `class="qr"`) || strings.Contains(text, "microphone") {
		t.Error("there is a code, or a word about http")
	}
}

// A name of this machine is answered where screens are let in; others are not.
func TestGuard_OwnNames(t *testing.T) {
	b := newTry(t, func(c *Config) { c.Share, c.Names = true, []string{"laptop.local", "laptop"} })
	for host, want := range map[string]int{"laptop.local:8021": 200, "LAPTOP:8021": 200, "laptop.local.:8021": 200, "laptop.local.evil.example": 421, "evil.laptop.local": 421, "desk.local": 421} {
		r := httptest.NewRequest(http.MethodGet, "/healthz", nil)
		r.Host = host
		if w := b.do(r); w.Code != want {
			t.Errorf("%s: %d", host, w.Code)
		}
	}
}

// What a phone needs for an icon is there without a cookie, in the pages' own
// colour, and names the address that it was asked at.
func TestManifest(t *testing.T) {
	b, _ := sharing(t)
	w := b.get("/manifest.webmanifest")
	var m manifest
	if err := json.Unmarshal(w.Body.Bytes(), &m); err != nil || w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/manifest+json" {
		t.Fatalf("%d %v", w.Code, err)
	}
	css, err := staticFiles.ReadFile("static/bench.css")
	if err != nil || !strings.Contains(string(css), m.Background) || m.Background == "#ffffff" {
		t.Errorf("its ground %s is not that of the pages", m.Background)
	}
	if m.Name != "ringtrue bench, 127.0.0.1" || m.Start != "/" || len(m.Icons) != 2 {
		t.Errorf("%+v", m)
	}
	for _, i := range m.Icons {
		w := b.get(i.Source)
		p, err := png.DecodeConfig(w.Body)
		if err != nil || fmt.Sprintf("%dx%d", p.Width, p.Height) != i.Sizes || w.Header().Get("Content-Type") != "image/png" || !strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
			t.Errorf("%s: %d x %d, %v %v", i.Source, p.Width, p.Height, err, w.Header())
		}
	}
	if text := body(b.get("/pair")); !strings.Contains(text, `rel="manifest" href="/manifest.webmanifest"`) || !strings.Contains(text, `rel="apple-touch-icon" href="/static/apple-touch-icon.png?v=`) {
		t.Error("the page to pair names no icon")
	}
}
