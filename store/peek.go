package store

import (
	"io/fs"
	"os"
	"time"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session/shed"
)

// PeekKit is the kit in the file at path for whoever can do without it: the file is
// opened for reading alone, nothing is made, migrated or waited for. ok is false where
// there is none to be had: no file, another kind of file, one that a window has open.
func PeekKit(path string) (k shed.Kit, ok bool) {
	var err error
	defer func() { ok = ok && err == nil }()
	defer catchDamage(path, &err)()
	var db *bolt.DB
	db, err = bolt.Open(path, 0o600, &bolt.Options{
		ReadOnly: true,
		Timeout:  time.Nanosecond, // 0 would wait for ever
		OpenFile: func(name string, _ int, _ fs.FileMode) (*os.File, error) {
			f, err := os.Open(name)
			if err != nil {
				return nil, err
			}
			if err := checkTwice(path, f); err != nil {
				_ = f.Close() // only read
				return nil, err
			}
			return f, nil
		},
	})
	if err != nil {
		return k, false
	}
	defer func() { _ = db.Close() }() // only read
	err = db.View(func(tx *bolt.Tx) error {
		if b := tx.Bucket(kitBucket); b != nil {
			k, ok, err = kitIn(b)
		}
		return err
	})
	return k, ok
}
