package cli

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"ringtrue/internal/casetest"
)

func TestMain(m *testing.M) {
	casetest.CollectSeldom() // in each program that a script starts, too
	if filepath.Base(os.Args[0]) != "ringtrue" {
		casetest.OwnSettings()
	}
	testscript.Main(m, map[string]func(){
		"ringtrue": func() {
			ctx, stop := Signals(context.Background())
			code := Run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
			stop()
			os.Exit(code)
		},
	})
}

// TestScripts runs every script of testdata/script: a command a file.
func TestScripts(t *testing.T) {
	examples, err := filepath.Abs(filepath.Join("..", "..", "examples"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           filepath.Join("testdata", "script"),
		UpdateScripts: os.Getenv("UPDATE_SCRIPTS") != "",
		Setup: func(e *testscript.Env) error {
			e.Setenv("EXAMPLES", examples)
			e.Setenv("XDG_DATA_HOME", filepath.Join(e.WorkDir, "data")) // never the tester's own book
			e.Setenv("RINGTRUE_BOOK", "")
			return nil
		},
		Condition: bookCondition(false),
	})
}
