package text

import (
	"fmt"
	"strings"

	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
)

// PlayAssumed says what was taken for something that the neck file does not give.
func PlayAssumed(x play.Assumed, n *play.Neck) string {
	m := n.Model
	switch x.Key {
	case play.AssumedGauge:
		gauges := make([]string, len(x.Strings))
		for i, s := range x.Strings {
			gauges[i] = fmt.Sprintf("%.3f", m.Strings.Set[s-1].Gauge)
		}
		return fmt.Sprintf("%s: gauge %s mm by pitch, as the Heron's", stringsNamed(x.Strings), strings.Join(gauges, ", "))
	case play.AssumedWrap:
		return fmt.Sprintf("%s: wound with %s", stringsNamed(x.Strings), stringset.UsualWrap)
	case play.AssumedCore:
		cores := make([]string, len(x.Strings))
		for i, s := range x.Strings {
			cores[i] = fmt.Sprintf("%.2f", n.Strings[s-1].CoreMM)
		}
		return fmt.Sprintf("%s: core %s mm by gauge, within %.0f %%", stringsNamed(x.Strings), strings.Join(cores, ", "), 100*stringset.CoreDoubt)
	case play.AssumedDecay:
		d := m.Strings.Damping
		return strings.Replace(fmt.Sprintf("decay of an electric: %g + πf/%g + %g f² per s, stopped notes %g f more", d.Base, d.Q, d.Square, d.Finger), "e-0", "e-", 1)
	case play.AssumedBow:
		end := "the last fret"
		if m.Setup.ReliefTo == m.Body.Joint {
			end = "the body joint"
		}
		return fmt.Sprintf("the strung neck's bow ends at %s, fret %d", end, m.Setup.ReliefTo)
	}
	return "the touches are this program's own"
}

// PlayMore names what the long listing adds, where so many things were assumed.
func PlayMore(assumed int) string {
	switch assumed {
	case 0:
		return "every note, actions, metal and reasons"
	case 1:
		return "every note, actions, metal, reasons, 1 assumption"
	}
	return fmt.Sprintf("every note, actions, metal, reasons, %d assumptions", assumed)
}

// PlayAssumedHead heads the list of what was assumed.
const PlayAssumedHead = "Assumed (write the key to replace it)"
