package main

import (
	"errors"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"plateside/curve/record"
)

func newInspect(w world, c *common) *cobra.Command {
	return &cobra.Command{
		Use:   "inspect FILE",
		Short: "How a file was understood, and the settings that would change it",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage(errors.New("inspect takes one file"))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return runInspect(w, *c, args[0]) },
	}
}

func runInspect(w world, c common, path string) error {
	l, err := newLoader(w, c, []string{path})
	if err != nil {
		return err
	}
	if _, err := os.Stat(path); err != nil {
		return usage(err)
	}
	understood, err := record.Inspect(path, filepath.Base(path), l.options)
	if understood != nil {
		if werr := understood.Report(w.out); werr != nil {
			return notSaved(werr)
		}
	}
	if err != nil {
		return &exitError{exitRefused, err}
	}
	return nil
}
