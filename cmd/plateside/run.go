package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"plateside/quality"
)

// version is what the program calls itself in files. A build can set it with -ldflags.
var version = "0.1.0"

// A world is what the program touches outside itself.
type world struct {
	in        *os.File
	out, errs io.Writer
	now       func() time.Time
	getenv    func(string) string
}

// Exit statuses, part of the interface.
const (
	exitOK       = 0
	exitRefused  = 1 // a recording could not be read, or another failure
	exitUsage    = 2
	exitNotSaved = 4
)

// An exitError carries its status. A nil inner error says nothing more.
type exitError struct {
	status int
	err    error
}

func (e *exitError) Error() string {
	if e.err == nil {
		return ""
	}
	return e.err.Error()
}

func (e *exitError) Unwrap() error { return e.err }

func usage(err error) error    { return &exitError{exitUsage, err} }
func notSaved(err error) error { return &exitError{exitNotSaved, err} }

// common are the flags that every verb shares.
type common struct {
	rateHz  float64
	gravity float64
	plain   bool
}

// run does what the arguments say and returns the exit status.
func run(args []string, w world) int {
	root := newRoot(w)
	root.SetArgs(args)
	root.SetOut(w.out)
	root.SetErr(w.errs)
	err := root.Execute()
	if err == nil {
		return exitOK
	}
	var e *exitError
	if !errors.As(err, &e) {
		e = &exitError{exitUsage, err} // what cobra itself complains of is usage
	}
	if message := e.Error(); message != "" {
		fmt.Fprintf(w.errs, "plateside: %s\n", message)
		if e.status == exitUsage {
			fmt.Fprintln(w.errs, "See 'plateside --help'.")
		}
	}
	return e.status
}

func newRoot(w world) *cobra.Command {
	c := &common{}
	var o reviewOptions
	root := &cobra.Command{
		Use:   "plateside [PATH...]",
		Short: "Review jump trials from force plates: judge, look, keep or reject, hand on a clean session",
		Long: `plateside reviews countermovement jumps recorded on one or two force plates.

Without a verb it opens the reviewer on the given files or folders, or on the current folder.

Exit status: 0 all well; 1 a recording was refused, or another failure; 2 wrong usage; 4 something could not be saved.

` + quality.Cautions,
		Example: `  plateside demo                          look at an invented squad first
  plateside review ~/testing/tuesday      judge a folder of recordings
  plateside check --json tuesday > reps.json
  plateside clean tuesday -o tuesday.session.zip`,
		Args:          cobra.ArbitraryArgs,
		SilenceErrors: true, SilenceUsage: true,
		Version: programVersion(),
		RunE:    func(_ *cobra.Command, args []string) error { return runReview(w, *c, o, args) },
	}
	flags := root.PersistentFlags()
	flags.Float64Var(&c.rateHz, "rate", 0, "sampling rate in `HZ` for files that carry none")
	flags.Float64Var(&c.gravity, "gravity", 0, "acceleration of free fall in `M/S2` (default 9.80665)")
	flags.BoolVar(&c.plain, "plain", false, "no colours, no drawing characters")
	o.flags(root)
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usage(err) })
	root.AddCommand(newReview(w, c), newDemo(w, c), newCheck(w, c), newClean(w, c), newInspect(w, c), newLimits(w, c), newVerify(w), newCompare(w), newRepair(w))
	return root
}

// programVersion is the version with the revision the binary was built from, where that is known.
func programVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return version
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 8 {
			return version + "+" + s.Value[:8]
		}
	}
	return version
}

// folderOf returns the folder that settings and ledger of the given paths live in: the folder itself, or the file's.
func folderOf(paths []string) string {
	if len(paths) == 0 {
		return "."
	}
	if info, err := os.Stat(paths[0]); err == nil && !info.IsDir() {
		return filepath.Dir(paths[0])
	}
	return paths[0]
}

// configDir is where the user's own settings live; empty when there is no such place.
func (w world) configDir() string {
	if dir := w.getenv("XDG_CONFIG_HOME"); dir != "" {
		return filepath.Join(dir, "plateside")
	}
	if dir, err := os.UserConfigDir(); err == nil {
		return filepath.Join(dir, "plateside")
	}
	return ""
}

// stateDir is where the ledger goes when it cannot lie beside the recordings.
func (w world) stateDir() string {
	if dir := w.getenv("XDG_STATE_HOME"); dir != "" {
		return filepath.Join(dir, "plateside")
	}
	if home, err := os.UserHomeDir(); err == nil {
		return filepath.Join(home, ".local", "state", "plateside")
	}
	return ""
}

// titleOf names a session after its folder.
func titleOf(dir string) string {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return "session"
	}
	return strings.TrimSpace(filepath.Base(abs))
}
