//go:build !unix

package ledger

// IgnoreFileSizeSignal does nothing: there is no such signal here.
func IgnoreFileSizeSignal() {}
