package ledger_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"plateside/quality"
	"plateside/quality/ledger"
)

// clock steps a second at a time from a fixed day.
func clock() func() time.Time {
	at := time.Date(2026, 3, 1, 9, 10, 0, 250e6, time.UTC)
	return func() time.Time { at = at.Add(time.Second); return at }
}

func open(tb testing.TB, o ledger.Options) *ledger.Ledger {
	tb.Helper()
	if o.Now == nil {
		o.Now = clock()
	}
	l, err := ledger.Open(o)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { _ = l.Close() })
	return l
}

func key(n int) quality.RepKey {
	return quality.RepKey{SHA256: strings.Repeat(fmt.Sprintf("%02x", n%256), 32), Number: n%3 + 1}
}

// keep is a decision on rep n.
func keep(n int) quality.Event {
	return quality.Event{
		Action: quality.ActKeep, Key: key(n), RepID: fmt.Sprintf("trial-%03d#%d", n, n%3+1),
		Recording: fmt.Sprintf("trial-%03d.csv", n),
	}
}

func reject(n int, reason string) quality.Event {
	e := keep(n)
	e.Action, e.Reason, e.Verdict = quality.ActReject, reason, quality.VerdictRedo
	return e
}

func must(tb testing.TB, l *ledger.Ledger, events ...quality.Event) {
	tb.Helper()
	for _, e := range events {
		if _, err := l.Append(e); err != nil {
			tb.Fatal(err)
		}
	}
}

// eventsOf opens a ledger for reading and returns what it holds.
func eventsOf(tb testing.TB, dir string) []quality.Event {
	tb.Helper()
	l := open(tb, ledger.Options{Dir: dir, ReadOnly: true})
	return l.History().Events()
}

func TestDecisionsOutliveTheProgram(t *testing.T) {
	dir := t.TempDir()
	l := open(t, ledger.Options{Dir: dir, Reviewer: "AB"})
	must(t, l, keep(1), reject(2, "stance-sway"))
	if _, err := l.Undo(); err != nil {
		t.Fatal(err)
	}
	want := l.History().Events()
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	again := open(t, ledger.Options{Dir: dir})
	if diff := cmp.Diff(want, again.History().Events()); diff != "" {
		t.Error(diff)
	}
	h := again.History()
	if got := h.Decision(key(1)).Choice; got != quality.Keep {
		t.Errorf("rep 1 is %v", got)
	}
	if got := h.Decision(key(2)).Choice; got != quality.Undecided {
		t.Errorf("rep 2 is %v after the undo", got)
	}
	if e := want[2]; e.Undoes != 2 || e.RepID != "trial-002#3" || e.Reviewer != "AB" {
		t.Errorf("the undo does not say what it took back: %+v", e)
	}
}

func TestOpeningLeavesNothingBehind(t *testing.T) {
	dir := t.TempDir()
	l := open(t, ledger.Options{Dir: dir})
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	if left, _ := os.ReadDir(dir); len(left) != 0 {
		t.Errorf("%v was left in the folder", left)
	}
}

func TestFilesAreTheOwnersOnly(t *testing.T) {
	dir, state := t.TempDir(), filepath.Join(t.TempDir(), "state")
	l := open(t, ledger.Options{Dir: dir, State: state})
	must(t, l, keep(1))
	if err := l.SavePlace(key(1), "trial-001#2"); err != nil {
		t.Fatal(err)
	}
	for _, top := range []string{dir, state} {
		err := filepath.Walk(top, func(path string, info os.FileInfo, err error) error {
			if err == nil && path != dir && info.Mode().Perm()&0o077 != 0 {
				t.Errorf("%s has mode %v", path, info.Mode())
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

func TestLinesAreJSON(t *testing.T) {
	dir := t.TempDir()
	l := open(t, ledger.Options{Dir: dir, Reviewer: "AB"})
	e := reject(1, "tester's judgement")
	e.Note = "arms <swung> & \"bent\"\n\x1b[31mred\u2028"
	must(t, l, e, keep(2))
	data, err := os.ReadFile(l.Path())
	if err != nil {
		t.Fatal(err)
	}
	lines := bytes.Split(bytes.TrimSuffix(data, []byte("\n")), []byte("\n"))
	if len(lines) != 2 {
		t.Fatalf("%d lines", len(lines))
	}
	var first map[string]any
	for i, text := range lines {
		var m map[string]any
		if err := json.Unmarshal(text, &m); err != nil {
			t.Errorf("line %d: %v", i+1, err)
		}
		if i == 0 {
			first = m
		}
	}
	if first["ledger"] != 1.0 || first["note"] != e.Note || first["recording_sha256"] != e.Key.SHA256 {
		t.Errorf("%v", first)
	}
	if bytes.ContainsRune(data, '\x1b') {
		t.Error("an escape sequence stands in the file as it is")
	}
}

// TestReplay writes any history and reads it back.
func TestReplay(t *testing.T) {
	top := t.TempDir()
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		dir := filepath.Join(top, fmt.Sprint(n))
		if err := os.Mkdir(dir, 0o700); err != nil {
			rt.Fatal(err)
		}
		l, err := ledger.Open(ledger.Options{Dir: dir, Now: clock(), Reviewer: rapid.String().Draw(rt, "reviewer")})
		if err != nil {
			rt.Fatal(err)
		}
		acknowledged := make([]quality.Event, 0, 12)
		for range rapid.IntRange(1, 12).Draw(rt, "steps") {
			acknowledged = append(acknowledged, step(rt, l)...)
		}
		want := l.History().Events()
		if err := l.Close(); err != nil {
			rt.Fatal(err)
		}
		again, err := ledger.Open(ledger.Options{Dir: dir, Now: clock()})
		if err != nil {
			rt.Fatal(err)
		}
		defer func() { _ = again.Close() }()
		if diff := cmp.Diff(want, again.History().Events()); diff != "" {
			rt.Error(diff)
		}
		if diff := cmp.Diff(acknowledged, want, cmpopts.EquateEmpty()); diff != "" {
			rt.Errorf("what was returned is not what is there: %s", diff)
		}
		if notices := again.Notices(); len(notices) > 0 {
			rt.Errorf("%q", notices)
		}
	})
}

// step makes one decision of any kind and returns its events.
func step(rt *rapid.T, l *ledger.Ledger) []quality.Event {
	if rapid.IntRange(0, 4).Draw(rt, "undo") == 0 {
		e, err := l.Undo()
		if errors.Is(err, ledger.ErrNothing) {
			return nil
		}
		if err != nil {
			rt.Fatal(err)
		}
		return []quality.Event{e}
	}
	var group []quality.Event
	for range rapid.IntRange(1, 3).Draw(rt, "reps") {
		group = append(group, quality.Event{
			Action:    rapid.SampledFrom([]quality.Action{quality.ActKeep, quality.ActReject, quality.ActClear, quality.ActNote}).Draw(rt, "action"),
			Key:       key(rapid.IntRange(1, 5).Draw(rt, "rep")),
			RepID:     rapid.String().Draw(rt, "id"),
			Recording: string(rapid.SliceOf(rapid.Byte()).Draw(rt, "recording")),
			Reason:    rapid.String().Draw(rt, "reason"),
			Note:      rapid.String().Draw(rt, "note"),
			Verdict:   quality.Verdict(rapid.IntRange(0, 2).Draw(rt, "verdict")),
		})
	}
	out, err := l.AppendGroup(group)
	if err != nil {
		rt.Fatal(err)
	}
	return out
}

func TestGroupIsUndoneAsOne(t *testing.T) {
	dir := t.TempDir()
	l := open(t, ledger.Options{Dir: dir})
	must(t, l, keep(1))
	if _, err := l.AppendGroup([]quality.Event{reject(1, "a"), reject(2, "a"), reject(3, "a")}); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Undo(); err != nil {
		t.Fatal(err)
	}
	h := l.History()
	for n, want := range map[int]quality.Choice{1: quality.Keep, 2: quality.Undecided, 3: quality.Undecided} {
		if got := h.Decision(key(n)).Choice; got != want {
			t.Errorf("rep %d is %v, want %v", n, got, want)
		}
	}
}

func TestRefusedEventsLeaveNoTrace(t *testing.T) {
	dir := t.TempDir()
	l := open(t, ledger.Options{Dir: dir})
	if _, err := l.Undo(); !errors.Is(err, ledger.ErrNothing) {
		t.Errorf("undo of nothing: %v", err)
	}
	must(t, l, keep(1))
	bad := []quality.Event{
		{Action: "burn", Key: key(1)},
		{Action: quality.ActUndo, Undoes: 7},
		{Action: quality.ActNote, Key: key(1), Note: strings.Repeat("x", 70000)},
	}
	for _, e := range bad {
		if _, err := l.Append(e); err == nil {
			t.Errorf("%s %d was taken", e.Action, e.Undoes)
		}
		if _, err := l.AppendGroup([]quality.Event{keep(2), e}); err == nil {
			t.Errorf("a group with %s %d was taken", e.Action, e.Undoes)
		}
	}
	must(t, l, keep(2))
	if got := len(eventsOf(t, dir)); got != 2 {
		t.Errorf("%d events", got)
	}
}

func TestReviewerOfOnesOwn(t *testing.T) {
	dir := t.TempDir()
	shared := open(t, ledger.Options{Dir: dir, Reviewer: "AB"})
	own := open(t, ledger.Options{Dir: dir, Reviewer: "CD", Own: true})
	must(t, shared, keep(1))
	must(t, own, reject(1, "stance-sway"))
	if filepath.Base(own.Path()) != "plateside-ledger.CD.jsonl" {
		t.Error(own.Path())
	}
	h, problem, err := ledger.Read(own.Path())
	if err != nil || problem != "" {
		t.Fatal(problem, err)
	}
	if got := h.Decision(key(1)); got.Choice != quality.Reject || got.Reviewer != "CD" {
		t.Errorf("%+v", got)
	}
	for _, name := range []string{"../x", "a/b", "a b", "", strings.Repeat("x", 41), "ä", "a.b"} {
		if _, err := ledger.Open(ledger.Options{Dir: dir, Reviewer: name, Own: true, Now: clock()}); err == nil {
			t.Errorf("reviewer %q was taken", name)
		}
	}
}

func TestPlace(t *testing.T) {
	dir, state := t.TempDir(), t.TempDir()
	l := open(t, ledger.Options{Dir: dir, State: state})
	if _, _, ok := l.Place(); ok {
		t.Error("a place before any was saved")
	}
	if err := l.SavePlace(key(4), "trial-004#2"); err != nil {
		t.Fatal(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	k, id, ok := open(t, ledger.Options{Dir: dir, State: state}).Place()
	if !ok || k != key(4) || id != "trial-004#2" {
		t.Errorf("%v %q %v", k, id, ok)
	}
	if _, _, ok := open(t, ledger.Options{Dir: t.TempDir(), State: state}).Place(); ok {
		t.Error("another folder has the same place")
	}
	if err := open(t, ledger.Options{Dir: t.TempDir()}).SavePlace(key(1), ""); err == nil {
		t.Error("a place was saved nowhere")
	}
}
