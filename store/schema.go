package store

import (
	"encoding/binary"
	"errors"
	"fmt"

	bolt "go.etcd.io/bbolt"
)

// Buckets and the keys of the meta bucket.
var (
	metaBucket    = []byte("meta")
	journalBucket = []byte("journal")
	daysBucket    = []byte("days")
	fleecesBucket = []byte("fleeces")
	methodsBucket = []byte("methods")
	kitBucket     = []byte("kit")

	formatKey = []byte("format")
	schemaKey = []byte("schema")
	openKey   = []byte("open")
	kitKey    = []byte("kit")
	alarmsKey = []byte("alarms") // in the kit's bucket

	format = []byte("tubside")
)

// migration brings the file from one schema version to the next.
type migration struct {
	what string
	run  func(*bolt.Tx) error
}

// migrations in order; the schema version of a file is how many of them it has
// been through. Never change one that has been released: add the next.
var migrations = []migration{
	{"make the first buckets", makeFirstBuckets},
}

func makeFirstBuckets(tx *bolt.Tx) error {
	for _, name := range [][]byte{metaBucket, journalBucket, daysBucket, fleecesBucket, methodsBucket, kitBucket} {
		if _, err := tx.CreateBucket(name); err != nil {
			return fmt.Errorf("bucket %s: %w", name, err)
		}
	}
	return tx.Bucket(metaBucket).Put(formatKey, format)
}

// migrate checks that the file is ours and brings it to the newest schema, all
// steps in one transaction. A file that needs none is not written to.
func (s *Store) migrate(steps []migration) error {
	var version uint64
	err := s.view(func(tx *bolt.Tx) error {
		var err error
		version, err = schemaVersion(tx)
		if err != nil {
			return damaged(s.path, "it was made by another program", err)
		}
		known := uint64(len(steps))
		if version > known {
			return newer(s.path, version, known)
		}
		if version == known {
			return haveBuckets(s.path, tx)
		}
		return nil
	})
	if err != nil || version == uint64(len(steps)) {
		return err
	}
	if err := s.copyBefore(version); err != nil { // the day goes on without it
		s.place.told = "the record is brought to a newer layout, and " + err.Error()
	}
	return s.update(func(tx *bolt.Tx) error {
		if err := runMigrations(tx, version, steps); err != nil {
			return damaged(s.path, "it could not be brought to this version's layout", err)
		}
		return nil
	})
}

// haveBuckets saves the rest of the package from asking each time whether its
// bucket is there.
func haveBuckets(path string, tx *bolt.Tx) error {
	for _, name := range [][]byte{journalBucket, daysBucket, fleecesBucket, methodsBucket, kitBucket} {
		if tx.Bucket(name) == nil {
			return damaged(path, fmt.Sprintf("its part \"%s\" is missing", name), nil)
		}
	}
	return nil
}

func schemaVersion(tx *bolt.Tx) (uint64, error) {
	meta := tx.Bucket(metaBucket)
	if meta == nil || string(meta.Get(formatKey)) != string(format) {
		return 0, errors.New("the mark of a tubside file is missing")
	}
	v, ok := number(meta.Get(schemaKey))
	if !ok || v == 0 {
		return 0, errors.New("the version of the layout is missing")
	}
	return v, nil
}

// runMigrations takes a file at version from through the steps it lacks.
func runMigrations(tx *bolt.Tx, from uint64, steps []migration) error {
	for i := from; i < uint64(len(steps)); i++ {
		if err := steps[i].run(tx); err != nil {
			return fmt.Errorf("%s (layout %d): %w", steps[i].what, i+1, err)
		}
	}
	return tx.Bucket(metaBucket).Put(schemaKey, key(uint64(len(steps))))
}

// key is n as 8 bytes whose order is that of the numbers.
func key(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

// number reads a key; ok is false if it is none.
func number(b []byte) (n uint64, ok bool) {
	if len(b) != 8 {
		return 0, false
	}
	return binary.BigEndian.Uint64(b), true
}
