package watch

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/fsnotify/fsnotify"
)

func TestNoWatchesLeft(t *testing.T) {
	dir := t.TempDir()
	w := New(Options{Paths: []string{dir}, Settle: 20 * time.Millisecond, Patience: 50 * time.Millisecond,
		Rescan: 50 * time.Millisecond, Now: time.Now})
	failing := true
	w.open = func() (*fsnotify.Watcher, error) {
		if failing {
			return nil, os.NewSyscallError("inotify_init1", syscall.EMFILE)
		}
		return fsnotify.NewWatcher()
	}
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if err := os.WriteFile(filepath.Join(dir, "a.csv"), []byte(strings.Repeat("1,2,3\n", 20)), 0o600); err != nil {
		t.Fatal(err)
	}
	var said []string
	err := w.Run(ctx, func(e Event) {
		switch e.Kind {
		case Notice:
			said = append(said, e.Text)
			if !failing {
				cancel()
			}
		case Whole:
			said = append(said, "whole")
			failing = false
		case Arriving, Changed, Gone:
		}
	})
	want := "new recordings are found by re-scan only, every 50ms: the system has no open files left; whole; " +
		"new recordings are found by the system's events again"
	if got := strings.Join(said, "; "); err != nil || got != want {
		t.Errorf("%v, said %q, want %q", err, got, want)
	}
}

func TestHintsAreBounded(t *testing.T) {
	e := &ears{signal: make(chan struct{}, 1), hints: map[string]fsnotify.Op{}}
	for i := range 10 {
		for range mostHints / 2 {
			e.note(fsnotify.Event{Name: fmt.Sprint("same", i), Op: fsnotify.Write})
		}
	}
	if hints, lost := e.take(); len(hints) != 10 || lost {
		t.Errorf("%d hints, lost %v; want 10 names and nothing lost", len(hints), lost)
	}
	for i := range mostHints + 10 {
		e.note(fsnotify.Event{Name: fmt.Sprint(i), Op: fsnotify.Create})
	}
	if hints, lost := e.take(); len(hints) != mostHints || !lost {
		t.Errorf("%d hints, lost %v; want %d and the loss", len(hints), lost, mostHints)
	}
	e.note(fsnotify.Event{Name: "x", Op: fsnotify.Chmod})
	if hints, lost := e.take(); len(hints) != 0 || lost {
		t.Errorf("a change of permissions is heard: %v", hints)
	}
}

func TestConcerns(t *testing.T) {
	f := &follower{o: Options{Paths: []string{"/s/day", "/x/one.csv", "."}}}
	for name, want := range map[string]bool{
		"/s/day/a.csv": true, "/s/day/sub/a.csv": true, "/s/day": true, "/s/day/.tmp": false, "/s/day/.d/a.csv": false,
		"/s/daytime/a.csv": false, "/s": false, "/x/one.csv": true, "/x/two.csv": false, "a.csv": true, "../a.csv": false,
	} {
		if got := f.concerns(filepath.FromSlash(name)); got != want {
			t.Errorf("%s concerns: %v, want %v", name, got, want)
		}
	}
}

func TestUnseenIsNotGone(t *testing.T) {
	if !isBelow("sub/a.csv", []string{"other", "sub"}) || isBelow("subs/a.csv", []string{"sub"}) || isBelow("a.csv", nil) {
		t.Error("what is below a folder that cannot be looked into is not told from what is beside it")
	}
}
