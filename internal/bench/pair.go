package bench

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"net/http"
	"strings"
	"sync"
)

// cookieName is the session's cookie. A prefix such as __Host- would want TLS,
// which a bench on a workshop's own net does not have.
const cookieName = "ringtrue_bench"

// maxWrong is how many wrong codes are taken before the code is changed.
const maxWrong = 5

// maxScreens is how many screens may be paired at once; the oldest goes first.
const maxScreens = 64

// pairing lets screens in that know the one-time code.
type pairing struct {
	tell func(code string)

	mu      sync.Mutex
	code    string
	wrong   int
	screens [][sha256.Size]byte // of the cookies handed out
}

func newPairing(tell func(string)) *pairing {
	if tell == nil {
		tell = func(string) {}
	}
	p := &pairing{tell: tell}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.renew()
	return p
}

// renew makes another code. The caller holds the lock.
func (p *pairing) renew() {
	p.code, p.wrong = secret(5), 0 // 40 bits, five tries
	p.tell(p.code)
}

// secret is n random bytes in letters and digits that can be typed.
func secret(n int) string {
	b := make([]byte, n)
	_, _ = rand.Read(b) // never fails: it ends the program first
	return base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b)
}

// pair takes a code and gives a cookie for it. A code works once; a new one is
// then made.
func (p *pairing) pair(code string) (cookie string, ok bool) {
	code = strings.ToUpper(strings.Join(strings.FieldsFunc(code, func(r rune) bool { return r == ' ' || r == '-' }), ""))
	p.mu.Lock()
	defer p.mu.Unlock()
	if subtle.ConstantTimeCompare([]byte(code), []byte(p.code)) != 1 {
		if p.wrong++; p.wrong >= maxWrong {
			p.renew()
		}
		return "", false
	}
	cookie = secret(25)
	p.screens = append(p.screens, sha256.Sum256([]byte(cookie)))
	if n := len(p.screens) - maxScreens; n > 0 {
		p.screens = p.screens[n:]
	}
	p.renew()
	return cookie, true
}

// knows reports whether a request carries the cookie of a paired screen.
func (p *pairing) knows(r *http.Request) bool {
	c, err := r.Cookie(cookieName)
	if err != nil {
		return false
	}
	sum := sha256.Sum256([]byte(c.Value))
	p.mu.Lock()
	defer p.mu.Unlock()
	known := 0
	for i := range p.screens {
		known |= subtle.ConstantTimeCompare(sum[:], p.screens[i][:])
	}
	return known == 1
}

// pairBody is what the page to pair a screen shows.
type pairBody struct {
	Code  string
	Wrong bool
}

// showPair asks for the code. The code of a picture that was scanned stands in
// the field already, but works only once the maker presses the button: a
// messenger that looks at addresses beforehand must not use it up.
func (s *Server) showPair(w http.ResponseWriter, r *http.Request) error {
	if s.pairing == nil || s.pairing.knows(r) {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return nil
	}
	return s.show(w, r, "pair", head{}, pairBody{Code: cut(r.URL.Query().Get("code"), 16)})
}

func (s *Server) pair(w http.ResponseWriter, r *http.Request) error {
	if s.pairing == nil {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return nil
	}
	if err := s.form(w, r); err != nil {
		return err
	}
	cookie, ok := s.pairing.pair(cut(r.PostForm.Get("code"), 40))
	if !ok {
		return s.showAs(w, r, http.StatusForbidden, "pair", head{}, pairBody{Wrong: true})
	}
	http.SetCookie(w, &http.Cookie{Name: cookieName, Value: cookie, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// cut is a text, at most n bytes of it.
func cut(text string, n int) string { return text[:min(n, len(text))] }
