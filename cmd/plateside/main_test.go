package main

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets the test binary stand in for the program in scripts.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"plateside": main})
}

// TestScripts runs every script below testdata/script against the program: arguments in, text and exit status out.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join("..", "..", "testdata", "script"),
		Setup: func(env *testscript.Env) error {
			env.Setenv("XDG_STATE_HOME", filepath.Join(env.WorkDir, "state"))
			env.Setenv("XDG_CONFIG_HOME", filepath.Join(env.WorkDir, "config"))
			env.Setenv("HOME", env.WorkDir)
			env.Setenv("TERM", "dumb")
			return nil
		},
	})
}

// TestFileSafe: a title becomes a file name that leads nowhere.
func TestFileSafe(t *testing.T) {
	for title, want := range map[string]string{
		"Northmoor Canoe Club, week 3": "Northmoor-Canoe-Club-week-3", "../../etc/passwd": "etc-passwd", "": "session", "日本": "session", "a.b_c-d": "a.b_c-d",
	} {
		if got := fileSafe(title); got != want {
			t.Errorf("%q becomes %q, want %q", title, got, want)
		}
	}
}

// TestWorldDirs: settings and state follow the environment.
func TestWorldDirs(t *testing.T) {
	w := world{now: time.Now, getenv: func(k string) string {
		return map[string]string{"XDG_STATE_HOME": "/s", "XDG_CONFIG_HOME": "/c"}[k]
	}}
	if got := w.stateDir(); got != filepath.Join("/s", "plateside") {
		t.Errorf("state in %s", got)
	}
	if got := w.configDir(); got != filepath.Join("/c", "plateside") {
		t.Errorf("settings in %s", got)
	}
}
