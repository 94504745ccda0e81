package cli

import (
	"errors"
	"strings"
	"testing"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/name"
)

// Nothing that steers a terminal comes out of a file's name: neither in a message
// nor in the call that comes next.
func TestReport_NothingHidden(t *testing.T) {
	const bad = "n\x1b[31m\u202e\a.csv"
	for want, err := range map[string]error{
		`ringtrue: n\x1b[31m\u202e\a.csv: no such file` + "\n":            inputErrorf("%s: no such file", bad),
		`ringtrue: n\x1b[31m\u202e\a.csv\nringtrue: OK:2: wrong` + "\n":   fileerr.List{{File: bad + "\nringtrue: OK", Line: 2, Msg: "wrong"}},
		"ringtrue: a:1: x\nringtrue: b:2: y\n":                            fileerr.List{{File: "a", Line: 1, Msg: "x"}, {File: "b", Line: 2, Msg: "y"}},
		`ringtrue: unknown command "\x1b[31m"` + "\nringtrue: see help\n": errors.New("unknown command \"\x1b[31m\"\nsee help"),
	} {
		var out strings.Builder
		report(&out, err)
		if out.String() != want {
			t.Errorf("%q; want %q", out.String(), want)
		}
	}
	for word, want := range map[string]string{bad: `$'n\x1b[31m\u202e\a.csv'`, "a'\x1bb\\": `$'a\'\x1bb\\'`, "a b": `"a b"`, "a.csv": "a.csv"} {
		if got := quoted(word); got != want || strings.ContainsFunc(got, name.Hidden) {
			t.Errorf("%q: %q; want %q", word, got, want)
		}
	}
}
