//go:build !unix

package disk

// noFollow has no counterpart here; a file is looked at before it is opened.
const noFollow = 0
