package cli

import (
	"fmt"

	"ringtrue/internal/job"
)

// tellClock says where records had to be dated later than the machine's clock.
func (s *streams) tellClock(added []job.BookAdded) {
	if late := job.ClockBehind(added...); late != "" {
		fmt.Fprintf(s.errOut, "ringtrue: %s\n", late)
	}
}
