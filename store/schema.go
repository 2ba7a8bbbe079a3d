package store

import (
	"encoding/binary"
	"fmt"

	bolt "go.etcd.io/bbolt"
)

// Keys of the parts meta and kit.
var (
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
	{"give each value its checksum", addSums},
}

func makeFirstBuckets(tx *bolt.Tx) error {
	for _, name := range []string{metaPart, journalPart, daysPart, fleecesPart, methodsPart, kitPart} {
		if _, err := tx.CreateBucket([]byte(name)); err != nil {
			return fmt.Errorf("bucket %s: %w", name, err)
		}
	}
	return tx.Bucket([]byte(metaPart)).Put(formatKey, format)
}

// migrate checks that the file is ours and brings it to the newest schema, all
// steps in one transaction. A file that needs none is not written to.
func (s *Store) migrate(steps []migration) error {
	version, err := s.hasLayout(uint64(len(steps)), false)
	if err != nil || version == uint64(len(steps)) {
		return err
	}
	if err := s.copyBefore(version); err != nil { // the day goes on without it
		s.news.tell("the record is brought to a newer layout, and "+err.Error(), s.path)
	}
	err = s.update(func(c *change) error {
		err := c.was.soundAll()
		if err == nil {
			err = runMigrations(c.tx, version, steps)
		}
		if err != nil {
			return damaged(s.path, "it could not be brought to this version's layout", err)
		}
		return nil
	})
	s.summed = err == nil && len(steps) >= summedLayout
	return err
}

// hasLayout is the layout that the file has, by which the store goes from now on. Of the known one
// the parts are there, and with all of an older one too.
//
// Errors: ErrDamaged, ErrNewer.
func (s *Store) hasLayout(known uint64, all bool) (version uint64, err error) {
	err = s.view(func(r record) (err error) {
		version, err = r.layout()
		s.summed = version >= summedLayout
		r.summed = s.summed
		switch {
		case err != nil:
			return damaged(s.path, "it was made by another program", err)
		case version > known:
			return newer(s.path, version, known)
		case all || version == known:
			return haveParts(s.path, r)
		}
		return nil
	})
	return version, err
}

// haveParts saves the rest of the package from asking each time whether a part is there.
func haveParts(path string, r record) error {
	for _, name := range []string{journalPart, daysPart, fleecesPart, methodsPart, kitPart, sumsPart} {
		if name == sumsPart && !r.summed {
			continue
		}
		if _, ok, err := r.part(name); err != nil || !ok {
			return damaged(path, fmt.Sprintf("its part \"%s\" is missing", name), err)
		}
	}
	return nil
}

// runMigrations takes a file at version from through the steps it lacks.
func runMigrations(tx *bolt.Tx, from uint64, steps []migration) error {
	for i := from; i < uint64(len(steps)); i++ {
		if err := steps[i].run(tx); err != nil {
			return fmt.Errorf("%s (layout %d): %w", steps[i].what, i+1, err)
		}
	}
	meta := tx.Bucket([]byte(metaPart))
	if err := meta.Put(schemaKey, key(uint64(len(steps)))); err != nil {
		return err
	}
	return part{&change{tx: tx}, metaPart, meta}.recount()
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
