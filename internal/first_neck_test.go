package internal

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ringtrue/internal/cli"
)

const firstNeck = "first-neck.md"

// The tutorial is told in a copy of its folder and in a book of its own, block after
// block: what it shows and, between, what it only has typed.
func TestFirstNeck_OutputIsReal(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "docs", firstNeck))
	if err != nil {
		t.Fatal(err)
	}
	typed := 0
	checkBeside(t, firstNeck, "examples/first", func(between string) {
		for _, script := range shellBlocks(t, between, "```sh\n") {
			for line := range strings.Lines(script) {
				typeLine(t, strings.TrimSpace(line))
				typed++
			}
		}
	})
	showsRows(t, string(page))
	if typed != len(byHand())+3 {
		t.Errorf("%d lines are typed between the answers", typed)
	}
}

// showsRows looks for the lines of files that the tutorial shows.
func showsRows(t *testing.T, page string) {
	t.Helper()
	for name, row := range map[string]string{"board.csv": "`(beam,1,1,.*)`", "seated.csv": "    (1,.*)\n"} {
		file, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		shown := regexp.MustCompile(row).FindStringSubmatch(page)
		if shown == nil || !strings.Contains(string(file), "\n"+shown[1]+"\n") {
			t.Errorf("%s has no line %q", name, shown)
		}
	}
}

// byHand are the tutorial's lines that are the shell's, not ringtrue's: the test stands in
// such a folder, with such a book.
func byHand() []string {
	return []string{"go install ./cmd/ringtrue", "cp -r examples/first bench-0413", "cd bench-0413", "export RINGTRUE_BOOK=first.db"}
}

// typeLine runs a line of a block that shows no answer. The bench ends once it has said
// where it is.
func typeLine(t *testing.T, line string) {
	t.Helper()
	call, ours := strings.CutPrefix(line, "ringtrue ")
	if !ours {
		if !slices.Contains(byHand(), line) {
			t.Errorf("%q is no line that the test knows", line)
		}
		return
	}
	args, ctx := words(call), context.Background()
	var out bytes.Buffer
	if args[0] != "bench" {
		if status := cli.Run(ctx, args, strings.NewReader(""), &out, &out); status != 0 {
			t.Errorf("%s: status %d\n%s", line, status, out.String())
		}
		return
	}
	ctx, cancel := context.WithCancel(ctx)
	said := &endsAtFirst{cancel: cancel}
	cli.Run(ctx, append(args, "--listen", "127.0.0.1:0"), strings.NewReader(""), said, &out)
	if !strings.Contains(said.String(), "http://127.0.0.1:") {
		t.Errorf("%s says %q, %q", line, said.String(), out.String())
	}
}

// endsAtFirst ends what writes to it.
type endsAtFirst struct {
	bytes.Buffer
	cancel context.CancelFunc
}

func (w *endsAtFirst) Write(p []byte) (int, error) {
	w.cancel()
	return w.Buffer.Write(p)
}

// The tutorial takes half an hour: read at 200 words a minute, its calls typed at 40, by
// the minutes that it gives its parts.
func TestFirstNeck_HalfAnHour(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "docs", firstNeck))
	if err != nil {
		t.Fatal(err)
	}
	all := len(strings.Fields(string(page)))
	calls, typed := 0, 0
	for _, m := range regexp.MustCompile(`(?m)^(?:\$ )?(ringtrue .*|cp .*|cd .*|export .*|go install .*)$`).FindAllStringSubmatch(string(page), -1) {
		calls, typed = calls+1, typed+len(strings.Fields(m[1]))
	}
	given := 0
	for _, m := range regexp.MustCompile(`(?m)^## .* \((\d+) min\)$`).FindAllStringSubmatch(string(page), -1) {
		minutes, err := strconv.Atoi(m[1])
		if err != nil {
			t.Fatal(err)
		}
		given += minutes
	}
	worked := float64(all)/200 + float64(typed)/40
	t.Logf("%d words, %d calls of %d words: %.1f minutes; its parts say %d", all, calls, typed, worked, given)
	if all > 3600 || calls < 25 || calls > 35 || worked > 29 || given > 30 || float64(given) < worked {
		t.Errorf("%d words, %d calls of %d words: %.1f minutes; its parts say %d", all, calls, typed, worked, given)
	}
}
