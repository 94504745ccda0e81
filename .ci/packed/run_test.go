package packed

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
)

// TestRuns runs each program that this machine can run: it must print what the
// source prints here, to the letter.
func TestRuns(t *testing.T) {
	native := filepath.Join(t.TempDir(), "ringtrue")
	build := exec.Command("go", "build", "-trimpath", "-o", native, "./cmd/ringtrue")
	build.Dir = filepath.Join("..", "..")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	each(t, func(t *testing.T, a archive) {
		by, ok := runner(t, a)
		if !ok {
			return
		}
		program := append(by, a.program())
		want := fmt.Sprintf("ringtrue %s (%s, %s/%s)\n", a.version, runtime.Version(), a.system, a.arch)
		if got := run(t, a.dir, program, "version"); got != want {
			t.Errorf("version prints %q; want %q", got, want)
		}
		for _, c := range commands(t, a) {
			got, want := run(t, a.dir, program, c...), run(t, a.dir, []string{native}, c...)
			if got != want || want == "" {
				t.Errorf("%s prints\n%s\nwant\n%s", strings.Join(c, " "), got, want)
			}
		}
	})
}

// runner is what a program is run by here, and whether it can be. Where CI is
// true, a Linux program that cannot be run is a fault.
func runner(t *testing.T, a archive) (by []string, ok bool) {
	t.Helper()
	if a.system == runtime.GOOS && a.arch == runtime.GOARCH {
		return nil, true
	}
	machine := map[string]string{"arm64": "aarch64", "amd64": "x86_64"}[a.arch]
	if a.system == "linux" && runtime.GOOS == "linux" {
		for _, name := range []string{"qemu-" + machine + "-static", "qemu-" + machine} {
			if path, err := exec.LookPath(name); err == nil {
				return []string{path}, true
			}
		}
		if os.Getenv("CI") == "true" {
			t.Fatalf("qemu-%s-static is missing (Debian package qemu-user-static)", machine)
		}
		fmt.Printf("%s/%s was not run: qemu-%s-static is missing (Debian package qemu-user-static)\n", a.system, a.arch, machine)
		t.SkipNow()
	}
	fmt.Printf("%s/%s was looked at, not run: this is %s/%s\n", a.system, a.arch, runtime.GOOS, runtime.GOARCH)
	t.SkipNow()
	return nil, false
}

// commands are the first of the README, and what needs the book, the drawings
// and the contact run.
func commands(t *testing.T, a archive) [][]string {
	t.Helper()
	readme, err := os.ReadFile(filepath.Join(a.dir, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	first := regexp.MustCompile(`(?m)^go run \./cmd/ringtrue (.+)$`).FindSubmatch(readme)
	if first == nil {
		t.Fatal("the README shows no command")
	}
	return [][]string{
		strings.Fields(string(first[1])),
		{"play", "examples/heron.toml", "examples/heron-seated.csv"},
		{"book", "add", "0412", "examples/heron.toml", "examples/heron-seated.csv", "--stage", "seated", "--tag", "wire=lot7"},
		{"book", "check"},
	}
}

// run runs a command with a home of its own for each program, so that each
// begins its own book there, in the folder that is custom.
func run(t *testing.T, dir string, program []string, args ...string) string {
	t.Helper()
	home := filepath.Join(dir, "..", "home-"+filepath.Base(filepath.Dir(program[len(program)-1])))
	if err := os.MkdirAll(home, 0o755); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(program[0], append(program[1:], args...)...)
	c.Dir = dir
	c.Env = []string{"HOME=" + home, "PATH=" + os.Getenv("PATH")}
	var errOut strings.Builder
	c.Stderr = &errOut
	out, err := c.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", strings.Join(args, " "), err, errOut.String())
	}
	return string(out)
}
