//go:build !unix

package draft

import "os"

const canSyncDir = false

// hold opens the lock's file; a system without locks of this kind lets two
// programs in.
func hold(path string) (*os.File, error) {
	return os.OpenFile(path, os.O_RDWR|os.O_CREATE, entryMode)
}
