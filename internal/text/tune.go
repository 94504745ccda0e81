package text

import (
	"fmt"
	"strings"

	"ringtrue/internal/tune"
)

// TuneBasis says in a few words what state the neck is in and how it is pressed.
func TuneBasis(perfect, planned bool, f tune.Finger, a4Hz float64) string {
	parts := []string{"crowns as read"}
	if perfect {
		parts[0] = "perfect crowns"
	}
	if planned {
		parts[0] = "crowns as planned, after levelling"
	}
	press := "pressed just onto the crown"
	if f.DepthMM > 0 {
		press = fmt.Sprintf("pressed %.4g mm below the crowns, %.3g mm behind the fret", f.DepthMM, f.BehindMM)
	}
	return strings.Join(append(parts, press, fmt.Sprintf("A4 = %.4g Hz", a4Hz)), "; ")
}
