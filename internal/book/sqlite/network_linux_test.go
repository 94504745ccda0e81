package sqlite

import (
	"path/filepath"
	"testing"
)

// Magic numbers: statfs(2) of the Linux man-pages, from memory.
func TestIsNetwork_Statfs(t *testing.T) {
	for name, c := range map[string]struct {
		magic int64
		want  bool
	}{
		"nfs": {0x6969, true}, "smb": {0x517b, true}, "cifs": {0xff534d42, true}, "cifs, of 32 bits": {-0xacb2be, true}, "smb2": {0xfe534d42, true},
		"fuse": {0x65735546, true}, "ext4": {0xef53, false}, "tmpfs": {0x01021994, false}, "btrfs": {0x9123683e, false}, "xfs": {0x58465342, false},
	} {
		if got := isNetwork(c.magic); got != c.want {
			t.Errorf("%s (%#x): %v", name, c.magic, got)
		}
	}
	if OnNetwork(filepath.Join("/proc", "book.db")) || OnNetwork(filepath.Join(t.TempDir(), "none", "book.db")) {
		t.Error("no network is there")
	}
}
