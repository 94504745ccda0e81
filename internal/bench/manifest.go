package bench

import (
	"encoding/json"
	"net/http"
	"regexp"
)

// manifestPath is where a browser finds what a phone needs to keep the bench as an
// icon (W3C, Web Application Manifest). It asks for it without a cookie.
const manifestPath = "/manifest.webmanifest"

type manifest struct {
	Name       string         `json:"name"`
	ShortName  string         `json:"short_name"`
	ID         string         `json:"id"`
	Start      string         `json:"start_url"`
	Scope      string         `json:"scope"`
	Display    string         `json:"display"`
	Background string         `json:"background_color"`
	Theme      string         `json:"theme_color"`
	Icons      []manifestIcon `json:"icons"`
}

type manifestIcon struct {
	Source  string `json:"src"`
	Sizes   string `json:"sizes"`
	Type    string `json:"type"`
	Purpose string `json:"purpose,omitempty"`
}

// giveManifest names the bench by the address that the phone calls it by: a shop
// with two has two icons.
func (s *Server) giveManifest(w http.ResponseWriter, r *http.Request) {
	paper := paperColour(s.renderer.static["bench.css"].data)
	m := manifest{
		Name: s.renderer.words.Say("paired.name", hostOf(r.Host)), ShortName: s.renderer.words.Say("layout.home"),
		ID: "/", Start: "/", Scope: "/", Display: "standalone", Background: paper, Theme: paper,
	}
	for _, icon := range []struct{ file, size, purpose string }{{"icon-192.png", "192x192", "any"}, {"icon-maskable-512.png", "512x512", "maskable"}} {
		f := s.renderer.static[icon.file]
		m.Icons = append(m.Icons, manifestIcon{"/static/" + icon.file + "?v=" + f.sum, icon.size, f.kind, icon.purpose})
	}
	data, err := json.Marshal(m)
	if err != nil {
		s.turnAway(w, r, http.StatusInternalServerError, "refused.inside")
		return
	}
	w.Header().Set("Content-Type", "application/manifest+json")
	_, _ = w.Write(data)
}

// paperColour is the pages' own ground, from their one file of colours.
func paperColour(css []byte) string {
	if m := regexp.MustCompile(`--paper:\s*(#[0-9a-f]{6})`).FindSubmatch(css); m != nil {
		return string(m[1])
	}
	return "#ffffff"
}
