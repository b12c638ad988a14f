// Command plateside reviews countermovement jumps recorded on force plates: see each rep judged, look at its curve, keep
// or reject it, and hand on a clean session.
package main

import (
	"os"
	"time"
)

func main() {
	os.Exit(run(os.Args[1:], world{in: os.Stdin, out: os.Stdout, errs: os.Stderr, now: time.Now, getenv: os.Getenv}))
}
