package bench

import (
	_ "embed"
	"fmt"

	"github.com/pelletier/go-toml/v2"
)

//go:embed texts/en.toml
var english []byte

// words are all texts of the pages, by page and key.
type words map[string]map[string]string

func loadWords() (words, error) {
	w := words{}
	if err := toml.Unmarshal(english, &w); err != nil {
		return nil, fmt.Errorf("texts: %w", err)
	}
	return w, nil
}

// find is a text by its page and key, with values put in where it has verbs.
func (w words) find(key string, values ...any) (string, error) {
	page, name, _ := cutKey(key)
	text, ok := w[page][name]
	if !ok {
		return "", fmt.Errorf("there is no text %q", key)
	}
	if len(values) > 0 {
		text = fmt.Sprintf(text, values...)
	}
	return text, nil
}

// say is find where the key is written in the program; a test finds each.
func (w words) say(key string, values ...any) string {
	text, err := w.find(key, values...)
	if err != nil {
		return key
	}
	return text
}

func cutKey(key string) (page, name string, ok bool) {
	for i := range key {
		if key[i] == '.' {
			return key[:i], key[i+1:], true
		}
	}
	return "", key, false
}
