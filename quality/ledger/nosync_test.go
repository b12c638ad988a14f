package ledger_test

import "plateside/quality/ledger/disk"

// noSync is a disk on which nothing is ever synced on purpose.
type noSync struct{ disk.System }

func (n noSync) Open(path string, flag int) (disk.File, error) {
	f, err := n.System.Open(path, flag)
	if err != nil {
		return nil, err
	}
	return lazyFile{f}, nil
}

func (noSync) SyncFolder(string) error { return nil }

type lazyFile struct{ disk.File }

func (lazyFile) Sync() error { return nil }
