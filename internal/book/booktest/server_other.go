//go:build !unix

package booktest

import (
	"syscall"
	"testing"
)

// asUser is how a program is started as another user; here it stays the same.
func asUser(int, int) *syscall.SysProcAttr { return nil }

// hold would stop processes where they stand, which this system cannot.
func hold(t testing.TB, _ []int) { t.Skip("processes cannot be stopped and let go here") }
func letGo(testing.TB, []int)    {}
