package bench

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"regexp"
	"strings"

	"ringtrue/internal/draw"
	"ringtrue/internal/text"
)

//go:embed pages/*.html
var pageFiles embed.FS

// renderer is how pages are made: templates, words, static files.
type renderer struct {
	words  text.Words
	pages  map[string]*template.Template
	static map[string]staticFile
	inches bool           // words are shown in inches
	spoken *regexp.Regexp // what a tag says aloud
}

func newRenderer(inches bool) (*renderer, error) {
	l := &renderer{pages: map[string]*template.Template{}, inches: inches, spoken: spokenAttribute()}
	var err error
	if l.words, err = text.Pages(); err != nil {
		return nil, err
	}
	if l.static, err = loadStatic(); err != nil {
		return nil, err
	}
	names, err := fs.Glob(pageFiles, "pages/*.html")
	if err != nil {
		return nil, err
	}
	for _, n := range names {
		name := strings.TrimSuffix(path.Base(n), ".html")
		if name == "layout" || name == "chart" || name == "strip" {
			continue
		}
		t, err := template.New(name).Funcs(l.funcs()).ParseFS(pageFiles, "pages/layout.html", "pages/chart.html", "pages/strip.html", n)
		if err != nil {
			return nil, err
		}
		l.pages[name] = t
	}
	return l, nil
}

// funcs are what templates can call besides the usual.
func (l *renderer) funcs() template.FuncMap {
	f := figures()
	f["t"] = l.words.Find
	f["care"] = func() string { return text.FilingCare }
	f["sandingcare"] = func() string { return text.SandingCare }
	f["capital"] = capital
	f["unitof"] = func(small bool) string { return l.sizes(small).Name }
	f["size"] = func(digits int, small bool, v any) string {
		u := l.sizes(small)
		if x, known := numberOf(v); known {
			return dec(u.Digits(digits), x*u.PerMM)
		}
		return ""
	}
	f["svg"] = func(s *draw.Screen) template.HTML { return template.HTML(s.SVG()) }
	f["verdictof"] = func(verdict string, open int) string {
		words, _ := l.verdictOf(verdict, 1, open)
		return words
	}
	f["stop"] = func(fret int) string { return stopWords(l, fret) }
	f["static"] = func(name string) (string, error) {
		file, ok := l.static[name]
		if !ok {
			return "", fmt.Errorf("there is no static file %q", name)
		}
		return "/static/" + name + "?v=" + file.sum, nil
	}
	return f
}

// head is what stands around a page.
type head struct {
	Neck  *neckHead
	Wrong []string
}

// neckHead is the neck that a page is about.
type neckHead struct {
	ID, Name, Serial, Stage string
	Damage                  damageNotice
	Tabs                    []tab
	Strip                   *strip // the neck from above; none on the page that draws it large
}

// tab leads to another page of a neck.
type tab struct {
	Path, Words string
	Here        bool
}

// tabs are a neck's pages, page being the one shown.
func (l *renderer) tabs(id, page string) []tab {
	var out []tab
	for _, t := range []struct{ page, path string }{
		{"read", ""},
		{"pass", "/pass"},
		{"plan", "/plan"},
		{"play", "/play"},
		{"setup", "/setup"},
		{"listen", "/listen"},
		{"neck", "/neck"},
		{"gauge", "/gauge"},
		{"files", "/files"},
	} {
		out = append(out, tab{"/necks/" + id + t.path, l.words.Say("tabs." + t.page), t.page == page})
	}
	return out
}

// whole is what layout.html is filled from.
type whole struct {
	Head head
	Body any
}

// show answers with a page.
func (s *Server) show(w http.ResponseWriter, r *http.Request, page string, h head, body any) error {
	return s.showAs(w, r, http.StatusOK, page, h, body)
}

// showAs is show with a status. The page is made whole before a byte is sent.
func (s *Server) showAs(w http.ResponseWriter, _ *http.Request, status int, page string, h head, body any) error {
	t := s.renderer.pages[page]
	if t == nil {
		return fmt.Errorf("there is no page %q", page)
	}
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, "layout", whole{h, body}); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(s.renderer.shown(b.Bytes())) // the screen is gone: nobody is left to tell
	return nil
}

// part makes one part of a page, for the script to put in its place.
func (s *Server) part(page, name string, body any) (string, error) {
	var b bytes.Buffer
	if err := s.renderer.pages[page].ExecuteTemplate(&b, name, body); err != nil {
		return "", err
	}
	return string(s.renderer.shown(b.Bytes())), nil
}
