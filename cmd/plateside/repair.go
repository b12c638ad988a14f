package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"plateside/quality/ledger"
)

func newRepair(w world) *cobra.Command {
	var reviewer string
	cmd := &cobra.Command{
		Use:   "repair FOLDER",
		Short: "Make a damaged ledger writable again; no byte is thrown away",
		Long: `Keeps the lines of the ledger before the damage and moves everything from it on into a file beside it. The reps whose
decisions lie there are named: decide on them again.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage(errors.New("repair takes one folder"))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return runRepair(w, args[0], reviewer) },
	}
	cmd.Flags().StringVar(&reviewer, "reviewer", "", "repair the ledger of this reviewer")
	return cmd
}

func runRepair(w world, dir, reviewer string) error {
	name, err := ledger.FileName(reviewer)
	if err != nil {
		return usage(err)
	}
	r, err := ledger.Repair(filepath.Join(dir, name), ledger.Options{Dir: dir, Now: w.now})
	if err != nil {
		return notSaved(err)
	}
	if r.Aside == "" {
		fmt.Fprintf(w.out, "nothing to repair: %d lines are well\n", r.Kept)
		return nil
	}
	fmt.Fprintf(w.out, "%d lines stay; what follows lies in %s\n", r.Kept, r.Aside)
	for _, id := range r.Again {
		fmt.Fprintf(w.out, "decide again: %s\n", id)
	}
	return nil
}
