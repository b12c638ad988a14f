// Package disktest is a disk in memory that can fail, fill up and lose power, for tests.
package disktest

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"

	"plateside/quality/ledger/disk"
)

// An Op is something a program is about to do to the disk.
type Op struct {
	// N counts the operations that change something, from 1.
	N int
	// Kind is create, write, truncate, sync, sync-folder, rename, link, remove, mkdir or lock.
	Kind string
	Path string
}

// ErrCrashed is what every operation after a crash returns to the program that did not see it coming.
var ErrCrashed = errors.New("the power is gone")

// A PartialError makes a write put only N bytes on the disk before it fails with Err.
type PartialError struct {
	N   int
	Err error
}

func (p *PartialError) Error() string { return p.Err.Error() }

func (p *PartialError) Unwrap() error { return p.Err }

// Memory is a disk that remembers what was synced: content by Sync, names by SyncFolder. The zero value is not usable.
type Memory struct {
	// Hook is asked before every operation that changes something; an error makes it fail. It may be nil.
	Hook func(Op) error

	mu      sync.Mutex
	ops     int
	names   map[string]*inode
	durable map[string]*inode // the names that last
	folders map[string]bool
	locks   map[string]string
	ticks   int64
}

type inode struct {
	data, synced []byte
	changed      time.Time
}

// New returns a disk with the folders given.
func New(folders ...string) *Memory {
	m := &Memory{names: map[string]*inode{}, durable: map[string]*inode{}, folders: map[string]bool{}, locks: map[string]string{}}
	for _, f := range folders {
		m.folders[f] = true
	}
	return m
}

// Put makes a file that lasts.
func (m *Memory) Put(path string, data []byte) {
	m.mu.Lock()
	defer m.mu.Unlock()
	n := &inode{data: bytes.Clone(data), synced: bytes.Clone(data), changed: m.tick()}
	m.names[path], m.durable[path] = n, n
}

// Files returns the content of all files, lock files left out.
func (m *Memory) Files() map[string]string {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := map[string]string{}
	for p, n := range m.names {
		out[p] = string(n.data)
	}
	return out
}

// Ops returns how many operations have changed something.
func (m *Memory) Ops() int {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.ops
}

// Crash returns the disk as it is found after the power was cut now. What was synced is there. Of what was not,
// keepNames says whether changes of names are, and tail how much of the bytes that were added, from 0 to 1. A file that
// was changed in its middle has its old content.
func (m *Memory) Crash(keepNames bool, tail float64) *Memory {
	m.mu.Lock()
	defer m.mu.Unlock()
	after := New()
	for f := range m.folders {
		after.folders[f] = true
	}
	from := m.durable
	if keepNames {
		from = m.names
	}
	for p, n := range from {
		data := bytes.Clone(n.synced)
		if bytes.HasPrefix(n.data, n.synced) {
			more := n.data[len(n.synced):]
			data = append(data, more[:int(float64(len(more))*tail)]...)
		}
		c := &inode{data: data, synced: bytes.Clone(data), changed: after.tick()}
		after.names[p], after.durable[p] = c, c
	}
	return after
}

func (m *Memory) tick() time.Time {
	m.ticks++
	return time.Unix(m.ticks, 0)
}

// change announces an operation. The lock must be held.
func (m *Memory) change(kind, path string) error {
	m.ops++
	if m.Hook == nil {
		return nil
	}
	if err := m.Hook(Op{m.ops, kind, path}); err != nil {
		return &fs.PathError{Op: kind, Path: path, Err: err}
	}
	return nil
}

// Open implements disk.System.
func (m *Memory) Open(path string, flag int) (disk.File, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	n := m.names[path]
	switch {
	case n != nil && flag&os.O_EXCL != 0:
		return nil, &fs.PathError{Op: "open", Path: path, Err: fs.ErrExist}
	case n == nil && flag&os.O_CREATE == 0:
		return nil, &fs.PathError{Op: "open", Path: path, Err: fs.ErrNotExist}
	case n == nil:
		if !m.folders[filepath.Dir(path)] {
			return nil, &fs.PathError{Op: "open", Path: path, Err: fs.ErrNotExist}
		}
		if err := m.change("create", path); err != nil {
			return nil, err
		}
		n = &inode{changed: m.tick()}
		m.names[path] = n
	case flag&(os.O_RDWR|os.O_WRONLY) != 0:
		if err := m.change("open-write", path); err != nil {
			return nil, err
		}
		if flag&os.O_TRUNC != 0 {
			n.data, n.changed = nil, m.tick()
		}
	}
	return &file{m: m, path: path, inode: n}, nil
}

// Lstat implements disk.System.
func (m *Memory) Lstat(path string) (fs.FileInfo, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n := m.names[path]; n != nil {
		return info{filepath.Base(path), n, int64(len(n.data)), n.changed}, nil
	}
	if m.folders[path] {
		return info{name: filepath.Base(path)}, nil
	}
	return nil, &fs.PathError{Op: "lstat", Path: path, Err: fs.ErrNotExist}
}

// SameFile implements disk.System.
func (*Memory) SameFile(a, b fs.FileInfo) bool {
	x, ok := a.(info)
	y, ok2 := b.(info)
	return ok && ok2 && x.inode == y.inode
}

// MkdirAll implements disk.System.
func (m *Memory) MkdirAll(path string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.folders[path] {
		return nil
	}
	if err := m.change("mkdir", path); err != nil {
		return err
	}
	for ; !m.folders[path]; path = filepath.Dir(path) {
		m.folders[path] = true
	}
	return nil
}

// Rename implements disk.System.
func (m *Memory) Rename(from, to string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	n := m.names[from]
	if n == nil {
		return &fs.PathError{Op: "rename", Path: from, Err: fs.ErrNotExist}
	}
	if err := m.change("rename", to); err != nil {
		return err
	}
	delete(m.names, from)
	m.names[to] = n
	return nil
}

// Link implements disk.System.
func (m *Memory) Link(from, to string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	n := m.names[from]
	if n == nil || m.names[to] != nil {
		return &fs.PathError{Op: "link", Path: to, Err: fs.ErrExist}
	}
	if err := m.change("link", to); err != nil {
		return err
	}
	m.names[to] = n
	return nil
}

// Remove implements disk.System.
func (m *Memory) Remove(path string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.names[path] == nil {
		return &fs.PathError{Op: "remove", Path: path, Err: fs.ErrNotExist}
	}
	if err := m.change("remove", path); err != nil {
		return err
	}
	delete(m.names, path)
	return nil
}

// SyncFolder implements disk.System.
func (m *Memory) SyncFolder(path string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.change("sync-folder", path); err != nil {
		return err
	}
	for p := range m.durable {
		if filepath.Dir(p) == path && m.names[p] == nil {
			delete(m.durable, p)
		}
	}
	for p, n := range m.names {
		if filepath.Dir(p) == path {
			m.durable[p] = n
		}
	}
	return nil
}

// Lock implements disk.System. It makes no file.
func (m *Memory) Lock(path, text string) (disk.Lock, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if by, held := m.locks[path]; held {
		return nil, &disk.HeldError{Path: path, By: strings.TrimSpace(by)}
	}
	if !m.folders[filepath.Dir(path)] {
		return nil, &fs.PathError{Op: "lock", Path: path, Err: fs.ErrNotExist}
	}
	if err := m.change("lock", path); err != nil {
		return nil, err
	}
	m.locks[path] = text
	return lock{m, path}, nil
}

type lock struct {
	m    *Memory
	path string
}

func (l lock) Release() error {
	l.m.mu.Lock()
	defer l.m.mu.Unlock()
	delete(l.m.locks, l.path)
	return nil
}

type file struct {
	m     *Memory
	path  string
	inode *inode
	at    int
	done  bool
}

func (f *file) Read(p []byte) (int, error) {
	f.m.mu.Lock()
	defer f.m.mu.Unlock()
	if f.at >= len(f.inode.data) {
		return 0, io.EOF
	}
	n := copy(p, f.inode.data[f.at:])
	f.at += n
	return n, nil
}

func (f *file) Write(p []byte) (int, error) {
	n, err := f.WriteAt(p, int64(f.at))
	f.at += n
	return n, err
}

func (f *file) WriteAt(p []byte, off int64) (int, error) {
	f.m.mu.Lock()
	defer f.m.mu.Unlock()
	if f.done {
		return 0, fs.ErrClosed
	}
	err := f.m.change("write", f.path)
	part, partial := errors.AsType[*PartialError](err)
	switch {
	case partial:
		p = p[:min(len(p), part.N)]
	case err != nil:
		return 0, err
	}
	if len(p) > 0 {
		if grow := int(off) + len(p) - len(f.inode.data); grow > 0 {
			f.inode.data = append(f.inode.data, make([]byte, grow)...)
		}
		copy(f.inode.data[off:], p)
	}
	f.inode.changed = f.m.tick()
	return len(p), err
}

func (f *file) Truncate(size int64) error {
	f.m.mu.Lock()
	defer f.m.mu.Unlock()
	if f.done {
		return fs.ErrClosed
	}
	if err := f.m.change("truncate", f.path); err != nil {
		return err
	}
	f.inode.data = f.inode.data[:size:size]
	f.inode.changed = f.m.tick()
	return nil
}

func (f *file) Sync() error {
	f.m.mu.Lock()
	defer f.m.mu.Unlock()
	if f.done {
		return fs.ErrClosed
	}
	if err := f.m.change("sync", f.path); err != nil {
		return err
	}
	f.inode.synced = bytes.Clone(f.inode.data)
	return nil
}

func (f *file) Stat() (fs.FileInfo, error) {
	f.m.mu.Lock()
	defer f.m.mu.Unlock()
	return info{filepath.Base(f.path), f.inode, int64(len(f.inode.data)), f.inode.changed}, nil
}

func (f *file) Close() error {
	f.done = true
	return nil
}

// info describes a file, or a folder where inode is nil.
type info struct {
	name    string
	inode   *inode
	size    int64
	changed time.Time
}

func (i info) Name() string       { return i.name }
func (i info) Size() int64        { return i.size }
func (i info) ModTime() time.Time { return i.changed }
func (i info) IsDir() bool        { return i.inode == nil }
func (i info) Sys() any           { return nil }

func (i info) Mode() fs.FileMode {
	if i.inode == nil {
		return fs.ModeDir | disk.FolderMode
	}
	return disk.FileMode
}

// FailOnce returns a hook that makes the nth operation of a kind fail, all before and after succeed.
func FailOnce(kind string, nth int, err error) func(Op) error {
	seen := 0
	return func(op Op) error {
		if op.Kind != kind {
			return nil
		}
		if seen++; seen == nth {
			return err
		}
		return nil
	}
}

// CrashAfter returns a hook that lets n operations happen and none after them.
func CrashAfter(n int) func(Op) error {
	return func(op Op) error {
		if op.N > n {
			return ErrCrashed
		}
		return nil
	}
}

// Full returns a hook of a disk that is full: nothing can be made or written, but names and ends can be changed.
func Full() func(Op) error {
	return func(op Op) error {
		switch op.Kind {
		case "create", "write", "mkdir", "lock":
			return syscall.ENOSPC
		}
		return nil
	}
}
