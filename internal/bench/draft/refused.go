package draft

import "fmt"

// Refused is an error of what was asked, in words for the maker; nothing was
// changed.
type Refused struct{ Words string }

// Error is the words.
func (r *Refused) Error() string { return r.Words }

func refused(format string, args ...any) error { return &Refused{fmt.Sprintf(format, args...)} }
