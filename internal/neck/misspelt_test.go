package neck

import (
	"fmt"
	"strings"
	"testing"
)

// A key or table that is misspelt is one fault: it isn't missing besides.
func TestParse_MisspeltOnce(t *testing.T) {
	good := heron(t)
	for old, misspelt := range map[string]string{"\nlength ": "\nlenght ", "\n[scale]": "\n[scal]", "\nfrets ": "\nfretz ", "\n[level]": "\n[levle]"} {
		text := strings.Replace(good, old, misspelt, 1)
		if text == good {
			t.Errorf("there is no %q", old)
		}
		_, err := Parse("x.toml", []byte(text))
		said := fmt.Sprint(err)
		if !strings.Contains(said, "did you mean") || strings.Contains(said, "is missing") || strings.Contains(said, "\n") {
			t.Errorf("%q: %s", misspelt, said)
		}
	}
}
