package neck

import (
	"strings"

	"ringtrue/internal/fileerr"
)

// Line is the line that a key such as "board.wood" stands on in a neck file, or
// its table's where the key took its default; 0 where neither stands there. It
// serves faults found after the file was read.
func Line(data []byte, key string) int {
	var faults fileerr.List
	n, _ := buildTree("", data, &faults)
	line := 0
	for _, part := range strings.Split(key, ".") {
		if n = n.child(part); n == nil {
			break
		}
		line = n.line
	}
	return line
}
