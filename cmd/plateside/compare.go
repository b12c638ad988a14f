package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"plateside/quality"
	"plateside/quality/ledger"
)

func newCompare(w world) *cobra.Command {
	var dir string
	cmd := &cobra.Command{
		Use:   "compare A B",
		Short: "Two reviewers' decisions side by side: where they differ, and how far they agree",
		Long: `Lists the reps on which two reviewers differ, then per cent agreement and Cohen's kappa, of the two and of each
with the verdicts. A and B are names of reviewers (as given to --reviewer; "shared" is the ledger without a name) or
paths of ledger files.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return usage(errors.New("compare takes two reviewers or two ledger files"))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return runCompare(w, dir, args[0], args[1]) },
	}
	cmd.Flags().StringVar(&dir, "in", ".", "the `FOLDER` of the recordings")
	return cmd
}

// sharedLedger is how the ledger without a reviewer's name is called on the command line.
const sharedLedger = "shared"

// history reads the decisions of a reviewer, or of a ledger file.
func history(w world, dir, who string) (*quality.History, error) {
	path := who
	if info, err := os.Stat(who); err != nil || info.IsDir() {
		name := who
		if who == sharedLedger {
			name = ""
		}
		file, err := ledger.FileName(name)
		if err != nil {
			return nil, usage(err)
		}
		path = filepath.Join(dir, file)
	}
	h, problem, err := ledger.Read(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, usage(fmt.Errorf("%s has decided nothing: there is no %s", who, path))
	}
	if err != nil {
		return nil, &exitError{exitRefused, err}
	}
	if problem != "" {
		fmt.Fprintln(w.errs, problem)
	}
	return h, nil
}

// A pair is a rep that at least one of two reviewers has decided.
type pair struct {
	id      string
	a, b    quality.Decision
	verdict quality.Verdict
}

func runCompare(w world, dir, nameA, nameB string) error {
	a, err := history(w, dir, nameA)
	if err != nil {
		return err
	}
	b, err := history(w, dir, nameB)
	if err != nil {
		return err
	}
	pairs := pairsOf(a, b)
	t := tabwriter.NewWriter(w.out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "REP\t%s\t%s\tVERDICT\n", quality.Printable(nameA), quality.Printable(nameB))
	for _, p := range pairs {
		if p.a.Choice != p.b.Choice && p.a.Choice != quality.Undecided && p.b.Choice != quality.Undecided {
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\n", quality.Printable(p.id), said(p.a), said(p.b), p.verdict)
		}
	}
	if err := t.Flush(); err != nil {
		return notSaved(err)
	}
	choices := func(pick func(pair) quality.Choice) []quality.Choice {
		var out []quality.Choice
		for _, p := range pairs {
			out = append(out, pick(p))
		}
		return out
	}
	ca, cb := choices(func(p pair) quality.Choice { return p.a.Choice }), choices(func(p pair) quality.Choice { return p.b.Choice })
	cv := choices(func(p pair) quality.Choice { return asChoice(p.verdict) })
	for _, row := range []struct {
		who  string
		x, y []quality.Choice
	}{{nameA + " and " + nameB, ca, cb}, {nameA + " and the verdicts", ca, cv}, {nameB + " and the verdicts", cb, cv}} {
		g := quality.AgreementOf(row.x, row.y)
		fmt.Fprintf(w.out, "%s: %d reps both decided, %s agree, kappa %s (%s)\n", quality.Printable(row.who), g.N, percent(g.Agreed), kappa(g.Kappa), g.Word())
	}
	fmt.Fprintln(w.out, "With the verdicts, redo counts as reject and clear as keep; look is left out, since it asks for a person.")
	return nil
}

// asChoice is what a verdict would have decided.
func asChoice(v quality.Verdict) quality.Choice {
	switch v {
	case quality.VerdictClear:
		return quality.Keep
	case quality.VerdictRedo:
		return quality.Reject
	case quality.VerdictLook:
	}
	return quality.Undecided
}

func said(d quality.Decision) string {
	if d.Choice == quality.Reject {
		return "reject: " + quality.Printable(d.Reason)
	}
	return d.Choice.String()
}

func percent(share float64) string {
	if share != share {
		return "-"
	}
	return fmt.Sprintf("%.1f %%", share*100)
}

func kappa(k float64) string {
	if k != k {
		return "undefined"
	}
	return fmt.Sprintf("%.2f", k)
}

// pairsOf lays two histories side by side, a row a rep that either has decided, in the order of names.
func pairsOf(a, b *quality.History) []pair {
	rows := map[quality.RepKey]*pair{}
	for _, h := range []*quality.History{a, b} {
		for _, e := range h.Events() {
			if e.Action == quality.ActUndo {
				continue
			}
			if rows[e.Key] == nil {
				rows[e.Key] = &pair{id: e.RepID, a: a.Decision(e.Key), b: b.Decision(e.Key)}
			}
			rows[e.Key].verdict = e.Verdict
		}
	}
	out := make([]pair, 0, len(rows))
	for _, p := range rows {
		out = append(out, *p)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].id < out[j].id })
	return out
}
