package text

import (
	_ "embed"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

//go:embed en/pages.toml
var english []byte

// Words are all texts of the pages, by page and key.
type Words map[string]map[string]string

// Pages reads the pages' texts. An error: the file that was built in is broken.
func Pages() (Words, error) {
	w := Words{}
	if err := toml.Unmarshal(english, &w); err != nil {
		return nil, fmt.Errorf("texts: %w", err)
	}
	return w, nil
}

// Find is a text by its page and key, with values put in where it has verbs.
func (w Words) Find(key string, values ...any) (string, error) {
	page, name, _ := strings.Cut(key, ".")
	text, ok := w[page][name]
	if !ok {
		return "", fmt.Errorf("there is no text %q", key)
	}
	if len(values) > 0 {
		text = fmt.Sprintf(text, values...)
	}
	return text, nil
}

// Say is Find where the key is written in the program; a test finds each.
func (w Words) Say(key string, values ...any) string {
	text, err := w.Find(key, values...)
	if err != nil {
		return key
	}
	return text
}
