//go:build sweep && unix

package book

import (
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"
	"modernc.org/libc"
	sqlite3 "modernc.org/sqlite/lib"
)

// faulty is a disk under the files of one folder: it can fail one call of SQLite's, and it remembers what a power cut would leave of them.
type faulty struct {
	dir string

	mu     sync.Mutex
	calls  []string       // what was asked for, "sync book-wal"
	fail   int            // the call that fails, from 0; −1 for none
	full   bool           // it fails as a full disk does
	apart  bool           // who opens a file sees no locks of others, as if each were on a machine of its own
	cut    int            // the call before which the power is cut, from 0; −1 for never
	random *rand.Rand     // how the cut hits
	left   map[string]any // what the cut left, nil for a file that is not there
	files  map[string]*platter
	opened map[uintptr]*platter // by SQLite's handle
}

// platter is a file as it is on the disk for certain, and what was written to it since.
type platter struct {
	name    string
	there   bool // its name is on the disk for certain
	gone    bool // it was deleted, which may not be on the disk yet
	durable []byte
	pending []written
}

// written is bytes at a place, or a new length.
type written struct {
	at   int64
	data []byte
	cut  bool
}

func (c written) to(file []byte) []byte {
	if c.cut {
		if c.at < int64(len(file)) {
			return slices.Clone(file[:c.at])
		}
		return file
	}
	if grow := c.at + int64(len(c.data)) - int64(len(file)); grow > 0 {
		file = append(slices.Clone(file), make([]byte, grow)...)
	}
	copy(file[c.at:], c.data)
	return file
}

// sector is the least that a disk writes whole.
const sector = 512

// after is what a power cut leaves: of what was not synced each change wholly, in part, or not at all, in any order.
func (p *platter) after(random *rand.Rand) any {
	if !p.there && random.IntN(2) == 0 {
		return nil
	}
	file := slices.Clone(p.durable)
	pending := slices.Clone(p.pending)
	if random.IntN(2) == 0 {
		random.Shuffle(len(pending), func(i, j int) { pending[i], pending[j] = pending[j], pending[i] })
	}
	for _, c := range pending {
		switch random.IntN(3) {
		case 0:
			continue
		case 1:
			c.data = c.data[:random.IntN(len(c.data)/sector+1)*sector]
		}
		file = c.to(file)
	}
	return file
}

// disks are those that stand, by folder. SQLite knows one way to files for the whole process; what lies in no such folder goes by untouched.
var (
	disks     sync.Map
	underAll  sync.Once
	plain     sqlite3.Tsqlite3_vfs       // as it was
	wrapped   sqlite3.Tsqlite3_vfs       // as it is
	methods   = map[uintptr]*ioMethods{} // by the table that SQLite has
	methodsOf = map[uintptr]*ioMethods{} // by the table that it had
	methodsMu sync.RWMutex
)

type ioMethods struct{ was, is sqlite3.Tsqlite3_io_methods }

// at is what lies at an address of SQLite's.
func at[T any](address uintptr) *T { return *(**T)(unsafe.Pointer(&address)) }

// function is what an address in one of SQLite's tables stands for.
func function[F any](address uintptr) F {
	box := struct{ f uintptr }{address}
	return *(*F)(unsafe.Pointer(&box))
}

// setSlot puts a function into one of SQLite's tables.
func setSlot[F any](slot *uintptr, f F) { *(*F)(unsafe.Pointer(slot)) = f }

type (
	openFunc   = func(*libc.TLS, uintptr, uintptr, uintptr, int32, uintptr) int32
	deleteFunc = func(*libc.TLS, uintptr, uintptr, int32) int32
	closeFunc  = func(*libc.TLS, uintptr) int32
	ioFunc     = func(*libc.TLS, uintptr, uintptr, int32, int64) int32
	resizeFunc = func(*libc.TLS, uintptr, int64) int32
	syncFunc   = func(*libc.TLS, uintptr, int32) int32
	lockedFunc = func(*libc.TLS, uintptr, uintptr) int32
)

// newFaulty lets SQLite's files of a folder lie on such a disk.
func newFaulty(t *testing.T, dir string) *faulty {
	t.Helper()
	underAll.Do(putUnder)
	d := &faulty{dir: dir, fail: -1, cut: -1, files: map[string]*platter{}, opened: map[uintptr]*platter{}}
	disks.Store(dir, d)
	t.Cleanup(func() { disks.Delete(dir) })
	return d
}

// putUnder puts the disks under all that SQLite opens from now on.
func putUnder() {
	tls := libc.NewTLS()
	original := sqlite3.Xsqlite3_vfs_find(tls, 0)
	plain = *at[sqlite3.Tsqlite3_vfs](original)
	wrapped = plain
	name, err := libc.CString("faulty")
	if err != nil {
		panic(err)
	}
	wrapped.FzName = name
	setSlot[openFunc](&wrapped.FxOpen, openFile)
	setSlot[deleteFunc](&wrapped.FxDelete, deleteFile)
	if code := sqlite3.Xsqlite3_vfs_register(tls, uintptr(unsafe.Pointer(&wrapped)), 1); code != sqlite3.SQLITE_OK {
		panic(code)
	}
}

func diskOf(path string) *faulty {
	if d, ok := disks.Load(filepath.Dir(path)); ok {
		return d.(*faulty)
	}
	return nil
}

// asked counts a call and says whether it fails.
func (d *faulty) asked(what string, p *platter) bool {
	if len(d.calls) == d.cut && d.left == nil {
		d.left = map[string]any{}
		for name, p := range d.files {
			d.left[name] = p.after(d.random)
		}
	}
	d.calls = append(d.calls, what+" "+p.name)
	return len(d.calls)-1 == d.fail
}

func (d *faulty) code(other int32) int32 {
	if d.full {
		return sqlite3.SQLITE_FULL
	}
	return other
}

func openFile(tls *libc.TLS, vfs, name, file uintptr, flags int32, out uintptr) int32 {
	open := function[openFunc](plain.FxOpen)
	if name == 0 {
		return open(tls, vfs, name, file, flags, out)
	}
	path := libc.GoString(name)
	d := diskOf(path)
	if d == nil {
		return open(tls, vfs, name, file, flags, out)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	base := filepath.Base(path)
	p := d.files[base]
	if p == nil || p.gone {
		p = &platter{name: base}
		if text, err := os.ReadFile(path); err == nil {
			p.there, p.durable = true, text
		}
	}
	if d.asked("open", p) {
		at[sqlite3.Tsqlite3_file](file).FpMethods = 0
		return sqlite3.SQLITE_CANTOPEN
	}
	if code := open(tls, vfs, name, file, flags, out); code != sqlite3.SQLITE_OK {
		return code
	}
	d.files[base], d.opened[file] = p, p
	f := at[sqlite3.Tsqlite3_file](file)
	f.FpMethods = uintptr(unsafe.Pointer(&wrapMethods(f.FpMethods).is))
	return sqlite3.SQLITE_OK
}

// wrapMethods is a table of calls that go by the disk.
func wrapMethods(table uintptr) *ioMethods {
	methodsMu.Lock()
	defer methodsMu.Unlock()
	if m := methodsOf[table]; m != nil {
		return m
	}
	m := &ioMethods{was: *at[sqlite3.Tsqlite3_io_methods](table)}
	m.is = m.was
	setSlot[closeFunc](&m.is.FxClose, closeFile)
	setSlot[ioFunc](&m.is.FxRead, readFile)
	setSlot[ioFunc](&m.is.FxWrite, writeFile)
	setSlot[resizeFunc](&m.is.FxTruncate, truncateFile)
	setSlot[syncFunc](&m.is.FxSync, syncFile)
	setSlot[syncFunc](&m.is.FxLock, lockFile)
	setSlot[syncFunc](&m.is.FxUnlock, unlockFile)
	setSlot[lockedFunc](&m.is.FxCheckReservedLock, lockedByOthers)
	methodsOf[table], methods[uintptr(unsafe.Pointer(&m.is))] = m, m
	return m
}

// asIs is the disk of an open file, its file there, and the calls as they were.
func asIs(file uintptr) (*faulty, *platter, *sqlite3.Tsqlite3_io_methods) {
	methodsMu.RLock()
	m := methods[at[sqlite3.Tsqlite3_file](file).FpMethods]
	methodsMu.RUnlock()
	var d *faulty
	var p *platter
	disks.Range(func(_, value any) bool {
		d = value.(*faulty)
		d.mu.Lock()
		p = d.opened[file]
		d.mu.Unlock()
		return p == nil
	})
	if p == nil {
		d = &faulty{fail: -1, cut: -1} // its disk is away already
		p = &platter{}
	}
	return d, p, &m.was
}

func closeFile(tls *libc.TLS, file uintptr) int32 {
	d, _, was := asIs(file)
	d.mu.Lock()
	delete(d.opened, file)
	d.mu.Unlock()
	return function[closeFunc](was.FxClose)(tls, file)
}

func readFile(tls *libc.TLS, file, buffer uintptr, n int32, offset int64) int32 {
	d, p, was := asIs(file)
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.asked("read", p) {
		return sqlite3.SQLITE_IOERR_READ
	}
	return function[ioFunc](was.FxRead)(tls, file, buffer, n, offset)
}

func writeFile(tls *libc.TLS, file, buffer uintptr, n int32, offset int64) int32 {
	d, p, was := asIs(file)
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.asked("write", p) {
		return d.code(sqlite3.SQLITE_IOERR_WRITE)
	}
	p.pending = append(p.pending, written{at: offset, data: slices.Clone(unsafe.Slice(at[byte](buffer), n))})
	return function[ioFunc](was.FxWrite)(tls, file, buffer, n, offset)
}

func truncateFile(tls *libc.TLS, file uintptr, size int64) int32 {
	d, p, was := asIs(file)
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.asked("truncate", p) {
		return d.code(sqlite3.SQLITE_IOERR_TRUNCATE)
	}
	p.pending = append(p.pending, written{at: size, cut: true})
	return function[resizeFunc](was.FxTruncate)(tls, file, size)
}

func syncFile(tls *libc.TLS, file uintptr, flags int32) int32 {
	d, p, was := asIs(file)
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.asked("sync", p) {
		return sqlite3.SQLITE_IOERR_FSYNC // as of a full disk too
	}
	for _, c := range p.pending {
		p.durable = c.to(p.durable)
	}
	if !p.there { // with a new file SQLite syncs its folder
		maps.DeleteFunc(d.files, func(_ string, other *platter) bool { return other.gone })
	}
	p.there, p.pending = true, nil
	return function[syncFunc](was.FxSync)(tls, file, flags)
}

func lockFile(tls *libc.TLS, file uintptr, level int32) int32 {
	d, _, was := asIs(file)
	if d.apart {
		return sqlite3.SQLITE_OK
	}
	return function[syncFunc](was.FxLock)(tls, file, level)
}

func unlockFile(tls *libc.TLS, file uintptr, level int32) int32 {
	d, _, was := asIs(file)
	if d.apart {
		return sqlite3.SQLITE_OK
	}
	return function[syncFunc](was.FxUnlock)(tls, file, level)
}

func lockedByOthers(tls *libc.TLS, file, out uintptr) int32 {
	d, _, was := asIs(file)
	if d.apart {
		*at[int32](out) = 0
		return sqlite3.SQLITE_OK
	}
	return function[lockedFunc](was.FxCheckReservedLock)(tls, file, out)
}

func deleteFile(tls *libc.TLS, vfs, name uintptr, directory int32) int32 {
	path := libc.GoString(name)
	if d := diskOf(path); d != nil {
		d.mu.Lock()
		defer d.mu.Unlock()
		p := d.files[filepath.Base(path)]
		if p == nil {
			p = &platter{name: filepath.Base(path)}
		}
		if d.asked("delete", p) {
			return sqlite3.SQLITE_IOERR_DELETE
		}
		if p.there, p.gone = false, true; directory != 0 {
			delete(d.files, p.name)
		}
	}
	return function[deleteFunc](plain.FxDelete)(tls, vfs, name, directory)
}

// restart is the folder as the power cut left it, in another one.
func (d *faulty) restart(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range slices.Sorted(maps.Keys(d.left)) {
		if file, ok := d.left[name].([]byte); ok && !strings.HasSuffix(name, "-shm") {
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), file, 0o600))
		}
	}
	return dir
}
