package cli

import (
	"fmt"

	"ringtrue/internal/book"
	"ringtrue/internal/text"
)

// tellClock says where records had to be dated later than the machine's clock.
func (s *streams) tellClock(added []book.Added) {
	if late := text.ClockBehind(book.Late(added)); late != "" {
		fmt.Fprintf(s.errOut, "ringtrue: %s\n", late)
	}
}
