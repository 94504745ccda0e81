package bench

import (
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"
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

func TestShare_WrongCodesChangeIt(t *testing.T) {
	b, codes := sharing(t)
	code := (*codes)[0]
	for range maxWrong {
		b.post("/pair", "code", "AAAAAAAA")
	}
	if len(*codes) != 2 || (*codes)[1] == code {
		t.Fatalf("after %d wrong codes: %q", maxWrong, *codes)
	}
	if w := b.post("/pair", "code", code); w.Code != http.StatusForbidden {
		t.Errorf("the old code still works: %d", w.Code)
	}
}
