package cli

import (
	"context"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/text"
)

// bareSigns gives the paragraphs of a listing with a ± that no words explain, and
// how many have one.
func bareSigns(listing string) (bare []string, all int) {
	for _, p := range strings.Split(listing, "\n\n") {
		if !strings.Contains(p, "±") {
			continue
		}
		all++
		words := strings.Join(strings.Fields(p), " ")
		if !strings.Contains(words, text.TwoInThree) && !strings.Contains(words, text.NineteenInTwenty) && !strings.Contains(words, text.WoodBow) {
			bare = append(bare, p)
		}
	}
	return bare, all
}

// A ± never stands without what it is.
func TestListings_PlusMinusHasWords(t *testing.T) {
	const examples = "../../examples/"
	book := filepath.Join(t.TempDir(), "book.db")
	for _, c := range []struct {
		args string
		all  int // paragraphs with a ± at least
	}{
		{"frets heron.toml heron-seated.csv --all", 2},
		{"frets heron-twelve.toml heron-twelve-seated.csv --all", 1},
		{"frets heron.toml heron-seated.csv --after heron-refitted.csv --all", 2},
		{"board heron.toml heron-board.csv --all", 3},
		{"play heron.toml --study zone=0.02..0.06/0.04 --necks 20", 2},
		{"play heron-bass.toml --study zone=0.02..0.06/0.04 --necks 20", 3},
		{"relief heron-bass.toml --all", 2},
		{"book demo --necks 12", 0},
		{"book compare 1003 levelled serviced --all", 2},
		{"book show 1003", 0},
		{"drift --of zone --stage levelled --all", 0},
	} {
		var args []string
		for _, word := range strings.Fields(c.args) {
			if regexp.MustCompile(`^heron.*\.(toml|csv)$`).MatchString(word) {
				word = examples + word
			}
			args = append(args, word)
		}
		if strings.Contains(c.args, "book") || args[0] == "drift" {
			args = append(args, "--book", book)
		}
		var out, errOut strings.Builder
		if code := Run(context.Background(), args, strings.NewReader(""), &out, &errOut); code != exitDone {
			t.Fatalf("%s: %d %s", c.args, code, &errOut)
		}
		bare, all := bareSigns(out.String())
		if all < c.all {
			t.Errorf("%s: %d paragraphs with ±, want %d:\n%s", c.args, all, c.all, &out)
		}
		for _, p := range bare {
			t.Errorf("%s: ± without words:\n%s", c.args, p)
		}
	}
	if bare, all := bareSigns("a\n\n0.1 ± 0.2 mm\n\n± 3, two times\nin three"); len(bare) != 1 || all != 2 {
		t.Errorf("the search is broken: %q of %d", bare, all)
	}
}
