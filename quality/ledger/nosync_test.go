package ledger_test

import (
	"plateside/quality/ledger/disk"
	"plateside/quality/ledger/disk/disktest"
)

// noSync is a disk on which Sync does nothing.
type noSync struct{ *disktest.Memory }

func (n noSync) Open(path string, flag int) (disk.File, error) {
	f, err := n.Memory.Open(path, flag)
	if err != nil {
		return nil, err
	}
	return lazyFile{f}, nil
}

type lazyFile struct{ disk.File }

func (lazyFile) Sync() error { return nil }
