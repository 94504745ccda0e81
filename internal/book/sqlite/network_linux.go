package sqlite

import (
	"path/filepath"

	"golang.org/x/sys/unix"
)

// OnNetwork reports whether a file's folder lies on another machine's disk, or may: a
// file system in user space may be either. There SQLite's locks and its log's shared
// memory cannot be trusted ("Write-Ahead Logging", section 1, sqlite.org/wal.html; "How
// To Corrupt An SQLite Database File", section 2.1).
func OnNetwork(path string) bool {
	var fs unix.Statfs_t
	return unix.Statfs(filepath.Dir(path), &fs) == nil && isNetwork(int64(fs.Type))
}

// isNetwork knows file systems by their magic numbers (statfs(2)).
func isNetwork(magic int64) bool {
	switch magic & 0xffffffff {
	case unix.NFS_SUPER_MAGIC, unix.SMB_SUPER_MAGIC, unix.CIFS_SUPER_MAGIC, unix.SMB2_SUPER_MAGIC,
		unix.AFS_SUPER_MAGIC, unix.CEPH_SUPER_MAGIC, unix.CODA_SUPER_MAGIC, unix.FUSE_SUPER_MAGIC:
		return true
	}
	return false
}
