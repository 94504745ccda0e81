package cli

import (
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress shows how far a long work has come, where messages go to a terminal;
// else it shows nothing. end clears the line.
func (s *streams) progress(what string) (tell func(done, total int), end func()) {
	f, ok := s.errOut.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return func(int, int) {}, func() {}
	}
	var bar *progressbar.ProgressBar
	tell = func(done, total int) {
		if bar == nil {
			bar = progressbar.NewOptions(total, progressbar.OptionSetWriter(f), progressbar.OptionSetDescription(what),
				progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionShowCount(), progressbar.OptionClearOnFinish())
		}
		bar.ChangeMax(total)
		_ = bar.Set(done) // a picture on the terminal; the work does not hang on it
	}
	return tell, func() {
		if bar != nil {
			_ = bar.Clear()
		}
	}
}
