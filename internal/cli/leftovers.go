package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"ringtrue/internal/text"
)

// stoppedAfter is how long nothing was written to an unfinished file before the program
// that wrote it is taken to be stopped.
const stoppedAfter = time.Hour

// leftover knows unfinished files of a book, a backup, a salvage and a picture, and
// folders of an export, by the names that the program gives them.
func leftover(name string) bool {
	return regexp.MustCompile(`^\.(ringtrue-((backup|salvage|book)-)?\d+(-wal|-shm|-journal)?|part-\d+)$`).MatchString(name)
}

// sweep removes what programs that were stopped left in folders, and says so. What
// cannot be removed stays: it is in nobody's way.
func (s *streams) sweep(now time.Time, dirs ...string) {
	for _, dir := range dirs {
		found, err := os.ReadDir(dir)
		if err != nil {
			continue // the command itself will say so
		}
		var gone []string
		for _, f := range found {
			info, err := f.Info()
			if err != nil || !leftover(f.Name()) || now.Sub(info.ModTime()) < stoppedAfter {
				continue
			}
			path := filepath.Join(dir, f.Name())
			switch {
			case info.IsDir() && strings.HasPrefix(f.Name(), ".part-"):
				err = os.RemoveAll(path)
			case info.Mode().IsRegular():
				err = os.Remove(path)
			default:
				continue
			}
			if err == nil {
				gone = append(gone, f.Name())
			}
		}
		if len(gone) > 0 {
			fmt.Fprintf(s.errOut, "ringtrue: %s: %s\n", dir, text.Swept(gone))
		}
	}
}
