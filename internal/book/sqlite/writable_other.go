//go:build !unix

package sqlite

import "io/fs"

// writable reports whether a file may be written.
func writable(_ string, info fs.FileInfo) bool { return info.Mode().Perm()&0o200 != 0 }
