package text

import (
	"fmt"

	"ringtrue/internal/relief"
)

// StrungShape says with which bow readings taken strung were judged.
func StrungShape(n *relief.Neck, b relief.Bow) string {
	by := "strings"
	if b.RodN != 0 {
		by = "strings and rod"
	}
	return fmt.Sprintf("read strung: judged with the bow of %s, %.2f mm to fret %d, by beam theory; what comes off comes off slack", by, b.ReliefMM, b.To)
}
