package cli

import (
	"fmt"
	"os"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"
)

// progress shows how far a long work has come, where messages go to a terminal;
// else it shows nothing. end clears the line.
func (s *streams) progress(what string) (tell func(done, total int), end func()) {
	f, ok := s.errOut.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return func(int, int) {}, func() {}
	}
	const pause = 100 * time.Millisecond // quicker than this nobody reads
	var (
		one   sync.Mutex // several workers tell
		shown time.Time
		width int // of the longest line yet: spaces clear what stands there, on every terminal
	)
	tell = func(done, total int) {
		one.Lock()
		defer one.Unlock()
		if time.Since(shown) < pause {
			return
		}
		shown = time.Now()
		line := fmt.Sprintf("%s %d of %d", what, done, total)
		width = max(width, len(line))
		fmt.Fprintf(f, "\r%-*s", width, line)
	}
	return tell, func() {
		one.Lock()
		defer one.Unlock()
		if width > 0 {
			fmt.Fprintf(f, "\r%s\r", strings.Repeat(" ", width))
		}
	}
}
