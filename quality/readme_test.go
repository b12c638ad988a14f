package quality_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"plateside/quality"
)

// checkTable is the README's table of checks.
func checkTable() string {
	var b strings.Builder
	b.WriteString("| check | question | finding |\n| --- | --- | --- |\n")
	for _, c := range quality.Checks() {
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", c.Name, c.Question, c.Severity)
	}
	return b.String()
}

// TestReadme: the README's table of checks is the one made from the table in the code.
func TestReadme(t *testing.T) {
	readme, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(readme), "\n"+checkTable()) {
		t.Errorf("the README's table of checks is stale; it should read:\n%s", checkTable())
	}
}
