//go:build unix

package disk

import "syscall"

// noFollow keeps a link that somebody put in place of a file from leading elsewhere, and a pipe from hanging the open.
const noFollow = syscall.O_NOFOLLOW | syscall.O_NONBLOCK
