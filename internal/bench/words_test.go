package bench

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// wordsUsed are the keys of texts that stand in templates and in the program.
func wordsUsed(t *testing.T) map[string]bool {
	t.Helper()
	used := map[string]bool{}
	inPage := regexp.MustCompile(`[{(]t "([a-z]+\.[a-z-]+)"`)
	inProgram := regexp.MustCompile(`"([a-z]+\.[a-z-]+)"`)
	for _, glob := range []string{"pages/*.html", "*.go"} {
		files, err := filepath.Glob(glob)
		if err != nil || len(files) == 0 {
			t.Fatal(glob, err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			search := inPage
			if strings.HasSuffix(name, ".go") {
				search = inProgram
			}
			for _, m := range search.FindAllStringSubmatch(string(data), -1) {
				if !strings.HasPrefix(m[1], "bench.") && !strings.HasPrefix(m[1], "icon.") {
					used[m[1]] = true
				}
			}
		}
	}
	return used
}
