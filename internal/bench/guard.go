package bench

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

// policy lets a page load what the bench serves and nothing else: no inline
// script or style, no other site, no frame around it.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; " +
	"connect-src 'self'; manifest-src 'self'; media-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guarded puts the guards before every handler: who is called, who calls, and
// whether the screen is paired.
func (s *Server) guarded(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.turnAway(w, r, http.StatusForbidden, "refused.cross")
	}))
	paired := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if s.pairing != nil && !isOpen(r) && !s.pairing.knows(r) {
			s.unpaired(w, r)
			return
		}
		next.ServeHTTP(w, r)
	})
	inner := cross.Handler(paired)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		setHeaders(w.Header())
		if !s.isUs(r.Host) {
			s.turnAway(w, r, http.StatusMisdirectedRequest, "refused.host")
			return
		}
		inner.ServeHTTP(w, r)
	})
}

func setHeaders(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
	h.Set("Cache-Control", "no-store")
}

// isUs reports whether a request's Host is this machine by address, localhost, or
// a name of its own. A name of the outside that was made to point here (DNS rebinding)
// is not.
func (s *Server) isUs(host string) bool {
	name := hostOf(host)
	if strings.EqualFold(name, "localhost") || slices.Contains(s.cfg.Names, strings.ToLower(strings.TrimSuffix(name, "."))) {
		return true
	}
	a, err := netip.ParseAddr(name)
	if err != nil {
		return false
	}
	a = a.Unmap()
	return a.IsLoopback() || s.cfg.Share && slices.Contains(s.cfg.Addresses, a)
}

// hostOf is a request's Host without its port.
func hostOf(host string) string {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	return strings.TrimSuffix(strings.TrimPrefix(host, "["), "]")
}

// isOpen reports what an unpaired screen may ask for: whether the bench is up,
// the page to pair it, and how that looks.
func isOpen(r *http.Request) bool {
	switch r.URL.Path {
	case "/healthz", "/pair", manifestPath:
		return true
	}
	return r.Method == http.MethodGet && strings.HasPrefix(r.URL.Path, "/static/")
}

// unpaired sends a screen to be paired.
func (s *Server) unpaired(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodGet && !wantsJSON(r) {
		http.Redirect(w, r, "/pair", http.StatusSeeOther)
		return
	}
	s.turnAway(w, r, http.StatusUnauthorized, "refused.unpaired")
}

// turnAway ends a request with a line of text.
func (s *Server) turnAway(w http.ResponseWriter, _ *http.Request, status int, key string) {
	w.Header().Set("Connection", "close") // its body is not read
	http.Error(w, s.renderer.words.Say(key), status)
}

func wantsJSON(r *http.Request) bool {
	return strings.Contains(r.Header.Get("Accept"), "application/json")
}
