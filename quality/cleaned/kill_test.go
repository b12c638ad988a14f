//go:build unix

package cleaned_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"plateside/quality/cleaned"
)

// TestMain lets the test binary be run again as a program that saves a session over and over, to be killed.
func TestMain(m *testing.M) {
	if os.Getenv("PLATESIDE_TEST_SAVER") == "" {
		os.Exit(m.Run())
	}
	m.Run() // of which TestSaver is all that is asked for
}

// TestSaver is the program that TestKillWhileSaving kills.
func TestSaver(t *testing.T) {
	path := os.Getenv("PLATESIDE_TEST_SAVER")
	if path == "" {
		t.Skip("the child half of TestKillWhileSaving, which starts it")
	}
	q := newSquad(t)
	if _, err := fmt.Fprintln(os.Stdout, "ready"); err != nil {
		t.Fatal(err)
	}
	for {
		if err := cleaned.Save(path, q.session, q.options); err != nil {
			t.Fatal(err)
		}
	}
}

// TestKillWhileSaving kills a program that saves, at random moments. The file must always be whole. PLATESIDE_KILLS sets
// how often.
func TestKillWhileSaving(t *testing.T) {
	kills := 5
	if n, err := strconv.Atoi(os.Getenv("PLATESIDE_KILLS")); err == nil {
		kills = n
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	path := newSquad(t).save(t)
	for range kills {
		cmd := exec.Command(self, "-test.run", "^TestSaver$")
		cmd.Env = append(os.Environ(), "PLATESIDE_TEST_SAVER="+path)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		if _, err := out.Read(make([]byte, 5)); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(rand.IntN(60_000)) * time.Microsecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = cmd.Wait()
		holdClean(t, path)
		if _, err := os.Stat(path + ".bak"); err == nil {
			holdClean(t, path+".bak")
		}
	}
	left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), ".*tmp*"))
	t.Logf("%d kills, the file whole each time; %d temporary files left", kills, len(left))
	if len(left) > 2 {
		t.Errorf("temporary files pile up: %v", left)
	}
	if err := newSquad(t).saveTo(path); err != nil {
		t.Fatal(err)
	}
	if all, _ := os.ReadDir(filepath.Dir(path)); len(all) != 2 {
		t.Errorf("after the next save there is %v", all)
	}
}
