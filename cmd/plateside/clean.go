package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"plateside/curve"
	"plateside/quality"
	"plateside/quality/cleaned"
	"plateside/quality/ledger"
)

func newClean(w world, c *common) *cobra.Command {
	var o cleanOptions
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
			return runClean(w, *c, args, o)
		},
	}
	cmd.Flags().StringVarP(&o.out, "output", "o", "", "the `FILE` to write (default NAME.session.zip beside the recordings)")
	cmd.Flags().StringVar(&o.reviewer, "reviewer", "", "take the decisions of this reviewer's own ledger")
	cmd.Flags().BoolVar(&o.workbook, "xlsx", false, "write a workbook of the tables too, for spreadsheet programs that mangle CSV")
	cmd.Flags().BoolVar(&o.pseudonyms, "pseudonyms", false, "write codes in place of athletes' names; the key is kept beside the recordings, in "+keyName)
	cmd.Flags().StringVar(&o.diff, "diff", "", "say what changed since an `OLD` cleaned session")
	return cmd
}

// keyName is the file that tells codes from names. It is never part of a cleaned session.
const keyName = "plateside-names.key"

type cleanOptions struct {
	out, reviewer, diff  string
	workbook, pseudonyms bool
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
	options, err := l.cleanedFrom(paths)
	if err != nil {
		return err
	}
	if o.pseudonyms {
		if options.Pseudonyms, err = codes(dir, s); err != nil {
			return notSaved(err)
		}
	}
	if err := saveCleaned(s, options, o); err != nil {
		return notSaved(err)
	}
	n := s.Count()
	fmt.Fprintf(w.errs, "written: %s (%d kept, %d rejected, %d undecided, %d recordings refused)\n", o.out, n.Kept, n.Rejected, n.Open, len(s.Refused))
	if o.diff == "" {
		return nil
	}
	return printDiff(w, o.diff, o.out)
}

// saveCleaned writes the zip, and the workbook where it is asked for.
func saveCleaned(s *quality.Session, options cleaned.Options, o cleanOptions) error {
	if err := cleaned.Save(o.out, s, options); err != nil {
		return fmt.Errorf("the cleaned session was not written: %w", err)
	}
	if !o.workbook {
		return nil
	}
	if err := cleaned.SaveWorkbook(strings.TrimSuffix(o.out, filepath.Ext(o.out))+".xlsx", s, options); err != nil {
		return fmt.Errorf("the workbook was not written: %w", err)
	}
	return nil
}

// cleanedFrom are the options of a cleaned session whose samples are read again from the given paths.
func (l *loader) cleanedFrom(paths []string) (cleaned.Options, error) {
	sources, _, err := find(paths)
	if err != nil {
		return cleaned.Options{}, err
	}
	files := pathsOf(sources)
	return cleanedOptions(l, func(rep *quality.Rep) (*curve.Recording, error) { return l.again(files[rep.Recording], rep) }), nil
}

// codes returns a code for every athlete, the same ones as before, and keeps the key beside the recordings.
func codes(dir string, s *quality.Session) (map[string]string, error) {
	path := filepath.Join(dir, keyName)
	known, err := cleaned.LoadKey(path)
	if err != nil {
		return nil, err
	}
	all := cleaned.Codes(s, known)
	if err := cleaned.SaveKey(path, all); err != nil {
		return nil, fmt.Errorf("the key to the codes was not saved, so nothing was written: %w", err)
	}
	return all, nil
}

// printDiff says what is different between two cleaned sessions.
func printDiff(w world, oldName, newName string) error {
	changes, err := cleaned.Diff(oldName, newName)
	if err != nil {
		return &exitError{exitRefused, fmt.Errorf("the two could not be compared: %w", err)}
	}
	for _, c := range changes {
		fmt.Fprintln(w.out, c)
	}
	if len(changes) == 0 {
		fmt.Fprintln(w.out, "nothing changed")
	}
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
	defer func() { _ = book.Close() }() // opened for reading only
	for _, n := range book.Notices() {
		fmt.Fprintln(w.errs, n)
	}
	return book.History(), nil
}
