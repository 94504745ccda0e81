package bench

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"fmt"
	"math"
	"net/http"
	"net/netip"
	"strconv"
	"strings"
	"sync"
	"time"
)

// cookieName is the session's cookie. A prefix such as __Host- would want TLS,
// which most benches on a workshop's own net do not have.
const cookieName = "ringtrue_bench"

// cookieLasts is how long a browser keeps a pairing.
const cookieLasts = 180 * 24 * time.Hour

// maxScreens is how many screens may be paired at once; the oldest goes first.
const maxScreens = 64

// pairing lets screens in that know the one-time code.
type pairing struct {
	tell func(code string)
	now  func() time.Time
	file string // where the screens are kept; empty: in memory only

	mu      sync.Mutex
	code    string
	tries   tries
	screens []paired
}

// newPairing makes a pairing. An error: the file of the screens cannot be read;
// none is let in then without a code.
func newPairing(file string, now func() time.Time, tell func(string)) (*pairing, error) {
	if tell == nil {
		tell = func(string) {}
	}
	screens, err := readPaired(file)
	p := &pairing{tell: tell, now: now, file: file, screens: screens}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.renew()
	return p, err
}

// renew makes another code. The caller holds the lock.
func (p *pairing) renew() {
	p.code = secret(5) // 40 bits
	p.tell(p.code)
}

// secret is n random bytes in letters and digits that can be typed.
func secret(n int) string {
	b := make([]byte, n)
	_, _ = rand.Read(b) // never fails: it ends the program first
	return base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b)
}

// errWait is a try before the address may try again.
type errWait struct{ left time.Duration }

func (e errWait) Error() string { return fmt.Sprintf("wait %v", e.left) }

// pair takes a code and gives a cookie for it; an empty one: it is not the code.
// A code works once; a new one is then made. A wrong one changes nothing for
// others. An error: errWait, or the screen could not be kept on disk.
func (p *pairing) pair(code string, from netip.Addr, by string) (cookie string, err error) {
	code = strings.ToUpper(strings.Join(strings.FieldsFunc(code, func(r rune) bool { return r == ' ' || r == '-' }), ""))
	p.mu.Lock()
	defer p.mu.Unlock()
	now := p.now()
	if left := p.tries.wait(from, now); left > 0 {
		return "", errWait{left}
	}
	if subtle.ConstantTimeCompare([]byte(code), []byte(p.code)) != 1 {
		p.tries.wrong(from, now)
		return "", nil
	}
	cookie = secret(25)
	sum := sha256.Sum256([]byte(cookie))
	screens := append(p.screens[:len(p.screens):len(p.screens)], paired{Sum: sum[:], At: now.UTC(), From: from.String(), By: by})
	screens = screens[max(0, len(screens)-maxScreens):]
	if err := writePaired(p.file, screens); err != nil {
		return "", err
	}
	p.screens = screens
	p.tries.right(from)
	p.renew()
	return cookie, nil
}

// which is the paired screen whose cookie a request carries.
func (p *pairing) which(r *http.Request) (s paired, ok bool) {
	c, err := r.Cookie(cookieName)
	if err != nil {
		return s, false
	}
	sum := sha256.Sum256([]byte(c.Value))
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, k := range p.screens {
		if subtle.ConstantTimeCompare(sum[:], k.Sum) == 1 {
			s, ok = k, true
		}
	}
	return s, ok
}

// knows reports whether a request carries the cookie of a paired screen.
func (p *pairing) knows(r *http.Request) bool {
	_, ok := p.which(r)
	return ok
}

// pairBody is what the page to pair a screen shows.
type pairBody struct {
	Code  string
	Wrong string
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
	say := s.renderer.words.Say
	cookie, err := s.pairing.pair(cut(r.PostForm.Get("code"), 40), caller(r), deviceOf(r.UserAgent()))
	if early, ok := err.(errWait); ok {
		seconds := int(math.Ceil(early.left.Seconds()))
		w.Header().Set("Retry-After", strconv.Itoa(seconds))
		return s.showAs(w, r, http.StatusTooManyRequests, "pair", head{}, pairBody{Wrong: say("pair.wait", seconds)})
	}
	if err != nil {
		return err
	}
	if cookie == "" {
		return s.showAs(w, r, http.StatusForbidden, "pair", head{}, pairBody{Wrong: say("pair.wrong")})
	}
	http.SetCookie(w, &http.Cookie{Name: cookieName, Value: cookie, Path: "/", MaxAge: int(cookieLasts.Seconds()), HttpOnly: true, Secure: s.cfg.Secure, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, "/paired", http.StatusSeeOther)
	return nil
}

// cut is a text, at most n bytes of it.
func cut(text string, n int) string { return text[:min(n, len(text))] }
