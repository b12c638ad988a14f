package main

import (
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"plateside/curve"
)

func newLimits(w world, c *common) *cobra.Command {
	return &cobra.Command{
		Use:   "limits [PATH]",
		Short: "Every limit in force: value, unit, source, where it was set",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			l, err := newLoader(w, *c, args)
			if err != nil {
				return err
			}
			return printLimits(w, l)
		},
	}
}

func printLimits(w world, l *loader) error {
	t := tabwriter.NewWriter(w.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "LIMIT\tVALUE\tUNIT\tSET IN\tSOURCE\tWHAT MOVES WHEN IT IS CHANGED")
	row := func(key, value, unit, setIn, source, effect string) {
		if setIn == "" {
			setIn = "-"
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\n", key, value, unit, setIn, source, effect)
	}
	s := l.settings
	row("method.onset", s.Method.Onset, "rule", s.SetIn["onset"], onsetSource(s.Method.Onset), "time to takeoff and all that is divided by it")
	row("method.weighing", s.Method.Weighing, "rule", s.SetIn["weighing"], "Owen 2014; impulse from rest to rest: Sampling 2010", "body weight, and height by eight times as much")
	for _, p := range s.Method.Parameters() {
		row("method."+p.Key, fmt.Sprintf("%g", *p.Value), p.Unit, s.SetIn[p.Key], p.Source, p.Effect)
	}
	for _, r := range s.Limits.Rows() {
		row("limits."+r.Key, fmt.Sprintf("%g", r.Value), r.Unit, r.SetIn, r.Source, r.Effect)
	}
	const usual = "usual practice, from memory"
	row("count.wanted", fmt.Sprint(s.Count.Wanted), "kept reps", "", usual, "when the count says enough")
	row("count.attempts", fmt.Sprint(s.Count.Attempts), "jumps", "", usual, "when the count says stop: more would tire")
	row("count.rest_s", fmt.Sprintf("%g", s.Count.RestS), "s", "", "Meylan 2011", "how long the tester is told to wait")
	row("count.spread_pct", fmt.Sprintf("%g", s.Count.SpreadPct), "% of mean height", "", "twice the published within-session CV of 4 %", "when kept reps are said to differ")
	if err := t.Flush(); err != nil {
		return notSaved(err)
	}
	return nil
}

func onsetSource(name string) string {
	for _, r := range curve.OnsetRules() {
		if r.Name == name {
			return r.Source
		}
	}
	return ""
}
