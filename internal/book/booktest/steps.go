package booktest

import (
	"io/fs"
	"path"
	"strconv"
	"testing"
	"testing/fstest"
)

// Steps are a store's migrations, and the version that they lead to.
func Steps(t testing.TB, migrations fs.FS) (steps fstest.MapFS, version int) {
	t.Helper()
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil || len(names) == 0 {
		t.Fatalf("%d migrations, %v", len(names), err)
	}
	steps = fstest.MapFS{}
	for _, name := range names {
		data, err := fs.ReadFile(migrations, name)
		if err != nil {
			t.Fatal(err)
		}
		file := path.Base(name)
		steps[file] = &fstest.MapFile{Data: data}
		if version, err = strconv.Atoi(file[:5]); err != nil {
			t.Fatal(err)
		}
	}
	return steps, version
}
