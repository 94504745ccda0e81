package sqlite

import (
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"unsafe"

	"modernc.org/libc"
	sqlite3 "modernc.org/sqlite/lib"
)

// The shim is a layer between SQLite and the system's files, as SQLite's own
// tests put one there ("How SQLite Is Tested", sections 3.2 and 3.3,
// sqlite.org/testing.html): it becomes the default of this process, asks the disk that a folder is
// watched by, and hands on to the system's layer. A file keeps the system's
// structure; only its table of methods is replaced.

// shim is what the callbacks need; they have no other way to it.
var shim struct {
	once  sync.Once
	mu    sync.Mutex
	vfs   uintptr // the system's layer
	disks map[string]*disk
	open  map[uintptr]*opened // by SQLite's file
	ours  map[uintptr]uintptr // the system's methods to ours
}

// opened is a file of a watched folder, or one that nobody watches.
type opened struct {
	disk    *disk // nil: nobody's
	name    string
	methods *sqlite3.Tsqlite3_io_methods // the system's
	journal bool                         // new: its first sync keeps the folder's entries too
}

// of is the Go value at an address of SQLite's memory.
func of[T any](p uintptr) *T { return *(**T)(unsafe.Pointer(&p)) }

// callback is a function of Go as SQLite calls it; call the other way round.
func callback(f any) uintptr { return (*[2]uintptr)(unsafe.Pointer(&f))[1] }

func call[F any](p uintptr) F { return *(*F)(unsafe.Pointer(&struct{ uintptr }{p})) }

// watch has a disk watch what SQLite does in a folder.
func watch(t testing.TB, dir string, d *disk) {
	t.Helper()
	shim.once.Do(install)
	shim.mu.Lock()
	defer shim.mu.Unlock()
	shim.disks[dir] = d
	t.Cleanup(func() {
		shim.mu.Lock()
		defer shim.mu.Unlock()
		delete(shim.disks, dir)
	})
}

// install registers the layer. Its memory is SQLite's and stays.
func install() {
	tls := libc.NewTLS()
	shim.disks, shim.open, shim.ours = map[string]*disk{}, map[uintptr]*opened{}, map[uintptr]uintptr{}
	shim.vfs = sqlite3.Xsqlite3_vfs_find(tls, 0)
	p := libc.Xcalloc(tls, 1, libc.Tsize_t(unsafe.Sizeof(sqlite3.Tsqlite3_vfs{})))
	v := of[sqlite3.Tsqlite3_vfs](p)
	*v = *of[sqlite3.Tsqlite3_vfs](shim.vfs)
	name, err := libc.CString("ringtrue-test")
	if err != nil {
		panic(err)
	}
	v.FzName, v.FpNext = name, 0
	v.FxOpen, v.FxDelete, v.FxAccess = callback(xOpen), callback(xDelete), callback(xAccess)
	if rc := sqlite3.Xsqlite3_vfs_register(tls, p, 1); rc != sqlite3.SQLITE_OK {
		panic("the layer cannot be registered")
	}
}

// diskOf is the disk that watches a path.
func diskOf(path uintptr) (*disk, string) {
	if path == 0 { // a file without a name, for sorting
		return nil, ""
	}
	p := libc.GoString(path)
	shim.mu.Lock()
	defer shim.mu.Unlock()
	return shim.disks[filepath.Dir(p)], filepath.Base(p)
}

func fileOf(p uintptr) *opened {
	shim.mu.Lock()
	defer shim.mu.Unlock()
	return shim.open[p]
}

func xOpen(tls *libc.TLS, _, name, file uintptr, flags int32, out uintptr) int32 {
	d, base := diskOf(name)
	fresh := false
	if d != nil {
		if rc := d.ask("open", base); rc != 0 {
			of[sqlite3.Tsqlite3_file](file).FpMethods = 0
			return sqlite3.SQLITE_CANTOPEN
		}
		fresh = flags&sqlite3.SQLITE_OPEN_CREATE != 0 && !d.exists(base)
	}
	v := of[sqlite3.Tsqlite3_vfs](shim.vfs)
	rc := call[func(*libc.TLS, uintptr, uintptr, uintptr, int32, uintptr) int32](v.FxOpen)(tls, shim.vfs, name, file, flags, out)
	f := of[sqlite3.Tsqlite3_file](file)
	if rc != sqlite3.SQLITE_OK || d == nil || f.FpMethods == 0 {
		return rc
	}
	if fresh {
		d.note(event{kind: created, name: base})
	}
	shim.mu.Lock()
	defer shim.mu.Unlock()
	o := &opened{disk: d, name: base, journal: fresh && !strings.HasSuffix(base, ".db")}
	f.FpMethods, o.methods = replaced(tls, f.FpMethods)
	shim.open[file] = o
	return rc
}

// replaced is a table of methods that asks first, made once for each of the
// system's; and that one.
func replaced(tls *libc.TLS, methods uintptr) (uintptr, *sqlite3.Tsqlite3_io_methods) {
	theirs := of[sqlite3.Tsqlite3_io_methods](methods)
	if p, ok := shim.ours[methods]; ok {
		return p, theirs
	}
	p := libc.Xcalloc(tls, 1, libc.Tsize_t(unsafe.Sizeof(sqlite3.Tsqlite3_io_methods{})))
	m := of[sqlite3.Tsqlite3_io_methods](p)
	*m = *theirs
	m.FxClose, m.FxRead, m.FxWrite, m.FxTruncate = callback(xClose), callback(xRead), callback(xWrite), callback(xTruncate)
	m.FxSync, m.FxFileSize, m.FxLock, m.FxShmMap = callback(xSync), callback(xFileSize), callback(xLock), callback(xShmMap)
	shim.ours[methods] = p
	return p, theirs
}

func xDelete(tls *libc.TLS, _, name uintptr, syncDir int32) int32 {
	d, base := diskOf(name)
	if d != nil && d.ask("delete", base) != 0 {
		return sqlite3.SQLITE_IOERR_DELETE
	}
	v := of[sqlite3.Tsqlite3_vfs](shim.vfs)
	rc := call[func(*libc.TLS, uintptr, uintptr, int32) int32](v.FxDelete)(tls, shim.vfs, name, 0)
	if d != nil && rc == sqlite3.SQLITE_OK {
		d.note(event{kind: removed, name: base})
		if syncDir != 0 {
			d.note(event{kind: folderSynced})
		}
	}
	return rc
}

func xAccess(tls *libc.TLS, _, name uintptr, flags int32, out uintptr) int32 {
	if d, base := diskOf(name); d != nil && d.ask("access", base) != 0 {
		return sqlite3.SQLITE_IOERR_ACCESS
	}
	v := of[sqlite3.Tsqlite3_vfs](shim.vfs)
	return call[func(*libc.TLS, uintptr, uintptr, int32, uintptr) int32](v.FxAccess)(tls, shim.vfs, name, flags, out)
}

func xClose(tls *libc.TLS, file uintptr) int32 {
	o := fileOf(file)
	shim.mu.Lock()
	delete(shim.open, file)
	shim.mu.Unlock()
	return call[func(*libc.TLS, uintptr) int32](o.methods.FxClose)(tls, file)
}

func xRead(tls *libc.TLS, file, to uintptr, n int32, off int64) int32 {
	o := fileOf(file)
	if o.disk.ask("read", o.name) != 0 {
		return sqlite3.SQLITE_IOERR_READ
	}
	return call[func(*libc.TLS, uintptr, uintptr, int32, int64) int32](o.methods.FxRead)(tls, file, to, n, off)
}

// xWrite writes; a torn write puts down its first half and then fails.
func xWrite(tls *libc.TLS, file, from uintptr, n int32, off int64) int32 {
	o := fileOf(file)
	failed := o.disk.ask("write", o.name)
	put := n
	if failed != 0 {
		put = 0
	}
	if failed == torn {
		put = n / 2
	}
	rc := int32(sqlite3.SQLITE_OK)
	if put > 0 {
		rc = call[func(*libc.TLS, uintptr, uintptr, int32, int64) int32](o.methods.FxWrite)(tls, file, from, put, off)
		o.disk.note(event{kind: written, name: o.name, off: off, data: append([]byte(nil), unsafe.Slice(of[byte](from), put)...)})
	}
	switch {
	case failed == noRoom:
		return sqlite3.SQLITE_FULL
	case failed != 0:
		return sqlite3.SQLITE_IOERR_WRITE
	}
	return rc
}

func xTruncate(tls *libc.TLS, file uintptr, size int64) int32 {
	o := fileOf(file)
	if o.disk.ask("truncate", o.name) != 0 {
		return sqlite3.SQLITE_IOERR_TRUNCATE
	}
	o.disk.note(event{kind: cut, name: o.name, off: size})
	return call[func(*libc.TLS, uintptr, int64) int32](o.methods.FxTruncate)(tls, file, size)
}

// xSync only notes: the disk that loses power is ours, and the real one is
// spared the work. A sync that fails may have lost what it was to keep, and the
// next may not say so (as Linux has it, "PostgreSQL's fsync() surprise", LWN.net 2018).
func xSync(_ *libc.TLS, file uintptr, _ int32) int32 {
	o := fileOf(file)
	if o.disk.ask("sync", o.name) != 0 {
		o.disk.note(event{kind: syncLost, name: o.name})
		return sqlite3.SQLITE_IOERR_FSYNC
	}
	o.disk.note(event{kind: synced, name: o.name})
	if o.journal { // as os_unix.c does
		o.journal = false
		o.disk.note(event{kind: folderSynced})
	}
	return sqlite3.SQLITE_OK
}

func xFileSize(tls *libc.TLS, file, out uintptr) int32 {
	o := fileOf(file)
	if o.disk.ask("size", o.name) != 0 {
		return sqlite3.SQLITE_IOERR_FSTAT
	}
	return call[func(*libc.TLS, uintptr, uintptr) int32](o.methods.FxFileSize)(tls, file, out)
}

func xLock(tls *libc.TLS, file uintptr, kind int32) int32 {
	o := fileOf(file)
	if o.disk.ask("lock", o.name) != 0 {
		return sqlite3.SQLITE_IOERR_LOCK
	}
	return call[func(*libc.TLS, uintptr, int32) int32](o.methods.FxLock)(tls, file, kind)
}

func xShmMap(tls *libc.TLS, file uintptr, page, size, extend int32, out uintptr) int32 {
	o := fileOf(file)
	if rc := o.disk.ask("map", o.name); rc == noRoom {
		return sqlite3.SQLITE_IOERR_SHMSIZE
	} else if rc != 0 {
		return sqlite3.SQLITE_IOERR_SHMMAP
	}
	return call[func(*libc.TLS, uintptr, int32, int32, int32, uintptr) int32](o.methods.FxShmMap)(tls, file, page, size, extend, out)
}
