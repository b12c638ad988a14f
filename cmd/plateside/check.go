package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"runtime/debug"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"plateside/curve"
	"plateside/quality"
)

func newCheck(w world, c *common) *cobra.Command {
	var asJSON bool
	var baseline string
	var loadKg float64
	cmd := &cobra.Command{
		Use:   "check [--json] PATH...",
		Short: "Judge every rep without opening a screen",
		Long: `Judges every rep of the given files and folders and prints a table, or JSON with --json.

Exit status: 0 every recording was read, whatever the verdicts; 1 at least one was refused (the others are still
reported); 2 wrong usage; 4 the output could not be written.`,
		Example: "  plateside check .\n  plateside check --json --rate 600 jump.txt\n  plateside check --baseline empty.csv\n  plateside check --baseline weight.csv --load 20",
		RunE: func(_ *cobra.Command, args []string) error {
			if baseline != "" {
				return runBaseline(w, *c, baseline, loadKg)
			}
			return runCheck(w, *c, asJSON, args)
		},
	}
	cmd.Flags().StringVar(&baseline, "baseline", "", "measure a recording `FILE` of plates that are left alone: zero, noise, drift, mains hum")
	cmd.Flags().Float64Var(&loadKg, "load", 0, "with --baseline: a known load of `KG` stands on the plates")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object to standard output")
	return cmd
}

// checkGCPercent lets garbage grow to a few times what is held before it is collected: check holds little and makes much,
// and collecting it seldom saves a tenth of the time for some 30 MB.
const checkGCPercent = 400

func runCheck(w world, c common, asJSON bool, paths []string) error {
	defer debug.SetGCPercent(debug.SetGCPercent(checkGCPercent))
	l, err := newLoader(w, c, paths)
	if err != nil {
		return err
	}
	s, err := l.session(paths)
	if err != nil {
		return err
	}
	if asJSON {
		err = writeReport(w.out, l, s)
	} else {
		err = writeTable(plainWriter{w.out, c.plain}, s)
	}
	if err != nil {
		return notSaved(fmt.Errorf("the report could not be written: %w", err))
	}
	if len(s.Refused) > 0 {
		return &exitError{status: exitRefused}
	}
	return nil
}

// A plainWriter writes plain characters only where that is asked for.
type plainWriter struct {
	out   io.Writer
	plain bool
}

func (p plainWriter) Write(b []byte) (int, error) {
	if !p.plain {
		return p.out.Write(b)
	}
	if _, err := p.out.Write(bytes.ReplaceAll(b, []byte("±"), []byte("+/-"))); err != nil {
		return 0, err
	}
	return len(b), nil
}

// writeTable prints a line a rep, its findings under it, and the refused recordings.
func writeTable(out io.Writer, s *quality.Session) error {
	if len(s.Reps)+len(s.Refused) == 0 {
		_, err := fmt.Fprintln(out, "no recordings here: files ending in csv, txt, tsv, dat, asc, c3d, and .gz of these are looked for")
		return err
	}
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "REP\tATHLETE\tVERDICT\tHEIGHT cm\tWEIGHT N\tTIME TO TAKEOFF s\tFINDINGS")
	for _, r := range s.Reps {
		var names []string
		for _, f := range r.Findings {
			names = append(names, f.Check)
		}
		if r.CopyOf != "" {
			names = append(names, "copy of "+quality.Printable(r.CopyOf))
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", quality.Printable(r.ID), orDash(quality.Printable(r.Athlete)), r.Verdict, number(r.Curve.Metric("jump_height_m"), 100, 1),
			number(r.Curve.Metric("body_weight_n"), 1, 1), number(r.Curve.Metric("time_to_takeoff_s"), 1, 3), strings.Join(names, ", "))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, r := range s.Reps {
		for _, f := range r.Findings {
			fmt.Fprintf(out, "%s: %s (%s): %s\n", quality.Printable(r.ID), f.Check, f.Severity, f.Message)
		}
	}
	for _, r := range s.Refused {
		if _, err := fmt.Fprintf(out, "%s: refused: %s; %s\n", quality.Printable(r.Recording), quality.Printable(r.Reason), quality.Printable(r.Hint)); err != nil {
			return err
		}
	}
	counts := map[quality.Verdict]int{}
	for _, r := range s.Reps {
		counts[r.Verdict]++
	}
	_, err := fmt.Fprintf(out, "%d reps: %d clear, %d look, %d redo; %d recordings refused\n", len(s.Reps),
		counts[quality.VerdictClear], counts[quality.VerdictLook], counts[quality.VerdictRedo], len(s.Refused))
	return err
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func number(v curve.Value, scale float64, decimals int) string {
	if !v.Known() {
		return "-"
	}
	s := fmt.Sprintf("%.*f", decimals, v.Value*scale)
	if v.HasPlusMinus() {
		s += fmt.Sprintf(" ± %.*f", decimals, v.PlusMinus*scale)
	}
	return s
}

// The shape of the JSON report. Pointers are null where a value could not be determined.
type (
	reportJSON struct {
		Program string         `json:"program"`
		Version string         `json:"version"`
		Method  map[string]any `json:"method"`
		Reps    []repJSON      `json:"reps"`
		Refused []refusedJSON  `json:"refused"`
	}
	repJSON struct {
		ID        string                `json:"id"`
		Recording string                `json:"recording"`
		SHA256    string                `json:"recording_sha256"`
		CopyOf    string                `json:"copy_of,omitempty"`
		Rep       int                   `json:"rep"`
		Athlete   string                `json:"athlete"`
		RateHz    float64               `json:"rate_hz"`
		Plates    int                   `json:"plates"`
		Verdict   string                `json:"verdict"`
		Findings  []findingJSON         `json:"findings"`
		Unknown   []unknownJSON         `json:"unknown"`
		Notes     []string              `json:"notes"`
		Landmarks map[string]*float64   `json:"landmarks"`
		Metrics   map[string]metricJSON `json:"metrics"`
	}
	findingJSON struct {
		Check    string   `json:"check"`
		Severity string   `json:"severity"`
		Message  string   `json:"message"`
		Value    *float64 `json:"value"`
		Limit    *float64 `json:"limit"`
		Unit     string   `json:"unit"`
		FromS    *float64 `json:"from_s"`
		ToS      *float64 `json:"to_s"`
	}
	unknownJSON struct {
		Check  string `json:"check"`
		Reason string `json:"reason"`
	}
	metricJSON struct {
		Value     *float64 `json:"value"`
		PlusMinus *float64 `json:"plus_minus,omitempty"`
		Why       string   `json:"why,omitempty"`
	}
	refusedJSON struct {
		Recording string `json:"recording"`
		Reason    string `json:"reason"`
		Hint      string `json:"hint"`
	}
)

func orNull(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func writeReport(out io.Writer, l *loader, s *quality.Session) error {
	m := l.settings.Method
	rule := m.Onset
	for _, r := range curve.OnsetRules() {
		if r.Name == m.Onset {
			rule = r.Name + ": " + r.Source
		}
	}
	report := reportJSON{Program: "plateside", Version: programVersion(), Reps: []repJSON{}, Refused: []refusedJSON{}, Method: map[string]any{
		"gravity_ms2": m.GravityMS2, "onset": rule, "weighing": m.Weighing,
		"takeoff": fmt.Sprintf("%g SD of flight force, at least %g N, carried on to the unloaded level", m.FlightSDs, m.FlightFloorN),
	}}
	for _, r := range s.Reps {
		report.Reps = append(report.Reps, repReport(r))
	}
	for _, r := range s.Refused {
		report.Refused = append(report.Refused, refusedJSON{r.Recording, r.Reason, r.Hint})
	}
	e := json.NewEncoder(out)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	return e.Encode(report)
}

func repReport(r *quality.Rep) repJSON {
	j := repJSON{ID: r.ID, Recording: r.Recording, SHA256: r.SHA256, CopyOf: r.CopyOf, Rep: r.Curve.Number, Athlete: r.Athlete,
		RateHz: r.RateHz, Plates: r.Plates, Verdict: r.Verdict.String(), Findings: []findingJSON{}, Unknown: []unknownJSON{},
		Notes: append([]string{}, r.Notes...), Landmarks: map[string]*float64{}, Metrics: map[string]metricJSON{}}
	j.Notes = append(j.Notes, r.Remarks...)
	for _, f := range r.Findings {
		j.Findings = append(j.Findings, findingJSON{f.Check, f.Severity.String(), f.Message, orNull(f.Value), orNull(f.Limit), f.Unit, orNull(f.FromS), orNull(f.ToS)})
	}
	for _, u := range r.Unknowns {
		j.Unknown = append(j.Unknown, unknownJSON{u.Check, u.Reason})
	}
	j.Landmarks["weighing_from_s"], j.Landmarks["weighing_to_s"] = orNull(r.Curve.Weighing.Window.FromS), orNull(r.Curve.Weighing.Window.ToS)
	for _, l := range r.Curve.Landmarks.List() {
		j.Landmarks[l.Name+"_s"] = orNull(l.S)
	}
	for i, m := range curve.Metrics() {
		v := r.Curve.Values[i]
		j.Metrics[m.Key] = metricJSON{orNull(v.Value), orNull(v.PlusMinus), v.Why}
	}
	return j
}
