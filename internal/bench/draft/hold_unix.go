//go:build unix

package draft

import (
	"errors"
	"fmt"
	"os"
	"syscall"
)

const canSyncDir = true

// hold takes a lock that ends with the process, however that ends.
func hold(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, entryMode)
	if err != nil {
		return nil, err
	}
	err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return nil, errors.Join(fmt.Errorf("%s: %w", path, ErrHeld), f.Close())
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}
