package bench

import (
	"fmt"
	"net/http"
	"net/netip"
	"net/url"
	"strconv"
	"strings"
	"time"

	"rsc.io/qr"
)

// PairLink is the address that a phone opens by scanning a code: the page to pair,
// with the code in its field.
func PairLink(call, code string) string { return call + "/pair?code=" + code }

// Spaced is a code as it is read aloud and typed.
func Spaced(code string) string { return code[:len(code)/2] + " " + code[len(code)/2:] }

// screensBody is what the page of phones and other screens shows.
type screensBody struct {
	Shared  bool
	Far     bool // other machines can call this bench
	Secure  bool
	Call    callView
	Others  []callView
	Code    string
	Picture qrView
	Screens []screenView
}

// callView is an address by which the bench is called.
type callView struct {
	URL   string
	Named bool // by a name, not a number
	Href  string
}

type screenView struct {
	Name, By, From string
	At             time.Time
	Here           bool
}

// showScreens shows the code for the next screen, to scan or to type, and lists the
// paired screens, each with a key that removes it. Only a paired screen comes here.
func (s *Server) showScreens(w http.ResponseWriter, r *http.Request) error {
	b := screensBody{Shared: s.pairing != nil, Secure: s.cfg.Secure}
	if s.pairing == nil {
		return s.show(w, r, "screens", head{}, b)
	}
	here, _ := s.pairing.which(r)
	code, all := s.pairing.shown()
	b.Code = Spaced(code)
	for _, p := range all {
		b.Screens = append(b.Screens, screenView{p.name(), p.By, p.From, p.At, p.name() == here.name()})
	}
	if calls := s.calls(); len(calls) > 0 {
		at, err := strconv.Atoi(r.FormValue("at"))
		if err != nil || at < 0 || at >= len(calls) {
			at = 0
		}
		b.Far, b.Call = true, calls[at]
		b.Others = append(calls[:at:at], calls[at+1:]...)
		if b.Picture, err = drawQR(PairLink(b.Call.URL, code)); err != nil {
			return err
		}
	}
	return s.show(w, r, "screens", head{}, b)
}

// calls are the addresses by which another machine can open the bench.
func (s *Server) calls() (calls []callView) {
	for _, c := range s.cfg.Calls {
		u, err := url.Parse(c)
		if err != nil {
			continue
		}
		a, err := netip.ParseAddr(u.Hostname())
		if err == nil && a.IsLoopback() || u.Hostname() == "localhost" {
			continue
		}
		calls = append(calls, callView{c, err != nil, fmt.Sprintf("/screens?at=%d", len(calls))})
	}
	return calls
}

// pairedBody is what a screen is told once it is paired.
type pairedBody struct{ Calls []callView }

// showPaired says how to find the bench again.
func (s *Server) showPaired(w http.ResponseWriter, r *http.Request) error {
	if s.pairing == nil {
		return s.notThere(w, r)
	}
	return s.show(w, r, "paired", head{}, pairedBody{s.calls()})
}

// qrView is a code as a picture: its size in dots with the light zone around it, and
// its dark dots as a path.
type qrView struct {
	Size int
	Path string
}

// quiet is the light zone around a code, in dots (ISO/IEC 18004).
const quiet = 4

func drawQR(text string) (qrView, error) {
	c, err := qr.Encode(text, qr.L)
	if err != nil {
		return qrView{}, fmt.Errorf("bench: the code to scan: %w", err)
	}
	var path strings.Builder
	for y := range c.Size {
		for x := 0; x < c.Size; x++ {
			from := x
			for x < c.Size && c.Black(x, y) {
				x++
			}
			if x > from {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", from+quiet, y+quiet, x-from, x-from)
			}
		}
	}
	return qrView{c.Size + 2*quiet, path.String()}, nil
}
