package keymap_test

import (
	"flag"
	"os"
	"strings"
	"testing"

	"plateside/tui/keymap"
)

var update = flag.Bool("update", false, "write the README's table of keys anew")

// TestBindings: every key has words, a group that help shows, and one meaning; a digit is nothing but a reason, Esc does
// nothing.
func TestBindings(t *testing.T) {
	owner := map[string]keymap.Action{}
	groups := " " + strings.Join(keymap.Groups(), " ") + " "
	for _, b := range keymap.Bindings() {
		if b.Help == "" || b.Show == "" || len(b.Keys) == 0 || b.Action == keymap.None {
			t.Errorf("%v says too little", b.Keys)
		}
		if !strings.Contains(groups, " "+b.Group+" ") {
			t.Errorf("%v is in the group %q, which help does not show", b.Keys, b.Group)
		}
		for _, k := range b.Keys {
			if other, taken := owner[k]; taken {
				t.Errorf("%q is bound to %s and to %s", k, other, b.Action)
			}
			owner[k] = b.Action
			if k == "esc" {
				t.Error("Esc is bound")
			}
		}
	}
}

// TestReadme: the table of keys in the README is the one made from the bindings.
func TestReadme(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		begin, rest, _ := strings.Cut(string(readme), "compared by a test -->\n")
		_, end, _ := strings.Cut(rest, "<!-- end of keys -->")
		readme = []byte(begin + "compared by a test -->\n" + keymap.Markdown() + "<!-- end of keys -->" + end)
		if err := os.WriteFile("../../README.md", readme, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if !strings.Contains(string(readme), "\n"+keymap.Markdown()) {
		t.Errorf("the README's table of keys is stale; it should read:\n%s", keymap.Markdown())
	}
}
