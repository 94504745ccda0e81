//go:build unix

package booktest

import (
	"errors"
	"syscall"
	"testing"
)

// asUser is how a program is started as another user.
func asUser(uid, gid int) *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
}

// hold stops processes where they stand; letGo lets them go on.
func hold(t testing.TB, pids []int)  { signal(t, pids, syscall.SIGSTOP) }
func letGo(t testing.TB, pids []int) { signal(t, pids, syscall.SIGCONT) }

func signal(t testing.TB, pids []int, how syscall.Signal) {
	t.Helper()
	for _, pid := range pids {
		if err := syscall.Kill(pid, how); err != nil && !errors.Is(err, syscall.ESRCH) {
			t.Error(err)
		}
	}
}
