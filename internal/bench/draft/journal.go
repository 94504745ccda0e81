package draft

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"strconv"
)

// ErrDamaged marks a line of a journal that is not as it was written.
var ErrDamaged = errors.New("damaged")

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

// contents is what the bytes of a journal are.
type contents struct {
	events   []Event
	sound    []byte   // the lines of events, the repaired ones as they should be
	damaged  [][]byte // as they were found, line ends and all
	repaired int      // lines of events that were damaged
	lost     int      // damaged lines that no event could be made of
	torn     []byte   // a last line without its end: a crash tore it
}

// readJournal reads a journal. What is damaged is repaired where one bit did it,
// else passed over.
func readJournal(data []byte) (c contents) {
	for len(data) > 0 {
		end := bytes.IndexByte(data, '\n')
		if end < 0 && !endFlipped(data) {
			c.torn = data
			break
		}
		if end < 0 {
			end = len(data) - 1
		} else if e, err := parseLine(data[:end]); err == nil && e.Version > c.last() {
			c.events, c.sound, data = append(c.events, e), append(c.sound, data[:end+1]...), data[end+1:]
			continue
		}
		lines, used := mend(data, end)
		c.damaged = append(c.damaged, data[:used])
		c.take(lines)
		data = data[used:]
	}
	return c
}

// last is the version of the last event.
func (c *contents) last() int {
	if len(c.events) == 0 {
		return 0
	}
	return c.events[len(c.events)-1].Version
}

// take takes repaired lines; none is a line that is lost.
func (c *contents) take(lines [][]byte) {
	taken := 0
	for _, l := range lines {
		if e, err := parseLine(l); err == nil && e.Version > c.last() {
			c.events, c.sound = append(c.events, e), append(append(c.sound, l...), '\n')
			taken++
		}
	}
	c.repaired += taken
	if taken == 0 {
		c.lost++
	}
}

// missing is how many changes are not there by their numbers.
func (c *contents) missing() int { return c.last() - len(c.events) }

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
