//go:build unix

package sqlite

import (
	"io/fs"
	"syscall"
)

// writable reports whether this user may write a file; a read-only disk says no.
func writable(path string, _ fs.FileInfo) bool {
	const mayWrite = 2 // W_OK of access(2)
	return syscall.Access(path, mayWrite) == nil
}
