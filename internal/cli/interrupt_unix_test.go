//go:build unix

package cli

import (
	"bytes"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"
)

// A program that is interrupted, told to end or has lost its terminal ends with 3
// and one line, and leaves nothing: no book, no picture, no part of one. It waits
// for the rest of its readings then, where no loop could look.
func TestProgram_Signals(t *testing.T) {
	heard := make(chan os.Signal, 1)
	signals := []os.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP}
	signal.Notify(heard, signals...) // where these tests run under nohup, or behind an &, the program would ignore one too
	defer signal.Stop(heard)
	neck, err := filepath.Abs("../../examples/heron.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range signals {
		for _, args := range [][]string{
			{"book", "add", "0412", neck, "-", "--stage", "seated", "--book", "book.db"},
			{"frets", neck, "-", "--draw", "frets.svg"},
		} {
			c := program(t, args...)
			c.Dir = t.TempDir()
			var out, said bytes.Buffer
			c.Stdout, c.Stderr = &out, &said
			in, err := c.StdinPipe()
			if err != nil {
				t.Fatal(err)
			}
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			// More than a pipe holds: once it is written the program reads.
			if _, err := in.Write(append([]byte("method,lane,fret,reading,unit\n"), bytes.Repeat([]byte("#\n"), 200_000)...)); err != nil {
				t.Fatal(err)
			}
			if err := c.Process.Signal(s); err != nil {
				t.Fatal(err)
			}
			_ = c.Wait() // its status is looked at
			if c.ProcessState.ExitCode() != exitFailure || out.Len() > 0 || said.String() != "ringtrue: interrupted\n" {
				t.Errorf("%v, %s: %v, %q, %q", s, args[0], c.ProcessState, out.String(), said.String())
			}
			if left, err := os.ReadDir(c.Dir); err != nil || len(left) > 0 {
				t.Errorf("%v, %s: left %v, %v", s, args[0], left, err)
			}
		}
	}
}
