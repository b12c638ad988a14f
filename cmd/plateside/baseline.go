package main

import (
	"fmt"
	"math"
	"path/filepath"
	"text/tabwriter"

	"plateside/curve"
	"plateside/curve/record"
)

// runBaseline measures a recording of plates that are left alone: empty, or under a known load in kilograms.
func runBaseline(w world, c common, path string, loadKg float64) error {
	l, err := newLoader(w, c, []string{path})
	if err != nil {
		return err
	}
	l.options.Unloaded = true
	rec, err := record.Read(path, filepath.Base(path), l.options)
	if err != nil {
		return &exitError{exitRefused, err}
	}
	plates, err := curve.Baseline(rec, loadKg*l.settings.Method.GravityMS2)
	if err != nil {
		return &exitError{exitRefused, fmt.Errorf("%s is no baseline: %w", path, err)}
	}
	t := tabwriter.NewWriter(w.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "PLATE\tREADS N\tNOISE N\tDRIFT N/min\tMAINS HUM\tERROR N\tERROR %")
	for _, p := range plates {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", p.Plate, number(p.ZeroN, 1, 2), number(p.NoiseN, 1, 2), number(p.DriftNPerMin, 1, 2),
			hum(p), number(p.ErrorN, 1, 2), number(p.ErrorPct, 1, 2))
	}
	if err := t.Flush(); err != nil {
		return notSaved(err)
	}
	for _, words := range baselineWords(plates, l.settings.Limits.Get("zero_look"), loadKg) {
		fmt.Fprintln(w.out, words)
	}
	return nil
}

func hum(p curve.PlateBaseline) string {
	switch {
	case math.IsNaN(p.HumHz):
		return "not known"
	case p.HumHz == 0:
		return "none"
	}
	return fmt.Sprintf("%.0f Hz, ± %.2f N", p.HumHz, p.HumN.Value)
}

// baselineWords say what to do about a baseline.
func baselineWords(plates []curve.PlateBaseline, zeroLimitN, loadKg float64) []string {
	var out []string
	for _, p := range plates {
		if loadKg == 0 && math.Abs(p.ZeroN.Value) >= zeroLimitN {
			out = append(out, fmt.Sprintf("%s reads %+.1f N with nothing on it: zero the empty plates before testing", p.Plate, p.ZeroN.Value))
		}
		if p.HumHz > 0 {
			out = append(out, fmt.Sprintf("%s carries mains hum of %.0f Hz: check earthing, keep cables away from mains", p.Plate, p.HumHz))
		}
		if d := p.DriftNPerMin; d.HasPlusMinus() && math.Abs(d.Value) > d.PlusMinus && math.Abs(d.Value) > 1 {
			out = append(out, fmt.Sprintf("%s drifts by %+.1f N a minute: let the plates warm up, zero them again", p.Plate, d.Value))
		}
	}
	if len(out) == 0 {
		out = append(out, "nothing stands out")
	}
	return out
}
