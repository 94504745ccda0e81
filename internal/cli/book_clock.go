package cli

import (
	"fmt"

	"ringtrue/internal/answer"
)

// tellClock says where records had to be dated later than the machine's clock.
func (s *streams) tellClock(added []answer.BookAdded) {
	if late := answer.ClockBehind(added...); late != "" {
		fmt.Fprintf(s.errOut, "ringtrue: %s\n", late)
	}
}
