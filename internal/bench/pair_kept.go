package bench

import (
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"net/http"
	"os"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/bench/draft"
)

// paired is a screen that was let in. Of its cookie only the checksum is kept:
// 200 random bits that no one guesses from it.
type paired struct {
	Sum  []byte    `json:"sum"`
	At   time.Time `json:"at"`
	From string    `json:"from"` // the address that it had
	By   string    `json:"by"`   // what it called itself, in a word or two
}

// name is what a form calls the screen.
func (p paired) name() string { return hex.EncodeToString(p.Sum[:min(8, len(p.Sum))]) }

func readPaired(file string) ([]paired, error) {
	if file == "" {
		return nil, nil
	}
	data, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var screens []paired
	if err := json.Unmarshal(data, &screens); err != nil {
		return nil, err
	}
	return slices.DeleteFunc(screens, func(p paired) bool { return len(p.Sum) == 0 }), nil
}

// writePaired keeps the screens, safe on disk when it returns.
func writePaired(file string, screens []paired) error {
	if file == "" {
		return nil
	}
	data, err := json.MarshalIndent(screens, "", " ")
	if err != nil {
		return err
	}
	return draft.ReplaceFile(file, append(data, '\n'))
}

// remove takes a screen's pairing away.
func (p *pairing) remove(name string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	left := slices.DeleteFunc(slices.Clone(p.screens), func(s paired) bool { return s.name() == name })
	if err := writePaired(p.file, left); err != nil {
		return err
	}
	p.screens = left
	p.renew() // the screen may have seen the code
	return nil
}

// shown gives the code and the screens, the last paired first. Whenever the screens
// change, so does the code.
func (p *pairing) shown() (code string, all []paired) {
	p.mu.Lock()
	defer p.mu.Unlock()
	all = slices.Clone(p.screens)
	slices.Reverse(all)
	return p.code, all
}

// deviceOf is what kind of screen a browser says it runs on.
func deviceOf(agent string) string {
	for _, d := range []string{"iPad", "iPhone", "Android", "Windows", "Macintosh", "CrOS", "Linux"} {
		if strings.Contains(agent, d) {
			return d
		}
	}
	return ""
}

// removeScreen ends a pairing: that screen needs a code again.
func (s *Server) removeScreen(w http.ResponseWriter, r *http.Request) error {
	if s.pairing == nil {
		return s.notThere(w, r)
	}
	if err := s.form(w, r); err != nil {
		return err
	}
	if err := s.pairing.remove(r.PostForm.Get("paired")); err != nil {
		return err
	}
	return redirect(w, r, "/screens")
}
