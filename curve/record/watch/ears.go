package watch

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"syscall"

	"github.com/fsnotify/fsnotify"
)

const (
	// mostHints bounds the names that wait to be heard; beyond, everything is looked through instead.
	mostHints = 4096
	// mostFolders bounds the watches. Some systems share few thousand of them among all programs.
	mostFolders = 1024
	// mostFilesByHandle bounds the files where each watched file costs an open handle, which the program needs elsewhere.
	mostFilesByHandle = 500
)

// Ears hear the file system's events. Hints are names with what was done to them; several about one name are one hint.
type ears struct {
	open   func() (*fsnotify.Watcher, error)
	signal chan struct{} // has something in it when there is something to hear

	watcher *fsnotify.Watcher
	folders map[string]os.FileInfo // those that are watched

	pump  sync.WaitGroup
	mu    sync.Mutex
	hints map[string]fsnotify.Op
	lost  bool // events were lost
}

// attend watches exactly these folders. It returns why some are not watched; empty when all are.
func (e *ears) attend(folders map[string]os.FileInfo, files int) string {
	if handlePerFile() && files > mostFilesByHandle {
		e.close()
		return fmt.Sprintf("there are more than %d files", mostFilesByHandle)
	}
	if e.watcher == nil {
		if err := e.start(); err != nil {
			return eventTrouble(err)
		}
	}
	for path := range e.folders {
		if _, ok := folders[path]; !ok {
			e.forget(path)
		}
	}
	why := ""
	for path, info := range folders {
		if len(e.folders) >= mostFolders && e.folders[path] == nil {
			why = fmt.Sprintf("there are more than %d folders", mostFolders)
			continue
		}
		if err := e.watch(path, info); err != nil && !errors.Is(err, os.ErrNotExist) {
			why = eventTrouble(err)
		}
	}
	return why
}

// watch begins or renews the watch of a folder. A folder that was removed and made again has the same path, and perhaps
// the same number on disk; Linux renews a watch at no cost and without a gap, so there it is always renewed.
func (e *ears) watch(path string, info os.FileInfo) error {
	if held := e.folders[path]; held != nil {
		same := os.SameFile(held, info)
		if same && runtime.GOOS != "linux" {
			return nil
		}
		if !same {
			e.forget(path)
		}
	}
	if err := e.watcher.Add(path); err != nil {
		delete(e.folders, path)
		return err
	}
	e.folders[path] = info
	return nil
}

// forget ends the watch of a folder, which may have ended by itself.
func (e *ears) forget(path string) {
	if _, ok := e.folders[path]; ok {
		_ = e.watcher.Remove(path) // an error says that there was none
		delete(e.folders, path)
	}
}

func (e *ears) start() error {
	w, err := e.open()
	if err != nil {
		return err
	}
	e.watcher, e.folders, e.hints = w, map[string]os.FileInfo{}, map[string]fsnotify.Op{}
	e.pump.Go(func() { e.collect(w) })
	return nil
}

// collect takes events as they come, so that the system's queue stays short and no call to the watcher waits for a reader
// that is itself waiting for that call.
func (e *ears) collect(w *fsnotify.Watcher) {
	events, errs := w.Events, w.Errors
	for events != nil || errs != nil {
		select {
		case event, ok := <-events:
			if !ok {
				events = nil
				continue
			}
			e.note(event)
		case _, ok := <-errs:
			if !ok {
				errs = nil
				continue
			}
			e.note(fsnotify.Event{}) // whatever it was, something may have been missed
		}
	}
}

func (e *ears) note(event fsnotify.Event) {
	e.mu.Lock()
	switch {
	case event.Name == "" || len(e.hints) >= mostHints:
		e.lost = true
	case event.Op != fsnotify.Chmod:
		name := filepath.Clean(event.Name)
		e.hints[name] |= event.Op
	}
	e.mu.Unlock()
	select {
	case e.signal <- struct{}{}:
	default:
	}
}

// take returns what was heard since the last time, and whether something was lost.
func (e *ears) take() (map[string]fsnotify.Op, bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if len(e.hints) == 0 && !e.lost {
		return nil, false
	}
	hints, lost := e.hints, e.lost
	e.hints, e.lost = map[string]fsnotify.Op{}, false
	return hints, lost
}

// close ends all watches.
func (e *ears) close() {
	if e.watcher == nil {
		return
	}
	_ = e.watcher.Close() // nothing to be done about it
	e.pump.Wait()
	e.watcher = nil
}

// handlePerFile reports whether the system needs an open handle for each file in a watched folder.
func handlePerFile() bool {
	switch runtime.GOOS {
	case "darwin", "dragonfly", "freebsd", "netbsd", "openbsd":
		return true
	}
	return false
}

// eventTrouble puts an error of the watching in plain words.
func eventTrouble(err error) string {
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return "the system has no watches left"
	case errors.Is(err, syscall.EMFILE), errors.Is(err, syscall.ENFILE):
		return "the system has no open files left"
	}
	return err.Error()
}
