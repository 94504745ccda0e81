package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/book/booktest"
	"ringtrue/internal/book/sqlite"
)

// TestBookAdd_ClockSetBack: a record that is dated later than the clock says so
// on standard error, once; a record of another neck does not.
func TestBookAdd_ClockSetBack(t *testing.T) {
	where := filepath.Join(t.TempDir(), "book.db")
	ahead := func() time.Time { return time.Now().Add(40 * 24 * time.Hour) }
	s, err := sqlite.Open(context.Background(), where, sqlite.Options{Create: true, Now: ahead})
	if err != nil {
		t.Fatal(err)
	}
	for n := range 3 {
		if _, err := s.Add(context.Background(), booktest.Entry(n, "seated", 1)); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	readings := t.TempDir()
	seated, err := os.ReadFile("../../examples/heron-seated.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, serial := range []string{"000001", "000002", "0412"} {
		if err := os.WriteFile(filepath.Join(readings, serial+".csv"), seated, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	const neck = "../../examples/heron.toml"
	for _, c := range []struct {
		args []string
		say  string // all of standard error
	}{
		{[]string{"add", "0413", neck, "../../examples/heron-seated.csv", "--stage", "levelled"}, `^$`},
		{[]string{"add", "000000", neck, "../../examples/heron-seated.csv", "--stage", "levelled"},
			`^ringtrue: this computer's clock is 40 days behind the last record of 000000, so record 5 is dated just after it, \d{4}-\d\d-\d\d; if it went back, set it right. The records keep their order\n$`},
		{[]string{"add", "000000", neck, "../../examples/heron-seated.csv", "--stage", "levelled"}, `^$`}, // the same once more
		{[]string{"add", "000000", neck, "../../examples/heron-seated.csv", "--stage", "strung", "--json"}, `^ringtrue: this computer's clock is 40 days behind `},
		{[]string{"add", "--folder", readings, neck, "--stage", "levelled"},
			`^ringtrue: for 2 of these, this computer's clock is behind the neck's last record, by up to 40 days. Each is dated just after that one; `},
	} {
		var out, errOut bytes.Buffer
		args := append([]string{"book", "--book", where}, c.args...)
		if status := Run(context.Background(), args, strings.NewReader(""), &out, &errOut); status != exitDone {
			t.Fatalf("%v: %d, %s", c.args, status, errOut.String())
		}
		if !regexp.MustCompile(c.say).MatchString(errOut.String()) || strings.Contains(out.String(), "clock") {
			t.Errorf("%v:\n got %q\nwant %q", c.args, errOut.String(), c.say)
		}
	}
}
