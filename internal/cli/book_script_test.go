package cli

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"ringtrue/internal/book/booktest"
	"ringtrue/internal/casetest"
)

// TestBookScripts_PostgreSQL runs the scripts of `book` again, each on a
// database of its own.
func TestBookScripts_PostgreSQL(t *testing.T) {
	examples, err := filepath.Abs(filepath.Join("..", "..", "examples"))
	if err != nil {
		t.Fatal(err)
	}
	scripts, err := filepath.Glob(filepath.Join("testdata", "script", "book_*.txtar"))
	if err != nil || len(scripts) == 0 {
		t.Fatalf("%d scripts, %v", len(scripts), err)
	}
	if !casetest.Long() { // these write by the same calls as the rest, or read alone: package postgres tests each call
		scripts = slices.DeleteFunc(scripts, func(s string) bool {
			return regexp.MustCompile(`_(show|label|demo|card|hand|times|folder)\.`).MatchString(s)
		})
	}
	server := booktest.StartServer(t, booktest.Unflushed)
	address := make(chan string, len(scripts))
	for range scripts {
		address <- server.Database(t)
	}
	t.Run("refused", func(t *testing.T) {
		const wrong = "not-the-password"
		for name, c := range map[string]struct {
			address, say string
			status       int
		}{
			"password":     {server.Address(booktest.Locked, wrong, "postgres"), "the server refuses the name or the password", exitInput},
			"no database":  {server.Address("bench", "", "nowhere"), "no book there", exitInput},
			"no book":      {server.Database(t), "no book there yet", exitInput},
			"right, empty": {server.Address(booktest.Locked, booktest.LockedPassword, "postgres"), "no book there yet", exitInput},
		} {
			var out, errOut bytes.Buffer
			status := Run(context.Background(), []string{"book", "list", "--book", c.address}, strings.NewReader(""), &out, &errOut)
			if status != c.status || !strings.Contains(errOut.String(), c.say) || out.Len() > 0 {
				t.Errorf("%s: %d, %q, %q", name, status, out.String(), errOut.String())
			}
			if strings.Contains(errOut.String(), wrong) || strings.Contains(errOut.String(), booktest.LockedPassword) {
				t.Errorf("%s: the password is shown: %s", name, errOut.String())
			}
		}
	})
	t.Run("scripts", func(t *testing.T) { // its subtests end before the server does
		testscript.Run(t, testscript.Params{
			Files: scripts,
			Setup: func(e *testscript.Env) error {
				e.Setenv("EXAMPLES", examples)
				e.Setenv("RINGTRUE_BOOK", <-address)
				return nil
			},
			Condition: bookCondition(true),
		})
	})
}

// bookCondition lets a script say [postgres] or [!postgres].
func bookCondition(postgres bool) func(string) (bool, error) {
	return func(c string) (bool, error) {
		if c != "postgres" {
			return false, fmt.Errorf("no such condition: %s", c)
		}
		return postgres, nil
	}
}
