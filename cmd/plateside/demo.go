package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"plateside/curve/simulate"
)

func newDemo(w world, c *common) *cobra.Command {
	var dir string
	var only bool
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Write an invented session to a folder and open the reviewer on it",
		Args:  cobra.NoArgs,
		RunE: func(_ *cobra.Command, _ []string) error {
			if err := writeDemo(dir, w.now().Add(-demoAge)); err != nil {
				return notSaved(err)
			}
			fmt.Fprintf(w.errs, "The demo session (%s; invented people, simulated jumps) is in %s\n", simulate.SquadTitle, dir)
			if only {
				return nil
			}
			return runReview(w, *c, reviewOptions{title: simulate.SquadTitle}, []string{dir})
		},
	}
	cmd.Flags().StringVar(&dir, "dir", "plateside-demo", "folder to write to")
	cmd.Flags().BoolVar(&only, "only-write", false, "write the files and open no screen")
	return cmd
}

// demoAge is how long ago the invented squad was tested, so that nobody is told to rest.
const demoAge = 26 * time.Hour

// writeDemo writes the files of the invented squad that are not there yet, dated at a time. It never writes over
// anything.
func writeDemo(dir string, at time.Time) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("the demo folder could not be made: %w; choose another with --dir", err)
	}
	for _, f := range simulate.Squad() {
		path := filepath.Join(dir, f.Name)
		file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err == nil {
			_, err = file.Write(f.Text)
			err = errors.Join(err, file.Close(), os.Chtimes(path, at, at))
		}
		if err != nil {
			return fmt.Errorf("the demo recording %s could not be written: %w; choose another folder with --dir", f.Name, err)
		}
	}
	return nil
}
