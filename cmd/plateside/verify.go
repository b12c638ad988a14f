package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"plateside/quality/cleaned"
)

func newVerify(w world) *cobra.Command {
	return &cobra.Command{
		Use:   "verify FILE",
		Short: "Check a cleaned session: paths, sizes, hashes, headers, types, keys, references",
		Long:  "Checks a cleaned session and says what is wrong with it, in words.\n\nExit status: 0 nothing wrong; 1 something is, or the file could not be read; 2 wrong usage.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage(errors.New("verify takes one file"))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return runVerify(w, args[0]) },
	}
}

func runVerify(w world, path string) error {
	r, err := cleaned.Verify(path)
	if err != nil {
		return &exitError{exitRefused, fmt.Errorf("%s could not be checked: %w", path, err)}
	}
	for _, p := range r.Problems {
		fmt.Fprintln(w.out, p)
	}
	if r.More > 0 {
		fmt.Fprintf(w.out, "and %d more\n", r.More)
	}
	if !r.OK() {
		return &exitError{exitRefused, fmt.Errorf("%s: %d problems", path, len(r.Problems)+r.More)}
	}
	fmt.Fprintf(w.out, "%s is well: %d files, %d reps, %d kept, written by %s\n", path, r.Files, r.Reps, r.Kept, r.By)
	return nil
}
