package bench

import (
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
)

// A dark ground is for screens: on paper it would cost ink, so every rule of a dark
// scheme says screen.
func TestStyle_DarkIsForScreens(t *testing.T) {
	css := string(loaded(t)["bench.css"].data)
	dark := regexp.MustCompile(`@media ([^{]*)prefers-color-scheme: dark`).FindAllStringSubmatch(css, -1)
	if len(dark) == 0 {
		t.Fatal("there is no dark scheme: the search is broken")
	}
	for _, m := range dark {
		if !strings.HasPrefix(m[1], "screen and ") {
			t.Errorf("%s is for paper too", m[0])
		}
	}
}

func loaded(t *testing.T) map[string]staticFile {
	t.Helper()
	all, err := loadStatic()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Every class that a chart draws has a rule in the style sheet, and so has every colour
// of a map.
func TestStyle_EveryInkHasItsRule(t *testing.T) {
	casetest.OneByOne(t)
	css := string(loaded(t)["bench.css"].data)
	b := withBook(t)
	text := b.sees("/book/drift?of=zone&by=wire", "plot") + b.sees("/book/drift?of=pattern", "plot", "crownmap") + b.sees("/book/neck?serial=0412&from=seated&to=levelled", "crownmap", "plot")
	seen := map[string]bool{}
	for _, m := range regexp.MustCompile(`<(?:svg|path|text|circle|td) class="([^"]*)"`).FindAllStringSubmatch(text, -1) {
		for _, class := range strings.Fields(m[1]) {
			seen[class] = true
		}
	}
	for _, share := range []float64{-1, -0.7, -0.5, -0.2, 0, 0.2, 0.5, 0.7, 1} {
		seen[mapClass(share)] = true
	}
	if len(seen) < 25 || !seen["plot"] || !seen["dots"] || !seen["high4"] {
		t.Fatalf("only %v", seen)
	}
	for class := range seen {
		if !regexp.MustCompile(`\.` + class + `\b`).MatchString(css) {
			t.Errorf("no rule for .%s", class)
		}
	}
}
