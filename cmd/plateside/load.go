package main

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"
	"time"

	"plateside/curve"
	"plateside/curve/record"
	"plateside/quality"
	"plateside/quality/settings"
)

// A loader turns files into judged reps.
type loader struct {
	settings settings.Settings
	options  record.Options
}

// newLoader reads the settings that hold for the given paths and lays the flags over them.
func newLoader(w world, c common, paths []string) (*loader, error) {
	s, err := settings.Load(w.configDir(), folderOf(paths))
	if err != nil {
		return nil, usage(err)
	}
	if c.gravity != 0 {
		s.Method.GravityMS2 = c.gravity
		s.SetIn["gravity"] = "--gravity"
	}
	if err := s.Method.Check(); err != nil {
		return nil, usage(err)
	}
	if !(c.rateHz >= 0) || math.IsInf(c.rateHz, 0) {
		return nil, usage(errors.New("--rate must be a number of samples a second"))
	}
	o := record.Options{RateHz: c.rateHz, Athletes: s.Athletes, NamePattern: s.FileNamePattern, Buffers: &record.Buffers{}}
	if o.Layouts, err = record.LayoutsFrom(s.Readers); err != nil {
		return nil, usage(err)
	}
	return &loader{settings: s, options: o}, nil
}

// A loaded is what became of one file: reps, or a refusal.
type loaded struct {
	source  quality.Source
	reps    []*quality.Rep
	refused *quality.Refused
}

// read reads, measures and judges one file. It never fails: what cannot be read is a refusal, and so is a recording on
// which the program itself fails, so that the others go on.
func (l *loader) read(src record.Source) (one loaded) {
	defer func() {
		if p := recover(); p != nil {
			one = loaded{source: quality.Source{Recording: src.Name, Bytes: src.Size}, refused: &quality.Refused{Recording: src.Name,
				Reason: "the program failed on it, which is a fault of its own", Hint: "the other recordings are not touched; please report it"}}
		}
	}()
	rec, err := record.Read(src.Path, src.Name, l.options)
	if err != nil {
		return loaded{source: quality.Source{Recording: src.Name, Bytes: src.Size}, refused: refusal(src.Name, err)}
	}
	source := quality.Source{Recording: src.Name, SHA256: rec.SHA256, Bytes: src.Size}
	measured, err := curve.Analyse(rec, l.settings.Method)
	if err != nil {
		return loaded{source: source, refused: &quality.Refused{Recording: src.Name, Reason: err.Error(),
			Hint: "is it a recording of a jump? 'plateside inspect' shows how it was read"}}
	}
	out := loaded{source: source}
	for _, m := range measured {
		rep := &quality.Rep{Recording: src.Name, SHA256: rec.SHA256, Athlete: rec.Athlete, RateHz: rec.RateHz, StartS: rec.StartS,
			Plates: rec.Plates(), Remarks: rec.Remarks, Curve: m}
		if at := m.Landmarks.LandingS; !math.IsNaN(at) && !src.ModTime.IsZero() { // the file was written when recording ended
			rep.LandedAt = src.ModTime.Add(-time.Duration((rec.EndS() - at) * float64(time.Second)))
		}
		quality.Judge(rep, l.settings.Limits)
		out.reps = append(out.reps, rep)
	}
	out.source.Reps = len(out.reps)
	return out
}

func refusal(name string, err error) *quality.Refused {
	var r *record.Refusal
	if errors.As(err, &r) {
		return &quality.Refused{Recording: name, Reason: r.Reason, Hint: r.Hint}
	}
	return &quality.Refused{Recording: name, Reason: err.Error()}
}

// each reads all sources on all cores and hands the results to done in the order of the sources, as soon as they are
// there. It stops early when done returns false. At most a few results are held at a time.
func (l *loader) each(sources []record.Source, done func(loaded) bool) {
	type slot chan loaded
	workers := max(1, runtime.GOMAXPROCS(0))
	order := make(chan slot, 2*workers)
	stop := make(chan struct{})
	var group sync.WaitGroup
	group.Go(func() {
		defer close(order)
		tokens := make(chan struct{}, workers)
		for _, src := range sources {
			s := make(slot, 1)
			select {
			case order <- s:
			case <-stop:
				return
			}
			tokens <- struct{}{}
			go func() {
				s <- l.read(src)
				<-tokens
			}()
		}
	})
	stopped := false
	for s := range order {
		if result := <-s; !stopped && !done(result) {
			stopped = true
			close(stop)
		}
	}
	group.Wait()
}

// session reads everything below the paths into one judged session with an empty history.
func (l *loader) session(paths []string) (*quality.Session, error) {
	sources, refused, err := find(paths)
	if err != nil {
		return nil, err
	}
	s := &quality.Session{Title: titleOf(folderOf(paths)), History: &quality.History{}, Refused: refused}
	l.each(sources, func(one loaded) bool {
		s.Add(one.source, one.reps, one.refused)
		return true
	})
	s.NameReps()
	quality.JudgeTogether(s.Reps, l.settings.Limits)
	return s, nil
}

// find lists the recordings below the paths; a path that does not exist is wrong usage.
func find(paths []string) ([]record.Source, []quality.Refused, error) {
	if len(paths) == 0 {
		paths = []string{"."}
	}
	sources, refusals, err := record.Find(paths)
	if err != nil {
		return nil, nil, usage(err)
	}
	var refused []quality.Refused
	for _, r := range refusals {
		refused = append(refused, quality.Refused{Recording: r.Recording, Reason: r.Reason, Hint: r.Hint})
	}
	return sources, refused, nil
}

// again reads the samples of a rep once more, for drawing or writing, and refuses a file that is no longer the one that
// was judged.
func (l *loader) again(path string, rep *quality.Rep) (*curve.Recording, error) {
	if path == "" {
		return nil, fmt.Errorf("%s is no longer part of the session", rep.Recording)
	}
	rec, err := record.Read(path, rep.Recording, l.options)
	if err != nil {
		return nil, err
	}
	if rec.SHA256 != rep.SHA256 {
		return nil, fmt.Errorf("%s has changed since it was judged: quit and start again to judge it anew", rep.Recording)
	}
	return rec, nil
}

// pathsOf maps recording names to files.
func pathsOf(sources []record.Source) map[string]string {
	m := make(map[string]string, len(sources))
	for _, s := range sources {
		m[s.Name] = s.Path
	}
	return m
}
