package review_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"plateside/tui/theme"
)

var update = flag.Bool("update", false, "write the golden screens anew")

// TestGoldenScreens compares whole screens with those kept in testdata. Run with -update after a change that is meant,
// and read the difference like prose.
func TestGoldenScreens(t *testing.T) {
	colour := theme.Options{Dark: true, Depth: theme.TrueColour}
	plain := theme.Options{Plain: true}
	for _, c := range []struct {
		name          string
		width, height int
		look          theme.Options
		keys          []string
	}{
		{"clear-80x24", 80, 24, plain, nil},
		{"sway-80x24", 80, 24, plain, []string{"j"}},
		{"sway-120x40", 120, 40, plain, []string{"j"}},
		{"sway-120x40-colour", 120, 40, colour, []string{"j"}},
		{"shift-lanes-120x40", 120, 40, plain, []string{"j", "j", "j", "l", "l", "l", "l"}},
		{"numbers-120x40", 120, 40, plain, []string{"tab"}},
		{"all-reps-120x40", 120, 40, plain, []string{"tab", "tab"}},
		{"difference-120x40", 120, 40, plain, []string{"d"}},
		{"rejected-80x24", 80, 24, plain, []string{"j", "n"}},
		{"refused-80x24", 80, 24, plain, []string{"G"}},
		{"help-80x24", 80, 24, plain, []string{"?"}},
		{"letters-80x24", 80, 24, theme.Options{Plain: true, ASCII: true}, []string{"j"}},
		{"too-small", 60, 20, plain, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t, c.width, c.height, c.look)
			b.press(c.keys...)
			got := b.model.View() + "\n"
			if c.look.Plain {
				got = ansi.Strip(got)
			}
			path := filepath.Join("testdata", c.name+".golden")
			if *update {
				if err := os.MkdirAll("testdata", 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("the screen differs from %s:\n%s\nwant\n%s", path, firstDifference(got, string(want)), "")
			}
		})
	}
}

// firstDifference shows the first row that differs, as it is and as it should be.
func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range g {
		if i >= len(w) || g[i] != w[i] {
			old := ""
			if i < len(w) {
				old = w[i]
			}
			return g[i] + "\n" + old
		}
	}
	return "fewer rows"
}
