package main

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"sync"
	"syscall"

	"github.com/spf13/cobra"

	"plateside/curve"
	"plateside/curve/record"
	"plateside/curve/record/watch"
	"plateside/quality"
	"plateside/quality/cleaned"
	"plateside/quality/ledger"
	"plateside/tui"
	"plateside/tui/review"
	"plateside/tui/spoken"
	"plateside/tui/theme"
)

// reviewOptions are what the verbs that open the reviewer set.
type reviewOptions struct {
	title    string
	reviewer string
	light    bool
	blind    bool
	spoken   bool
}

func newReview(w world, c *common) *cobra.Command {
	var o reviewOptions
	cmd := &cobra.Command{
		Use:   "review [PATH...]",
		Short: "Open the reviewer on files or folders (the default verb)",
		RunE:  func(_ *cobra.Command, args []string) error { return runReview(w, *c, o, args) },
	}
	o.flags(cmd)
	return cmd
}

// flags declares the flags of the reviewer, for the verb and for the program without one.
func (o *reviewOptions) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&o.reviewer, "reviewer", "", "keep the decisions in a ledger of one's own, under this `NAME`")
	cmd.Flags().BoolVar(&o.blind, "blind", false, "hide verdicts, findings and the other reviewer's decisions; needs --reviewer")
	cmd.Flags().BoolVar(&o.spoken, "accessible", false, "review line by line, the curve in words, numbered choices; for screen readers")
	cmd.Flags().BoolVar(&o.light, "light", false, "the terminal has a light background")
}

func runReview(w world, c common, o reviewOptions, paths []string) error {
	if o.blind && (o.spoken || w.getenv("ACCESSIBLE") != "") {
		return usage(errors.New("--blind and --accessible do not go together: the curve in words tells what was found"))
	}
	if o.blind && o.reviewer == "" {
		return usage(errors.New("--blind needs --reviewer NAME: a blind review is kept in a ledger of one's own"))
	}
	l, err := newLoader(w, c, paths)
	if err != nil {
		return err
	}
	sources, refused, err := find(paths)
	if err != nil {
		return err
	}
	dir := folderOf(paths)
	ledger.IgnoreFileSizeSignal()
	book, err := openLedger(w, dir, o.reviewer)
	if err != nil {
		return &exitError{exitRefused, err}
	}
	defer func() { _ = book.Close() }() // every acknowledged decision is on disk already
	if o.title == "" {
		o.title = titleOf(dir)
	}
	if o.spoken || w.getenv("ACCESSIBLE") != "" {
		return runSpoken(w, l, book, paths)
	}
	screen := tui.Options{SlowLink: w.getenv("SSH_CONNECTION") != "", In: w.in, Out: os.Stdout, Getenv: w.getenv, Plain: c.plain, Light: o.light}
	desk := &desk{world: w, loader: l, ledger: book, dir: dir, paths: paths, pathOf: pathsOf(sources)}
	opt := desk.options(o.title, tui.ThemeFor(screen))
	opt.Blind = o.blind
	screen.Report = w.keepReport
	screen.Load = func(ctx context.Context, emit func(any)) error { return desk.load(ctx, sources, refused, emit) }
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGHUP, syscall.SIGTERM)
	defer stop()
	err = tui.Run(ctx, review.New(desk.deps(), opt), screen)
	switch {
	case errors.Is(err, tui.ErrNoTerminal):
		return usage(err)
	case err != nil:
		return notSaved(err)
	}
	return nil
}

// runSpoken reviews line by line.
func runSpoken(w world, l *loader, book *ledger.Ledger, paths []string) error {
	s, err := l.session(paths)
	if err != nil {
		return err
	}
	sources, _, err := find(paths)
	if err != nil {
		return err
	}
	d := &desk{world: w, loader: l, ledger: book, dir: folderOf(paths), pathOf: pathsOf(sources)}
	deps := d.deps()
	s.History = book.History()
	o := spoken.Options{Cues: l.settings.Cues, Notices: book.Notices()}
	if readOnly, why := book.ReadOnly(); readOnly {
		o.ReadOnly = why
	}
	if key, _, ok := book.Place(); ok {
		o.Start = key
	}
	if err := spoken.Run(s, spoken.Deps{Append: deps.Append, Undo: deps.Undo, History: deps.History, Write: deps.Write, Place: deps.Place}, o, w.in, w.out); err != nil {
		return notSaved(err)
	}
	return nil
}

// openLedger opens the decisions of a folder.
func openLedger(w world, dir, reviewer string) (*ledger.Ledger, error) {
	o := ledger.Options{Dir: dir, State: w.stateDir(), Reviewer: reviewer, Own: reviewer != "", Now: w.now}
	if o.Reviewer == "" {
		o.Reviewer = unnamed
	}
	return ledger.Open(o)
}

// unnamed is who decides when nobody says otherwise. The name of the account is not used: it would travel in the cleaned
// session.
const unnamed = "unnamed"

// keepReport writes a report of a fault to the user's state folder.
func (w world) keepReport(text string) (string, error) {
	dir := w.stateDir()
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	path := filepath.Join(dir, "report-"+w.now().UTC().Format("20060102-150405")+".txt")
	return path, os.WriteFile(path, []byte("version: "+programVersion()+"\n"+text), 0o600)
}

// A desk is what the reviewer's screen works at: files, ledger and the way to the cleaned session.
type desk struct {
	world  world
	loader *loader
	ledger *ledger.Ledger
	dir    string
	paths  []string

	mu     sync.Mutex // guards pathOf
	pathOf map[string]string
}

func (d *desk) options(title string, t theme.Options) review.Options {
	s := d.loader.settings
	o := review.Options{Title: title, Theme: theme.New(t), Method: s.Method, Limits: s.Limits, History: d.ledger.History(),
		Notices: d.ledger.Notices(), Cues: s.Cues, Advance: s.Review.Advance, Bell: s.Review.Bell, MouseOff: s.Review.Mouse == "off",
		Wanted: quality.Wanted{Kept: s.Count.Wanted, Attempts: s.Count.Attempts, SpreadPct: s.Count.SpreadPct, RestS: s.Count.RestS},
		Roster: s.Count.Roster}
	if s.Review.Axis == "body-weights" {
		o.InUnits = review.BodyWeights
	}
	if readOnly, why := d.ledger.ReadOnly(); readOnly {
		o.ReadOnly = why
	}
	if key, _, ok := d.ledger.Place(); ok {
		o.Start = key
	}
	return o
}

func (d *desk) deps() review.Deps {
	return review.Deps{
		Samples: d.samples,
		Append: func(events []quality.Event) ([]quality.Event, error) {
			if len(events) == 1 {
				e, err := d.ledger.Append(events[0])
				return []quality.Event{e}, err
			}
			return d.ledger.AppendGroup(events)
		},
		Undo:    d.ledger.Undo,
		Refresh: d.refresh,
		History: d.ledger.History,
		Elsewhere: func(unsaved []quality.Event) ([]quality.Event, string, error) {
			written, err := d.ledger.MoveTo(d.elsewhere(), unsaved)
			return written, d.ledger.Path(), err
		},
		Write: d.write,
		Place: func(key quality.RepKey, id string) { _ = d.ledger.SavePlace(key, id) }, // no decision depends on it
		Now:   d.world.now,
	}
}

// elsewhere is the folder for a ledger that cannot be written beside its recordings: one for each folder of recordings, so
// that two sessions never meet.
func (d *desk) elsewhere() string {
	abs, err := filepath.Abs(d.dir)
	if err != nil {
		abs = d.dir
	}
	sum := sha256.Sum256([]byte(abs))
	return filepath.Join(d.world.stateDir(), "elsewhere", fmt.Sprintf("%s-%x", fileSafe(titleOf(d.dir)), sum[:6]))
}

// refresh returns the history where another process has added to it.
func (d *desk) refresh() (*quality.History, error) {
	changed, err := d.ledger.Refresh()
	if err != nil || !changed {
		return nil, err
	}
	return d.ledger.History(), nil
}

func (d *desk) samples(rep *quality.Rep) (*curve.Recording, error) {
	d.mu.Lock()
	path := d.pathOf[rep.Recording]
	d.mu.Unlock()
	return d.loader.again(path, rep)
}

// put remembers where a recording lies.
func (d *desk) put(src record.Source) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.pathOf[src.Name] = src.Path
}

// write writes the cleaned session beside the recordings.
func (d *desk) write(s *quality.Session) (string, error) {
	path := filepath.Join(d.dir, fileSafe(s.Title)+".session.zip")
	if err := cleaned.Save(path, s, cleanedOptions(d.loader, d.samples)); err != nil {
		return "", err
	}
	return path, nil
}

// cleanedOptions are what the cleaned session says of its making.
func cleanedOptions(l *loader, force func(*quality.Rep) (*curve.Recording, error)) cleaned.Options {
	s := l.settings
	return cleaned.Options{Program: "plateside", Version: programVersion(), Method: cleaned.Settings(s.Method, s.Limits, s.SetIn), Force: force}
}

// fileSafe makes a title a file name.
func fileSafe(title string) string {
	out := []rune{}
	for _, r := range title {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_', r == '.' && len(out) > 0:
			out = append(out, r)
		case len(out) > 0 && out[len(out)-1] != '-':
			out = append(out, '-')
		}
	}
	if len(out) == 0 {
		return "session"
	}
	return string(out)
}

// batch is how many recordings are handed to the screen at once, after the first, which goes alone so that it is seen
// before the rest is read.
const batch = 16

// load reads all recordings, hands them to the screen in order, and follows the folder from then on.
func (d *desk) load(ctx context.Context, sources []record.Source, refused []quality.Refused, emit func(any)) error {
	var waiting []review.Arrival
	known := make([]watch.Known, 0, len(sources))
	read := 0
	flush := func(done bool) {
		emit(review.ArrivedMsg{Arrivals: waiting, Read: read, Total: len(sources), Done: done})
		waiting = nil
	}
	for _, r := range refused {
		waiting = append(waiting, review.Arrival{Source: quality.Source{Recording: r.Recording}, Refused: &r})
	}
	d.loader.each(sources, func(one loaded) bool {
		known = append(known, watch.Known{Source: sources[read], SHA256: one.source.SHA256})
		waiting = append(waiting, one.arrival())
		if read++; read == 1 || len(waiting) >= batch {
			flush(false)
		}
		return ctx.Err() == nil
	})
	flush(true)
	return d.follow(ctx, known, emit)
}

// arrival is what became of a file, for the screen.
func (one loaded) arrival() review.Arrival {
	return review.Arrival{Source: one.source, Reps: one.reps, Refused: one.refused}
}

// follow tells the screen what becomes of the folder while it is open.
func (d *desk) follow(ctx context.Context, known []watch.Known, emit func(any)) error {
	w := watch.New(watch.Options{Paths: d.paths, Known: known, Now: d.world.now})
	return w.Run(ctx, func(e watch.Event) {
		switch e.Kind {
		case watch.Arriving:
			emit(review.FollowedMsg{Arriving: e.Source.Name})
		case watch.Whole, watch.Changed:
			d.put(e.Source)
			a := d.loader.read(e.Source).arrival()
			emit(review.FollowedMsg{Arrival: &a, Changed: e.Kind == watch.Changed})
		case watch.Gone:
			emit(review.FollowedMsg{Gone: e.Source.Name})
		case watch.Notice:
			emit(review.FollowedMsg{Notice: e.Text})
		}
	})
}
