package necktest

import (
	"os"
	"path/filepath"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// Of is a neck file's neck, and its layout.
func Of(t testing.TB, toml string) (neck.Model, *geometry.Layout) {
	t.Helper()
	m, err := neck.Parse("neck.toml", []byte(toml))
	if err != nil {
		t.Fatal(err)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	return m, l
}

// Heron is the example neck.
func Heron(t testing.TB) (neck.Model, *geometry.Layout) {
	t.Helper()
	const file = "examples/heron.toml"
	for _, up := range []string{"../..", "../../.."} { // of internal/ROOM and internal/ROOM/PART
		if data, err := os.ReadFile(filepath.Join(up, file)); err == nil {
			return Of(t, string(data))
		}
	}
	t.Fatalf("no %s over this test's folder", file)
	return neck.Model{}, nil
}
