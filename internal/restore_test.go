package internal

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"ringtrue/internal/book/booktest"
	"ringtrue/internal/casetest"
	"ringtrue/internal/cli"
)

// TestMain lets the program of these tests stand for ringtrue where it is called by
// that name: to build ringtrue takes longer than all it is called for.
func TestMain(m *testing.M) {
	if filepath.Base(os.Args[0]) == "ringtrue" {
		os.Exit(cli.Run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
	}
	casetest.Main(m)
}

// Every step of the page on backup and restore is run, in order: the program's own
// calls, and between them what is done by hand.
func TestRestorePage_OutputIsReal(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("the steps by hand are written for a shell of other systems")
	}
	ran := 0
	checkBesideExamples(t, "restore.md", func(between string) {
		for _, script := range shellBlocks(t, between, "```sh\n") {
			runShell(t, script)
			ran++
		}
	})
	if ran < 2 {
		t.Errorf("ran %d steps by hand", ran)
	}
}

func TestRestorePage_PostgreSQL(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "docs", "restore.md"))
	if err != nil {
		t.Fatal(err)
	}
	scripts := shellBlocks(t, string(page), "```sh postgres\n")
	if len(scripts) != 1 {
		t.Fatalf("%d blocks", len(scripts))
	}
	for _, program := range []string{"pg_dump", "psql"} {
		if _, err := exec.LookPath(program); err != nil {
			booktest.Missing(t, program+" (Debian package postgresql-client)")
		}
	}
	server := booktest.StartServer(t, booktest.Unflushed)
	from, to := server.Database(t), server.Database(t)
	examples, err := filepath.Abs(filepath.Join("..", "examples"))
	if err != nil {
		t.Fatal(err)
	}
	bin := t.TempDir()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(self, filepath.Join(bin, "ringtrue")); err != nil { // TestMain is the program then
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	t.Setenv("PATH", bin+string(os.PathListSeparator)+os.Getenv("PATH"))
	t.Setenv("BENCH", from)
	t.Setenv("OTHER", to)
	t.Setenv("EXAMPLES", examples)
	runShell(t, `ringtrue book add 0412 $EXAMPLES/heron.toml $EXAMPLES/heron-seated.csv --stage seated --book "$BENCH"`)
	if out := runShell(t, scripts[0]); !strings.Contains(out, "OK: 1 record, none damaged") {
		t.Errorf("it says %s", out)
	}
}

// shellBlocks are the scripts of a text that an opening line leads.
func shellBlocks(t *testing.T, text, opening string) (scripts []string) {
	t.Helper()
	for _, part := range strings.Split(text, opening)[1:] {
		script, _, closed := strings.Cut(part, "```\n")
		if !closed {
			t.Fatalf("a block has no end: %q", part)
		}
		scripts = append(scripts, script)
	}
	return scripts
}

func runShell(t *testing.T, script string) string {
	t.Helper()
	out, err := exec.Command("sh", "-eu", "-c", script).CombinedOutput()
	if err != nil {
		t.Fatalf("%s\n%v\n%s", script, err, out)
	}
	return string(out)
}
