package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/spf13/cobra"

	"plateside/curve"
	"plateside/quality"
	"plateside/quality/cleaned"
	"plateside/quality/ledger"
)

func newClean(w world, c *common) *cobra.Command {
	var out, reviewer string
	var workbook bool
	cmd := &cobra.Command{
		Use:   "clean PATH -o FILE",
		Short: "Write the cleaned session from the decisions already made, without a screen",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage(errors.New("clean takes one folder or file"))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			return runClean(w, *c, args, cleanOptions{out, reviewer, workbook})
		},
	}
	cmd.Flags().StringVarP(&out, "output", "o", "", "the `FILE` to write (default NAME.session.zip beside the recordings)")
	cmd.Flags().StringVar(&reviewer, "reviewer", "", "take the decisions of this reviewer's own ledger")
	cmd.Flags().BoolVar(&workbook, "xlsx", false, "write a workbook of the tables too, for spreadsheet programs that mangle CSV")
	return cmd
}

type cleanOptions struct {
	out, reviewer string
	workbook      bool
}

func runClean(w world, c common, paths []string, o cleanOptions) error {
	l, err := newLoader(w, c, paths)
	if err != nil {
		return err
	}
	s, err := l.session(paths)
	if err != nil {
		return err
	}
	dir := folderOf(paths)
	if s.History, err = decisions(w, dir, o.reviewer); err != nil {
		return &exitError{exitRefused, err}
	}
	if o.out == "" {
		o.out = filepath.Join(dir, fileSafe(s.Title)+".session.zip")
	}
	sources, _, err := find(paths)
	if err != nil {
		return err
	}
	files := pathsOf(sources)
	options := cleanedOptions(l, func(rep *quality.Rep) (*curve.Recording, error) { return l.again(files, rep) })
	if err := cleaned.Save(o.out, s, options); err != nil {
		return notSaved(fmt.Errorf("the cleaned session was not written: %w", err))
	}
	if o.workbook {
		if err := cleaned.SaveWorkbook(o.out[:len(o.out)-len(filepath.Ext(o.out))]+".xlsx", s, options); err != nil {
			return notSaved(fmt.Errorf("the workbook was not written: %w", err))
		}
	}
	n := s.Count()
	fmt.Fprintf(w.errs, "written: %s (%d kept, %d rejected, %d undecided, %d recordings refused)\n", o.out, n.Kept, n.Rejected, n.Open, len(s.Refused))
	return nil
}

// decisions reads the ledger of a folder without opening it for writing; without one nothing is decided.
func decisions(w world, dir, reviewer string) (*quality.History, error) {
	book, err := ledger.Open(ledger.Options{Dir: dir, State: w.stateDir(), Reviewer: reviewer, Own: reviewer != "", ReadOnly: true, Now: w.now})
	if errors.Is(err, fs.ErrNotExist) {
		return &quality.History{}, nil
	}
	if err != nil {
		return nil, err
	}
	defer book.Close()
	for _, n := range book.Notices() {
		fmt.Fprintln(w.errs, n)
	}
	return book.History(), nil
}
