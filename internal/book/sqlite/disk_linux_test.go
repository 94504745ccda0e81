package sqlite

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
)

// Ways in which a disk fails at a call.
const (
	noFault = iota
	failed  // EIO
	noRoom  // ENOSPC
	torn    // half a write, then EIO
)

// disk watches a folder: it numbers the calls, fails where it is told to, and
// writes down what changes a file.
type disk struct {
	dir     string
	skipped int // calls that are not made to fail

	mu     sync.Mutex
	calls  int
	fail   func(n int, what string) int // nil: never
	events []event
}

// Kinds of event.
const (
	written = iota
	cut
	synced
	syncLost
	created
	removed
	linked
	folderSynced
	promised // the book said what is there
)

type event struct {
	kind int
	name string
	to   string // of a link
	off  int64  // of a write; a cut's size
	data []byte
	told promises
}

func (e event) String() string {
	kinds := [...]string{"written", "cut", "synced", "sync lost", "created", "removed", "linked", "folder synced", "promised"}
	return fmt.Sprintf("%s %s, %d bytes at %d", kinds[e.kind], e.name, len(e.data), e.off)
}

func newDisk(t testing.TB) *disk {
	t.Helper()
	d := &disk{dir: t.TempDir()}
	watch(t, d.dir, d)
	return d
}

func (d *disk) path(name string) string { return filepath.Join(d.dir, name) }

// ask counts a call and says how it fails.
func (d *disk) ask(what, name string) int {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.calls++
	if d.fail == nil {
		return noFault
	}
	return d.fail(d.calls, what)
}

func (d *disk) note(e event) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.events = append(d.events, e)
}

// set says how calls fail from now on, and counts them from 1.
func (d *disk) set(fail func(n int, what string) int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.calls, d.fail = 0, fail
}

func (d *disk) count() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.calls
}

func (d *disk) exists(name string) bool {
	_, err := os.Lstat(d.path(name))
	return err == nil
}

// The disk is a backup's files, too.

// do counts a call, and does it where it does not fail.
func (d *disk) do(what string, then func() error, e ...event) error {
	if rc := d.ask(what, ""); rc != noFault {
		errno := syscall.EIO
		if rc == noRoom {
			errno = syscall.ENOSPC
		}
		return &fs.PathError{Op: what, Path: d.dir, Err: errno}
	}
	err := then()
	if err == nil {
		for _, e := range e {
			d.note(e)
		}
	}
	return err
}

func (d *disk) temp(dir, pattern string) (path string, err error) {
	err = d.do("temp", func() error { path, err = system{}.temp(dir, pattern); return err })
	if err == nil {
		d.note(event{kind: created, name: filepath.Base(path)})
	}
	return path, err
}

func (d *disk) sync(path string) error {
	e := event{kind: synced, name: filepath.Base(path)}
	if path == d.dir {
		e = event{kind: folderSynced}
	}
	return d.do("sync", func() error { return nil }, e)
}

func (d *disk) link(from, to string) error {
	return d.do("link", func() error { return system{}.link(from, to) }, event{kind: linked, name: filepath.Base(from), to: filepath.Base(to)})
}

func (d *disk) reserve(path string) error {
	return d.do("open", func() error { return system{}.reserve(path) }, event{kind: created, name: filepath.Base(path)})
}

func (d *disk) rename(from, to string) error {
	return d.do("rename", func() error { return system{}.rename(from, to) },
		event{kind: linked, name: filepath.Base(from), to: filepath.Base(to)}, event{kind: removed, name: filepath.Base(from)})
}

func (d *disk) remove(path string) error {
	return d.do("delete", func() error { return system{}.remove(path) }, event{kind: removed, name: filepath.Base(path)})
}

// inode is a file: what is safe of it, and what came since.
type inode struct {
	safe    []byte
	pending []event
}

// entry is a change of the folder that is not safe yet.
type entry struct {
	name string
	node *inode // nil: the name is gone
}

// platter is what a disk holds: names and files, safe or not.
type platter struct {
	safe    map[string]*inode
	names   map[string]*inode
	pending []entry
	told    promises
}

// platterOf has the files of a folder, all safe.
func platterOf(t testing.TB, dir string) *platter {
	t.Helper()
	p := &platter{safe: map[string]*inode{}, names: map[string]*inode{}}
	for name, data := range filesOf(t, dir) {
		n := &inode{safe: data}
		p.safe[name], p.names[name] = n, n
	}
	return p
}

// filesOf reads a folder, without the logs' indexes: after a loss of power
// nobody trusts them.
func filesOf(t testing.TB, dir string) map[string][]byte {
	t.Helper()
	found, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string][]byte{}
	for _, f := range found {
		if strings.HasSuffix(f.Name(), "-shm") {
			continue
		}
		if all[f.Name()], err = os.ReadFile(filepath.Join(dir, f.Name())); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// apply brings the platter on by an event; true where something changed that a
// loss of power may take away or leave.
func (p *platter) apply(e event) bool {
	node := p.names[e.name]
	if node == nil && (e.kind == written || e.kind == cut || e.kind == synced || e.kind == syncLost) {
		return false // its name is gone
	}
	switch e.kind {
	case written, cut:
		node.pending = append(node.pending, e)
	case synced:
		for _, w := range node.pending {
			node.safe = w.onto(node.safe)
		}
		node.pending = nil
	case syncLost:
		node.pending = nil
	case created:
		node = &inode{}
		p.names[e.name], p.pending = node, append(p.pending, entry{e.name, node})
	case removed:
		delete(p.names, e.name)
		p.pending = append(p.pending, entry{e.name, nil})
	case linked:
		p.names[e.to], p.pending = node, append(p.pending, entry{e.to, node})
	case folderSynced:
		p.safe, p.pending = maps.Clone(p.names), nil
	case promised:
		p.told = e.told
	}
	return true
}

// onto writes into a file's bytes, and gives new ones.
func (e event) onto(file []byte) []byte {
	if e.kind == cut {
		out := make([]byte, e.off)
		copy(out, file)
		return out
	}
	out := make([]byte, max(len(file), int(e.off)+len(e.data)))
	copy(out, file)
	copy(out[e.off:], e.data)
	return out
}

// sector is what a disk writes whole or not at all.
const sector = 512

// left is what is in the folder after a loss of power: of all that is not safe
// nothing where rng is nil, else any of it, sector by sector and name by name.
func (p *platter) left(rng *rand.Rand) map[string][]byte {
	names := maps.Clone(p.safe)
	for _, e := range p.pending {
		switch {
		case rng == nil || rng.IntN(2) == 0:
		case e.node == nil:
			delete(names, e.name)
		default:
			names[e.name] = e.node
		}
	}
	kept := map[*inode][]byte{} // one file may have two names
	files := map[string][]byte{}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		node := names[name]
		if _, done := kept[node]; !done {
			kept[node] = node.left(rng)
		}
		files[name] = kept[node]
	}
	return files
}

func (n *inode) left(rng *rand.Rand) []byte {
	file := n.safe
	for _, w := range n.pending {
		if rng == nil || rng.IntN(4) == 0 {
			continue
		}
		if w.kind == cut {
			file = w.onto(file)
			continue
		}
		for from := 0; from < len(w.data); from += sector {
			if rng.IntN(4) > 0 {
				file = event{off: w.off + int64(from), data: w.data[from:min(from+sector, len(w.data))]}.onto(file)
			}
		}
	}
	return file
}

// sum tells states apart.
func sum(files map[string][]byte, told promises) [sha256.Size]byte {
	h := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(files)) {
		fmt.Fprintf(h, "%s %v %x\n", name, told, sha256.Sum256(files[name]))
	}
	return [sha256.Size]byte(h.Sum(nil))
}

// lay writes a state into a folder of its own.
func lay(t testing.TB, dir string, files map[string][]byte) {
	t.Helper()
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
