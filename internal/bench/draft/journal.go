package draft

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"strconv"
)

// ErrDamaged marks a journal with a bad line before its last one.
var ErrDamaged = errors.New("damaged")

// longestLine is the longest line that a journal may have: a readings file
// taken in, in base 64, and room.
const longestLine = 16 << 20

// line is an event as a line of a journal: a checksum, the JSON, a line end.
func (e Event) line() ([]byte, error) {
	data, err := json.Marshal(e)
	if err != nil {
		return nil, err
	}
	return fmt.Appendf(nil, "%08x %s\n", crc32.ChecksumIEEE(data), data), nil
}

// parseLine reads a line without its end.
func parseLine(line []byte) (Event, error) {
	var e Event
	sum, data, ok := bytes.Cut(line, []byte(" "))
	if !ok || len(sum) != 8 {
		return e, ErrDamaged
	}
	want, err := strconv.ParseUint(string(sum), 16, 32)
	if err != nil || crc32.ChecksumIEEE(data) != uint32(want) {
		return e, ErrDamaged
	}
	if err := json.Unmarshal(data, &e); err != nil {
		return e, ErrDamaged
	}
	return e, nil
}

// readJournal reads the events of a journal. whole is the length of what is
// sound: a last line that was torn ends there. ErrDamaged: a line before the
// last is bad.
func readJournal(r io.Reader) (events []Event, whole int64, err error) {
	in := bufio.NewReaderSize(r, 64<<10)
	for {
		line, err := readLine(in)
		if errors.Is(err, io.EOF) {
			return events, whole, nil // what stands without a line end was torn
		}
		if err != nil {
			return nil, 0, err
		}
		e, err := parseLine(line[:len(line)-1])
		if err == nil && e.Version != len(events)+1 {
			err = ErrDamaged
		}
		if err != nil {
			if _, more := in.Peek(1); errors.Is(more, io.EOF) {
				return events, whole, nil
			}
			return nil, 0, fmt.Errorf("line %d: %w", len(events)+1, err)
		}
		events = append(events, e)
		whole += int64(len(line))
	}
}

func readLine(in *bufio.Reader) ([]byte, error) {
	var line []byte
	for {
		part, err := in.ReadSlice('\n')
		line = append(line, part...)
		switch {
		case err == nil:
			return line, nil
		case !errors.Is(err, bufio.ErrBufferFull):
			return line, err
		case len(line) > longestLine:
			return nil, fmt.Errorf("a line is too long: %w", ErrDamaged)
		}
	}
}

// journal is an open file to which lines are added.
type journal struct {
	file *os.File
	size int64 // of what is sound
	bad  error // a write failed and could not be taken back
}

// add appends an event; it is safe on disk when add returns. After an error
// nothing was added.
func (j *journal) add(e Event) error {
	if j.bad != nil {
		return j.bad
	}
	line, err := e.line()
	if err != nil {
		return err
	}
	if _, err = j.file.WriteAt(line, j.size); err == nil {
		err = j.file.Sync()
	}
	if err != nil {
		// Half a line must not stay: the next one would follow it.
		if cut := j.file.Truncate(j.size); cut != nil {
			j.bad = fmt.Errorf("an earlier write failed and could not be cut off: %w", cut)
		}
		return err
	}
	j.size += int64(len(line))
	return nil
}
