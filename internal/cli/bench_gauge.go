package cli

import (
	"strconv"

	"github.com/spf13/pflag"

	"ringtrue/internal/bench/serialgauge"
)

// gaugeLine are the flags of a gauge on a serial line.
type gaugeLine struct{ port, speed, pattern string }

func (g *gaugeLine) flags(f *pflag.FlagSet) {
	f.StringVar(&g.port, "gauge", "", "read a gauge on this serial `PORT`, such as /dev/ttyUSB0 or COM3")
	f.StringVar(&g.speed, "gauge-speed", strconv.Itoa(serialgauge.DefaultSpeed), "`BAUD` of --gauge; with bits, parity and stop bits: 4800,7e2")
	f.StringVar(&g.pattern, "gauge-line", "", "`PATTERN` of its lines, a regular expression (default: plain forms)")
}

// open gives the gauge that was asked for, nil where none was. A port that is not
// there is no fault: it may be plugged in later.
func (g gaugeLine) open() (*serialgauge.Gauge, error) {
	if g.port == "" && g.speed != strconv.Itoa(serialgauge.DefaultSpeed) {
		return nil, inputErrorf("--gauge-speed works on a serial gauge; add --gauge PORT")
	}
	speed, err := serialgauge.NewSpeed(g.speed)
	if err != nil {
		return nil, inputErrorf("--gauge-speed: %w", err)
	}
	pattern, err := serialgauge.NewPattern(g.pattern)
	if err != nil {
		return nil, inputErrorf("--gauge-line: %w", err)
	}
	switch {
	case g.port != "":
		return serialgauge.New(g.port, speed, pattern), nil
	case g.pattern != "":
		return nil, inputErrorf("--gauge-line works on a serial gauge; add --gauge PORT")
	}
	return nil, nil
}
