package serialgauge

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"
	"syscall"
	"time"

	"go.bug.st/serial"
)

// What is wrong with a port. Anything else is the system's own account.
var (
	ErrMissing = errors.New("the port is not there")
	ErrBusy    = errors.New("another program has the port")
	ErrDenied  = errors.New("no permission to read the port")
	ErrNoPort  = errors.New("not a serial port")
)

// DefaultSpeed is what most gauges are set to, in baud.
const DefaultSpeed = 9600

// Speed is how a gauge sends: baud, bits of a letter, parity and stop bits.
type Speed struct{ mode serial.Mode }

// NewSpeed reads a speed: 9600, or with bits, parity (n, e or o) and stop bits
// 4800,7e2. Without them it is 8n1. Errors say what to write.
func NewSpeed(text string) (Speed, error) {
	baud, frame, framed := strings.Cut(strings.TrimSpace(text), ",")
	n, err := strconv.Atoi(baud)
	if err != nil || n < 50 || n > 4_000_000 {
		return Speed{}, fmt.Errorf("%q is not a speed; write it like 9600", text)
	}
	if !framed {
		frame = "8n1"
	}
	m := serial.Mode{BaudRate: n, DataBits: 8}
	parity := map[byte]serial.Parity{'n': serial.NoParity, 'e': serial.EvenParity, 'o': serial.OddParity}
	stop := map[byte]serial.StopBits{'1': serial.OneStopBit, '2': serial.TwoStopBits}
	frame = strings.ToLower(strings.TrimSpace(frame))
	if len(frame) != 3 || frame[0] != '7' && frame[0] != '8' {
		return Speed{}, badFrame(text)
	}
	var parityKnown, stopKnown bool
	m.DataBits = int(frame[0] - '0')
	m.Parity, parityKnown = parity[frame[1]]
	m.StopBits, stopKnown = stop[frame[2]]
	if !parityKnown || !stopKnown {
		return Speed{}, badFrame(text)
	}
	return Speed{m}, nil
}

func badFrame(text string) error {
	return fmt.Errorf("%q: after the comma write bits, parity and stop bits, like 4800,7e2", text)
}

// patience is how long a read waits before it looks whether it is to end.
const patience = 200 * time.Millisecond

// open opens a port for reading.
func open(name string, s Speed) (io.ReadCloser, error) {
	mode := s.mode
	p, err := serial.Open(name, &mode)
	if err != nil {
		return nil, plainly(err)
	}
	if err := p.SetReadTimeout(patience); err != nil {
		return nil, errors.Join(plainly(err), p.Close())
	}
	return p, nil
}

// plainly tells what is wrong with a port in our words, as far as it is known.
func plainly(err error) error {
	var known *serial.PortError
	if errors.As(err, &known) {
		switch known.Code() {
		case serial.PortBusy:
			return ErrBusy
		case serial.PermissionDenied:
			return ErrDenied
		case serial.PortNotFound, serial.PortClosed:
			return ErrMissing
		case serial.InvalidSerialPort:
			return ErrNoPort
		}
	}
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.EIO), errors.Is(err, syscall.ENXIO), errors.Is(err, syscall.ENODEV): // the last three: unplugged while it was read
		return ErrMissing
	case errors.Is(err, fs.ErrPermission):
		return ErrDenied
	}
	return err
}
