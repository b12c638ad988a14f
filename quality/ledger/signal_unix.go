//go:build unix

package ledger

import (
	"os/signal"
	"syscall"
)

// IgnoreFileSizeSignal keeps a limit on file size from ending the program: the write then fails with an error, which is
// shown like any other. Call it once at the start of a program that writes a ledger.
func IgnoreFileSizeSignal() { signal.Ignore(syscall.SIGXFSZ) }
