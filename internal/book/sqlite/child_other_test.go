//go:build !linux

package sqlite

import "fmt"

func childOfThisSystem(what, _ string) error { return fmt.Errorf("no such work: %s", what) }
