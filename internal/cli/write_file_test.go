package cli

import (
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

func TestWriteFile(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("modes and links are those of other systems")
	}
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	put := func(path string, mode fs.FileMode) {
		t.Helper()
		if err := os.WriteFile(path, []byte("old"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
	}
	link := func(to, name string) {
		t.Helper()
		if err := os.Symlink(to, at(name)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(at("far"), 0o755); err != nil {
		t.Fatal(err)
	}
	put(at("own.svg"), 0o600)
	put(at("all.svg"), 0o664)
	put(at("far/target.svg"), 0o640)
	link(filepath.Join("far", "target.svg"), "link.svg")
	link("link.svg", "twice.svg")
	link(at("far/none.svg"), "dangling.svg")
	link("round.svg", "round.svg")
	for _, c := range []struct {
		name, place string
		mode        fs.FileMode // 0: refused
	}{
		{"new.svg", "new.svg", 0o644},
		{"own.svg", "own.svg", 0o600},
		{"all.svg", "all.svg", 0o664},
		{"link.svg", "far/target.svg", 0o640},
		{"twice.svg", "far/target.svg", 0o640},
		{"dangling.svg", "far/none.svg", 0o644},
		{"round.svg", "", 0},
		{"far", "", 0},
		{"nowhere/x.svg", "", 0},
	} {
		before, _ := os.Readlink(at(c.name))
		err := writeFile(at(c.name), []byte("picture of "+c.name))
		if (err == nil) != (c.mode != 0) {
			t.Errorf("%s: %v", c.name, err)
		}
		if after, _ := os.Readlink(at(c.name)); after != before {
			t.Errorf("%s: the link became %q", c.name, after)
		}
		if c.mode == 0 {
			continue
		}
		data, err := os.ReadFile(at(c.place))
		if err != nil || string(data) != "picture of "+c.name {
			t.Errorf("%s: %q, %v", c.name, data, err)
		}
		if info, err := os.Lstat(at(c.place)); err != nil || info.Mode() != c.mode {
			t.Errorf("%s: mode %v, want %v (%v)", c.name, info.Mode(), c.mode, err)
		}
	}
	if err := writeFile(os.DevNull, []byte("x")); err != nil {
		t.Errorf("%s: %v", os.DevNull, err)
	}
	if info, err := os.Stat(os.DevNull); err != nil || info.Mode().IsRegular() {
		t.Errorf("%s was replaced: %v", os.DevNull, err)
	}
	if stray, err := filepath.Glob(at(".ringtrue-*")); err != nil || len(stray) > 0 {
		t.Errorf("left behind: %v, %v", stray, err)
	}
}
