package bench

import (
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
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
