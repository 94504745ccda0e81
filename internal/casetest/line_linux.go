package casetest

import (
	"fmt"
	"os"
	"testing"

	"golang.org/x/sys/unix"
)

// SerialLine is a serial line without a wire: what is written into Gauge can be
// read from the port of that name, by any program.
type SerialLine struct {
	Port  string
	Gauge *os.File
}

// NewSerialLine makes a pair of pseudo-terminals, or skips the test where the
// system has none. It is gone when the test ends, or with Unplug.
func NewSerialLine(t testing.TB) *SerialLine {
	t.Helper()
	f, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skip("this machine has no pseudo-terminals: ", err)
	}
	t.Cleanup(func() { _ = f.Close() }) // it may have been unplugged
	fd := int(f.Fd())
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	return &SerialLine{fmt.Sprintf("/dev/pts/%d", n), f}
}

// Send writes into the line.
func (l *SerialLine) Send(t testing.TB, text string) {
	t.Helper()
	if _, err := l.Gauge.WriteString(text); err != nil {
		t.Fatal(err)
	}
}

// Unplug ends the line: who reads the port is told that it is gone.
func (l *SerialLine) Unplug(t testing.TB) {
	t.Helper()
	if err := l.Gauge.Close(); err != nil {
		t.Fatal(err)
	}
}
